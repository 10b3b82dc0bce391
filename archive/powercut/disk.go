// Package powercut is a disk for tests that forgets what was not synced. It lets
// every operation through to a real folder and notes it, SQLite's own operations
// among them. From the notes it makes the folder as a power cut at any moment may
// leave it: what was synced is there, of the rest none, all or some, cut in the
// middle of a sector row. It can also make any operation fail.
//
// It is stricter than most disks: a new file's name lasts only when its folder
// was synced, and what was not synced may arrive in any order.
package powercut

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime/cgo"
	"strings"
	"sync"
	"syscall"
	"unsafe"
)

// Kind is what an operation does.
type Kind int

// The operations on a disk.
const (
	Open Kind = iota // of a file that is there
	Create
	Read
	Write
	Truncate
	Chmod
	Sync
	Rename
	Remove
	Mkdir
	SyncDir
)

func (k Kind) String() string {
	return [...]string{"open", "create", "read", "write", "truncate", "chmod", "sync", "rename", "remove", "mkdir", "sync folder"}[k]
}

// changes reports whether the operation is noted: it changes what a power cut
// leaves.
func (k Kind) changes() bool { return k != Open && k != Read }

// op is one operation, on a file or a folder and on the names that it has.
type op struct {
	kind     Kind
	path, to string
	off      int64 // of a write; the size, of a truncation; the mode, of a chmod
	data     []byte

	node        *node // what is worked on
	in, into    *node // the folders that hold its name, and the new one's
	name, name2 string
}

// node is a file or a folder, whatever its name is at the moment.
type node struct {
	names map[string]*node // of a folder, now; nil for a file
	had   map[string]*node // of a folder, when the disk was made; all of it synced
	held  []byte           // by a file, when the disk was made
	mode  fs.FileMode      // when the disk was made
}

// Disk is a folder whose operations are noted. It may be used from several
// goroutines.
type Disk struct {
	root   string
	handle cgo.Handle
	vfs    unsafe.Pointer
	name   string

	mu     sync.Mutex
	tree   *node
	log    []op
	closed bool

	asked  int // operations that could have been made to fail
	failAt int
	failOn func(Kind) bool
	errno  syscall.Errno
	failed string
}

// New is a disk at a folder, with what lies there already.
func New(root string) (*Disk, error) {
	d := &Disk{root: root}
	var err error
	if d.tree, err = load(root); err != nil {
		return nil, err
	}
	return d, d.register()
}

// VFS is the name under which SQLite knows the disk.
func (d *Disk) VFS() string { return d.name }

// Ops is how many operations were noted so far.
func (d *Disk) Ops() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return len(d.log)
}

// FailAt makes the n-th operation from now that on chooses fail, once.
func (d *Disk) FailAt(n int, errno syscall.Errno, on func(Kind) bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.asked, d.failAt, d.errno, d.failOn, d.failed = 0, n, errno, on, ""
}

// Failed is the operation that was made to fail, "" when none was yet.
func (d *Disk) Failed() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.failed
}

// do notes an operation before it happens, or says with which error it fails.
func (d *Disk) do(o op) syscall.Errno {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.failOn != nil && d.failOn(o.kind) {
		if d.asked++; d.asked == d.failAt {
			d.failed = o.kind.String() + " " + filepath.Base(o.path)
			return d.errno
		}
	}
	if o.kind.changes() && !d.closed {
		d.note(o)
	}
	return 0
}

func (d *Disk) note(o op) {
	if o.path == d.root {
		o.node = d.tree
	} else {
		o.in, o.name = d.parent(o.path)
		if o.in == nil {
			return // outside the folder
		}
		o.node = o.in.names[o.name]
	}
	switch o.kind {
	case Create, Mkdir:
		if o.node != nil {
			return
		}
		o.node = &node{mode: 0o644}
		if o.kind == Mkdir {
			o.node.names = map[string]*node{}
		}
		o.in.names[o.name] = o.node
	case Rename:
		o.into, o.name2 = d.parent(o.to)
		delete(o.in.names, o.name)
		o.into.names[o.name2] = o.node
	case Remove:
		if o.node != nil {
			delete(o.in.names, o.name)
		}
	}
	if o.node == nil {
		return // there is no such file
	}
	d.log = append(d.log, o)
}

// parent is the folder that holds a path, and the path's name in it; nil when it
// is not on the disk.
func (d *Disk) parent(path string) (*node, string) {
	rel, err := filepath.Rel(d.root, path)
	if err != nil || strings.HasPrefix(rel, "..") {
		return nil, ""
	}
	at := d.tree
	parts := strings.Split(filepath.ToSlash(rel), "/")
	for _, p := range parts[:len(parts)-1] {
		if at = at.names[p]; at == nil || at.names == nil {
			return nil, ""
		}
	}
	return at, parts[len(parts)-1]
}

func load(path string) (*node, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	n := &node{mode: info.Mode().Perm()}
	if !info.IsDir() {
		n.held, err = os.ReadFile(path)
		return n, err
	}
	n.names = map[string]*node{}
	list, err := os.ReadDir(path)
	if err != nil {
		return nil, err
	}
	for _, e := range list {
		if n.names[e.Name()], err = load(filepath.Join(path, e.Name())); err != nil {
			return nil, err
		}
	}
	n.had = maps.Clone(n.names)
	return n, nil
}
