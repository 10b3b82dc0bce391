package whole

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func write(path, text string) error { return os.WriteFile(path, []byte(text), 0o644) }

// TestNothingHalf: whatever fill does before it fails, nothing is there after.
func TestNothingHalf(t *testing.T) {
	dir := t.TempDir()
	to := filepath.Join(dir, "it")
	broken := errors.New("broken")
	for name, make := range map[string]func(fill func(string) error) error{
		"file":   func(fill func(string) error) error { return File(to, false, fill) },
		"forced": func(fill func(string) error) error { return File(to, true, fill) },
		"folder": func(fill func(string) error) error {
			return Dir(to, func(temp string) error { return fill(filepath.Join(temp, "a")) })
		},
	} {
		err := make(func(temp string) error { return errors.Join(write(temp, "half"), broken) })
		if !errors.Is(err, broken) {
			t.Errorf("%s: %v", name, err)
		}
		if list, _ := os.ReadDir(dir); len(list) > 0 {
			t.Errorf("%s: left %v", name, list)
		}
	}
	err := File(to, false, func(string) error { return &fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC} })
	if err == nil || !strings.HasPrefix(err.Error(), "the disk is full, make room") {
		t.Errorf("full disk: %v", err)
	}
}

func TestTaken(t *testing.T) {
	dir := t.TempDir()
	to := filepath.Join(dir, "it")
	if err := File(to, false, func(temp string) error { return write(temp, "one") }); err != nil {
		t.Fatal(err)
	}
	if err := File(to, false, func(temp string) error { return write(temp, "two") }); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that is there: %v", err)
	}
	// One that comes while another is being made.
	other := filepath.Join(dir, "other")
	err := File(other, false, func(temp string) error { return errors.Join(write(temp, "two"), write(other, "one")) })
	if !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that came meanwhile: %v", err)
	}
	if err := Dir(to, func(string) error { return nil }); err == nil {
		t.Error("a folder took a file's place")
	}
	if err := File(to, true, func(temp string) error { return write(temp, "two") }); err != nil {
		t.Errorf("with force: %v", err)
	}
	for path, want := range map[string]string{to: "two", other: "one"} {
		if raw, err := os.ReadFile(path); err != nil || string(raw) != want {
			t.Errorf("%s: %q %v", path, raw, err)
		}
	}
	folder := filepath.Join(dir, "folder")
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	fill := func(temp string) error { return write(filepath.Join(temp, "a"), "one") }
	if err := Dir(folder, fill); err != nil {
		t.Errorf("an empty folder: %v", err)
	}
	if err := Dir(folder, fill); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with something in it: %v", err)
	}
	err = Dir(filepath.Join(dir, "third"), func(temp string) error {
		return errors.Join(fill(temp), os.MkdirAll(filepath.Join(dir, "third", "mine"), 0o755))
	})
	if err == nil {
		t.Error("a folder that came meanwhile was replaced")
	}
	if list, _ := filepath.Glob(filepath.Join(dir, ".*")); len(list) > 0 {
		t.Errorf("left %v", list)
	}
}
