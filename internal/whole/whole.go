// Package whole makes files and folders that are whole or not there: they are
// made beside their place under another name, synced, and only then get theirs.
// Whatever goes wrong on the way, a full disk or an interruption, leaves nothing.
package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// File makes a file. Fill writes and syncs it under the name that it is given,
// in a folder in which it may put what it needs besides. A file that is there is
// replaced only with force; of several at once one wins.
func File(path string, force bool, fill func(temp string) error) error {
	to, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(to); err == nil && !force {
		return errTaken
	}
	return beside(to, func(temp string) error {
		part := filepath.Join(temp, "part")
		if err := fill(part); err != nil {
			return err
		}
		return publish(part, to, force)
	})
}

var errTaken = fmt.Errorf("%w; choose another name, or replace it with --force", fs.ErrExist)

func publish(part, to string, force bool) error {
	if !force {
		switch err := os.Link(part, to); {
		case err == nil:
			return SyncDir(filepath.Dir(to))
		case errors.Is(err, fs.ErrExist):
			return errTaken
		}
		// No links here, as on many sticks: the look comes a moment before.
		if _, err := os.Lstat(to); err == nil {
			return errTaken
		}
	}
	if err := os.Rename(part, to); err != nil {
		return err
	}
	return SyncDir(filepath.Dir(to))
}

// Dir makes a folder, which must be empty or not there. Fill puts its files into
// the folder that it is given and syncs them; the folders are synced here.
func Dir(path string, fill func(temp string) error) error {
	to, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	list, err := os.ReadDir(to)
	switch {
	case err == nil && len(list) > 0:
		return fmt.Errorf("%s is not empty; name a new folder", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s is no folder that can be filled: %w", path, err)
	}
	return beside(to, func(temp string) error {
		part := filepath.Join(temp, "part")
		if err := os.Mkdir(part, 0o755); err != nil {
			return err
		}
		if err := fill(part); err != nil {
			return err
		}
		if err := syncDirs(part); err != nil {
			return err
		}
		if err := os.Remove(to); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s is not an empty folder any more: %w", path, err)
		}
		if err := os.Rename(part, to); err != nil {
			return fmt.Errorf("%s is taken meanwhile: %w", path, err)
		}
		return SyncDir(filepath.Dir(to))
	})
}

// beside gives a folder beside a path, and removes it.
func beside(to string, f func(temp string) error) (err error) {
	temp, err := os.MkdirTemp(filepath.Dir(to), "."+filepath.Base(to)+".part-*")
	if err != nil {
		return fmt.Errorf("cannot write there, choose a folder that you may write to: %w", err)
	}
	defer func() {
		err = errors.Join(err, os.RemoveAll(temp))
		if errors.Is(err, syscall.ENOSPC) {
			err = fmt.Errorf("the disk is full, make room and try again: %w", err)
		}
	}()
	return f(temp)
}

// SyncDir makes the names in a folder survive a power cut.
func SyncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

func syncDirs(dir string) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		return SyncDir(path)
	})
}
