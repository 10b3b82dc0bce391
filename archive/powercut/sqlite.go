package powercut

/*
#cgo linux LDFLAGS: -Wl,--unresolved-symbols=ignore-in-object-files
#cgo darwin LDFLAGS: -Wl,-undefined,dynamic_lookup
#include "vfs.h"
#include <stdlib.h>
*/
import "C"

import (
	"fmt"
	"path/filepath"
	"runtime/cgo"
	"syscall"
	"unsafe"

	_ "github.com/mattn/go-sqlite3" // the SQLite that is linked
)

// The operations that vfs.c tells of.
var sqliteOps = [...]Kind{C.OP_OPEN: Create, C.OP_READ: Read, C.OP_WRITE: Write, C.OP_TRUNCATE: Truncate, C.OP_SYNC: Sync,
	C.OP_SYNC_DIR: SyncDir, C.OP_DELETE: Remove}

// register makes the disk known to SQLite under its own name.
func (d *Disk) register() error {
	d.handle = cgo.NewHandle(d)
	d.name = fmt.Sprintf("powercut-%d", d.handle)
	name := C.CString(d.name)
	defer C.free(unsafe.Pointer(name))
	d.vfs = C.powercut_register(name, C.uintptr_t(d.handle))
	if d.vfs == nil {
		d.handle.Delete()
		return fmt.Errorf("SQLite does not take the file system %s", d.name)
	}
	return nil
}

// Close takes the disk from SQLite and forgets what it noted. Its few bytes on
// the other side stay: a connection that database/sql closes late may still call.
func (d *Disk) Close() {
	C.powercut_unregister(d.vfs)
	d.mu.Lock()
	defer d.mu.Unlock()
	d.closed, d.failOn, d.tree, d.log = true, nil, nil, nil
}

//export powercutNoSpace
func powercutNoSpace() C.int { return C.int(syscall.ENOSPC) }

// powercutOp is SQLite's operation on a file, before it happens; it returns the
// errno with which it is to fail, 0 for none.
//
//export powercutOp
func powercutOp(disk C.uintptr_t, what C.int, path *C.char, off C.int64_t, data unsafe.Pointer, n C.int) C.int {
	d := cgo.Handle(disk).Value().(*Disk)
	o := op{kind: sqliteOps[what], path: C.GoString(path), off: int64(off)}
	switch {
	case what == C.OP_WRITE:
		o.data = C.GoBytes(data, n)
	case what == C.OP_OPEN && off == 0:
		o.kind = Open
	case what == C.OP_SYNC_DIR:
		o.path = filepath.Dir(o.path)
	}
	return C.int(d.do(o))
}
