package powercut

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// The operations of a Go program, beside those of SQLite.

// File is a file that is being written.
type File struct {
	*os.File
	d   *Disk
	off int64
}

func (d *Disk) try(o op) error {
	if errno := d.do(o); errno != 0 {
		return &fs.PathError{Op: o.kind.String(), Path: o.path, Err: errno}
	}
	return nil
}

// Create makes a new file in a folder, with a name of its own as os.CreateTemp
// gives it.
func (d *Disk) Create(dir, pattern string) (*File, error) {
	f, err := os.CreateTemp(dir, pattern)
	if err != nil {
		return nil, err
	}
	if err := d.try(op{kind: Create, path: f.Name()}); err != nil {
		return nil, errors.Join(err, f.Close(), os.Remove(f.Name()))
	}
	return &File{File: f, d: d}, nil
}

func (f *File) Write(p []byte) (int, error) {
	if err := f.d.try(op{kind: Write, path: f.Name(), off: f.off, data: p}); err != nil {
		return 0, err
	}
	n, err := f.File.Write(p)
	f.off += int64(n)
	return n, err
}

// Chmod changes the file's mode; it takes effect at once.
func (f *File) Chmod(mode fs.FileMode) error {
	if err := f.d.try(op{kind: Chmod, path: f.Name(), off: int64(mode)}); err != nil {
		return err
	}
	return f.File.Chmod(mode)
}

// Sync makes the content last, not the name.
func (f *File) Sync() error { return f.d.try(op{kind: Sync, path: f.Name()}) }

// SyncFile is Sync of a file that is there.
func (d *Disk) SyncFile(path string) error { return d.try(op{kind: Sync, path: path}) }

// Rename gives a file another name.
func (d *Disk) Rename(from, to string) error {
	if err := d.try(op{kind: Rename, path: from, to: to}); err != nil {
		return err
	}
	return os.Rename(from, to)
}

// Remove takes a file's name away.
func (d *Disk) Remove(path string) error {
	if err := d.try(op{kind: Remove, path: path}); err != nil {
		return err
	}
	return os.Remove(path)
}

// Mkdir makes a folder; one that is there already is an error.
func (d *Disk) Mkdir(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return &fs.PathError{Op: "mkdir", Path: dir, Err: syscall.EEXIST}
	}
	if err := d.try(op{kind: Mkdir, path: dir}); err != nil {
		return err
	}
	return os.Mkdir(dir, 0o755)
}

// SyncDir makes the names in a folder last.
func (d *Disk) SyncDir(dir string) error { return d.try(op{kind: SyncDir, path: filepath.Clean(dir)}) }
