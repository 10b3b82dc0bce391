package archive

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// disk is the few file operations that keep an original and bring a database
// forward, so that a test can cut the power after each of them or make it fail.
type disk interface {
	vfs() string // the file system that SQLite works on, "" for its own
	create(dir string) (file, error)
	rename(from, to string) error
	remove(path string) error
	mkdir(dir string) error // one that is there already is no error
	syncFile(path string) error
	syncDir(dir string) error
}

// file is a new file that is being written.
type file interface {
	io.WriteCloser
	Name() string
	Fd() uintptr
	Chmod(fs.FileMode) error
	Sync() error
}

const tempPrefix = "incoming-"

type osDisk struct{}

func (osDisk) vfs() string { return "" }

func (osDisk) create(dir string) (file, error) { return os.CreateTemp(dir, tempPrefix+"*") }

func (osDisk) rename(from, to string) error { return os.Rename(from, to) }

func (osDisk) remove(path string) error { return os.Remove(path) }

func (osDisk) mkdir(dir string) error {
	err := os.Mkdir(dir, 0o755)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	return err
}

func (osDisk) syncFile(path string) error { return syncPath(path) }

// syncDir makes a rename inside dir survive a power cut.
func (osDisk) syncDir(dir string) error { return syncPath(dir) }

func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// makeDir makes a folder and those above it that are missing, for good.
func makeDir(d disk, dir string) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if up := filepath.Dir(dir); up != dir {
		if err := makeDir(d, up); err != nil {
			return err
		}
	}
	if err := d.mkdir(dir); err != nil {
		return err
	}
	return d.syncDir(filepath.Dir(dir))
}

// writeNew writes a file and syncs it under another name before it gets its own,
// so that it is there whole or not at all. It leaves nothing behind when it fails.
func writeNew(d disk, temp, path string, raw []byte) (err error) {
	f, err := d.create(temp)
	if err != nil {
		return err
	}
	named := false
	defer func() {
		f.Close() // the lock ends here; what was written is synced
		if !named {
			os.Remove(f.Name())
		}
	}()
	if err := lock(f.Fd()); err != nil {
		return err
	}
	if _, err := f.Write(raw); err != nil {
		return err
	}
	// Read-only before it gets its name: an original is never open to change.
	if err := f.Chmod(0o444); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := d.rename(f.Name(), path); err != nil {
		return err
	}
	named = true
	return d.syncDir(filepath.Dir(path))
}

// lock marks a file as being written; the mark goes with the process.
func lock(fd uintptr) error { return syscall.Flock(int(fd), syscall.LOCK_EX|syscall.LOCK_NB) }

// sweepTemp removes files that a crash left half-written. One that a process is
// writing is locked, whatever the clock says; the age is for the moment before
// it has its lock.
func (s *Store) sweepTemp() {
	dir := filepath.Join(s.dir, "originals")
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range list {
		info, err := e.Info()
		if err == nil && strings.HasPrefix(e.Name(), tempPrefix) && s.now().Sub(info.ModTime()) > time.Hour {
			sweep(filepath.Join(dir, e.Name()))
		}
	}
}

func sweep(path string) {
	f, err := os.Open(path)
	if err != nil {
		return
	}
	defer f.Close()
	if lock(f.Fd()) == nil {
		os.Remove(path)
	}
}
