// Package sandbox is how decoders run that were compiled to WebAssembly: with no
// files and no network, and no more memory than they are given. What goes wrong
// inside is an error outside.
//
// Only killing the process stops one that has come to hang. The runtime could
// stop it too, but code that looks for a signal at every turn of every loop takes
// nearly three times as long; so decoders run in a child process, see worker.
package sandbox

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/experimental"
)

// pageSize is WebAssembly's unit of memory in bytes.
const pageSize = 64 << 10

// Cache keeps decoders translated to machine code. The zero value is ready.
type Cache struct {
	once sync.Once
	code wazero.CompilationCache
	most atomic.Uint64
}

// Most is the most bytes of memory that a decoder which was started with a context
// of this cache has had.
func (c *Cache) Most() int64 { return int64(c.most.Load()) }

// note notes that a decoder has size bytes.
func (c *Cache) note(size uint64) {
	for most := c.most.Load(); size > most && !c.most.CompareAndSwap(most, size); {
		most = c.most.Load()
	}
}

// open makes the cache on disk, where the user has a folder for caches, or else
// in memory. Translating takes seconds, loading what was translated a tenth of that.
func (c *Cache) open() wazero.CompilationCache {
	c.once.Do(func() {
		if dir, err := os.UserCacheDir(); err == nil {
			c.code, _ = wazero.NewCompilationCacheWithDir(filepath.Join(dir, "tankroll"))
		}
		if c.code == nil {
			c.code = wazero.NewCompilationCache()
		}
	})
	return c.code
}

// Brief is what an error of a decoder says in a line, without the trace of where in
// its machine code it was.
func Brief(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}

// Config is how a decoder runs: with at most maxBytes of memory.
func (c *Cache) Config(maxBytes int64) wazero.RuntimeConfig {
	return wazero.NewRuntimeConfig().
		WithCoreFeatures(api.CoreFeaturesV2 | experimental.CoreFeaturesExceptionHandling).
		WithCompilationCache(c.open()).
		WithMemoryLimitPages(uint32(min(maxBytes/pageSize, 1<<16)))
}

// Context is the context for starting a decoder: it is translated by as many
// threads as there are processors, and its memory goes back to the system as soon
// as it is closed.
func (c *Cache) Context() context.Context {
	ctx := experimental.WithCompilationWorkers(context.Background(), runtime.NumCPU())
	return experimental.WithMemoryAllocator(ctx, experimental.MemoryAllocatorFunc(c.allocate))
}
