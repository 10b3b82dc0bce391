// Package memdisk lets tests work in memory: waiting for a disk to sync was half of
// their time, and what they look at is the same. Where power is cut it is cut from
// notes (archive/powercut), and a killed process leaves its files in memory as well.
package memdisk

import (
	"os"
	"syscall"
)

const dir = "/dev/shm"

// least is the room that the tests of a package may want; containers often have
// 64 MB there.
const least = 2 << 30

// Use has temporary folders made in memory from now on, where there is room.
func Use() {
	var s syscall.Statfs_t
	if syscall.Statfs(dir, &s) != nil || s.Bavail*uint64(s.Bsize) < least || os.Getenv("TMPDIR") != "" {
		return
	}
	os.Setenv("TMPDIR", dir)
}
