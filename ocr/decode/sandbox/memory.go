package sandbox

import (
	"syscall"

	"github.com/tetratelabs/wazero/experimental"
)

// linear is memory of which the address space is reserved at once; the system
// gives real memory page by page when it is touched. Growing a Go slice instead
// would copy, hold the old and the new one for a while, and leave the rest to
// the garbage collector.
type linear struct {
	all   []byte
	cache *Cache
}

// allocate makes the memory of one decoder, of at most max bytes.
func (c *Cache) allocate(_, max uint64) experimental.LinearMemory {
	all, err := syscall.Mmap(-1, 0, int(max), syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_PRIVATE|syscall.MAP_ANON|syscall.MAP_NORESERVE)
	if err != nil {
		all = nil // no memory to give: the decoder does not start
	}
	return &linear{all, c}
}

// Reallocate gives the first size bytes, or nil when they are more than there are.
func (l *linear) Reallocate(size uint64) []byte {
	if size > uint64(len(l.all)) {
		return nil
	}
	l.cache.note(size)
	return l.all[:size:len(l.all)]
}

// Free gives all back; slices of it must not be used any more.
func (l *linear) Free() {
	if l.all != nil {
		_ = syscall.Munmap(l.all)
		l.all = nil
	}
}
