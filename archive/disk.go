package archive

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// disk is the few file operations that keep an original, so that a test can
// make each of them go wrong.
type disk interface {
	// writeTemp writes and syncs a new file in dir and returns its path; it
	// leaves nothing behind when it fails.
	writeTemp(dir string, raw []byte) (string, error)
	rename(from, to string) error
	syncDir(dir string) error
	mkdir(dir string) error
}

type osDisk struct{}

const tempPrefix = "incoming-"

func (osDisk) writeTemp(dir string, raw []byte) (path string, err error) {
	f, err := os.CreateTemp(dir, tempPrefix+"*")
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(raw); err != nil {
		return "", err
	}
	// Read-only before it gets its name: an original is never open to change.
	if err = f.Chmod(0o444); err != nil {
		return "", err
	}
	if err = f.Sync(); err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

func (osDisk) rename(from, to string) error { return os.Rename(from, to) }

func (osDisk) mkdir(dir string) error {
	err := os.Mkdir(dir, 0o755)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	return err
}

// syncDir makes a rename inside dir survive a power cut.
func (osDisk) syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// sweepTemp removes files that a crash left half-written. Young ones may belong
// to a process that is writing right now.
func (s *Store) sweepTemp() {
	dir := filepath.Join(s.dir, "originals")
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range list {
		info, err := e.Info()
		if err == nil && strings.HasPrefix(e.Name(), tempPrefix) && s.now().Sub(info.ModTime()) > time.Hour {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
