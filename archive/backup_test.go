package archive

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
)

// rowsOf is everything that an archive answers from, as text.
func rowsOf(t *testing.T, dir string) string {
	t.Helper()
	ctx := context.Background()
	s, err := OpenReadOnly(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var b strings.Builder
	for r, err := range s.AllRows(ctx, Filter{Rejected: true}) {
		if err != nil {
			t.Fatal(err)
		}
		raw, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		h, err := s.History(ctx, r.ID)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "%s %+v\n", raw, h)
	}
	for c, err := range s.AllCaptures(ctx) {
		if err != nil {
			t.Fatal(err)
		}
		raw, err := s.Original(ctx, c.ID)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "%+v %x\n", c, raw)
	}
	return b.String()
}

// TestBackupRestore: what comes back is what was there, down to the rights.
func TestBackupRestore(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	file := filepath.Join(out, "b.zip")
	note, err := Backup(ctx, dir, file, BackupOptions{})
	if err != nil || note.Captures != 10 || note.Records == 0 || note.Head == "" || note.Damaged {
		t.Fatalf("%+v %v", note, err)
	}
	to := filepath.Join(out, "again")
	got, err := Restore(ctx, file, to, RestoreOptions{})
	if err != nil || got.Head != note.Head {
		t.Fatalf("%+v %v", got, err)
	}
	if bad := verified(t, to); len(bad) > 0 {
		t.Errorf("restored: %v", bad)
	}
	if rowsOf(t, to) != rowsOf(t, dir) {
		t.Error("what was restored answers otherwise")
	}
	if list := names(t, out); list != "again b.zip" {
		t.Errorf("left behind: %s", list)
	}
	s := open(t, to) // and work goes on
	if _, _, err := s.Keep(ctx, "new.jpg", []byte("new"), ""); err != nil {
		t.Error(err)
	}
}

func names(t *testing.T, dir string) string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return strings.Join(out, " ")
}

// TestBackupWhileWriting: each backup holds one moment, whole, whatever others
// write meanwhile.
func TestBackupWhileWriting(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	done := make(chan error, 2)
	for w := range cap(done) {
		go func() { done <- writeSome(ctx, dir, w, 25) }()
	}
	last := int64(0)
	for left, n := cap(done), 0; left > 0; n++ {
		select {
		case err := <-done:
			if left--; err != nil {
				t.Fatal(err)
			}
		default:
		}
		file := filepath.Join(out, fmt.Sprintf("%d.zip", n))
		note, err := Backup(ctx, dir, file, BackupOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if note.Captures < last {
			t.Errorf("a later backup holds %d captures, an earlier one %d", note.Captures, last)
		}
		last = note.Captures
		to := filepath.Join(out, fmt.Sprint(n))
		if _, err := Restore(ctx, file, to, RestoreOptions{}); err != nil {
			t.Fatal(err)
		}
		if bad := verified(t, to); len(bad) > 0 {
			t.Errorf("restored: %v", bad)
		}
		if left == 0 && rowsOf(t, to) != rowsOf(t, dir) {
			t.Error("the last one answers otherwise")
		}
	}
	if last != 10+2*25 {
		t.Errorf("the last backup holds %d captures", last)
	}
}

func TestBackupRefuses(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	file := filepath.Join(out, "b.zip")
	if err := os.WriteFile(file, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ dir, file, want string }{
		"a file that is there": {dir, file, "--force"},
		"inside the archive":   {dir, filepath.Join(dir, "originals", "b.zip"), "inside the archive"},
		"no such folder":       {dir, filepath.Join(out, "no", "b.zip"), "choose a folder that you may write to"},
		"no right to write":    {dir, "/proc/b.zip", "choose a folder that you may write to"},
		"no archive":           {out, filepath.Join(out, "c.zip"), "there is none"},
	} {
		_, err := Backup(ctx, c.dir, c.file, BackupOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), c.file) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got := names(t, out); got != "b.zip" || string(read(t, file)) != "mine" {
		t.Errorf("afterwards: %s", got)
	}
	if _, err := Backup(ctx, dir, file, BackupOptions{Force: true}); err != nil {
		t.Errorf("with force: %v", err)
	}
	if _, err := Restore(ctx, file, filepath.Join(out, "new"), RestoreOptions{}); err != nil {
		t.Errorf("what force wrote: %v", err)
	}
}

// TestBackupOfDamaged: a damaged archive is refused; asked for, what is whole is
// backed up, and both sides say what is not.
func TestBackupOfDamaged(t *testing.T) {
	ctx := context.Background()
	for name, hurt := range map[string]func(t *testing.T, dir string){
		"original": func(t *testing.T, dir string) { flip(t, originalFiles(t, dir)[2].path) },
		"missing":  func(t *testing.T, dir string) { os.Remove(originalFiles(t, dir)[2].path) },
		"reading": func(t *testing.T, dir string) {
			flipCell(t, filepath.Join(dir, dbName), cell{"slips", "seen", 3, 0}, 200, 0)
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir, out := sample(t), t.TempDir()
			hurt(t, dir)
			file, to := filepath.Join(out, "b.zip"), filepath.Join(out, "to")
			if _, err := Backup(ctx, dir, file, BackupOptions{}); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "--damaged") {
				t.Errorf("must be refused: %v", err)
			}
			if got := names(t, out); got != "" {
				t.Errorf("left behind: %s", got)
			}
			var told []Problem
			found := func(p Problem) { told = append(told, p) }
			note, err := Backup(ctx, dir, file, BackupOptions{Damaged: true, Found: found})
			if err != nil || !note.Damaged || len(told) == 0 || (len(note.LeftOut) == 1) != (name != "reading") {
				t.Fatalf("%+v %v, told %v", note, err, told)
			}
			told = nil
			if note, err = Restore(ctx, file, to, RestoreOptions{Found: found}); err != nil || !note.Damaged || len(told) != 1 {
				t.Errorf("restored: %+v %v, told %v", note, err, told)
			}
		})
	}
}

// fullDisk takes so many bytes and no more.
type fullDisk struct {
	io.Writer
	left int
}

func (f *fullDisk) Write(p []byte) (int, error) {
	if f.left -= len(p); f.left < 0 {
		return 0, &fs.PathError{Op: "write", Path: "b.zip", Err: syscall.ENOSPC}
	}
	return f.Writer.Write(p)
}

func TestBackupDiskFull(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	file := filepath.Join(out, "b.zip")
	if err := os.WriteFile(file, []byte("the one before"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Backup(ctx, dir, file, BackupOptions{Force: true, writer: func(w io.Writer) io.Writer { return &fullDisk{w, 20_000} }})
	if err == nil || !strings.Contains(err.Error(), "disk is full, make room") || !strings.Contains(err.Error(), file) {
		t.Errorf("%v", err)
	}
	if got := names(t, out); got != "b.zip" || string(read(t, file)) != "the one before" {
		t.Errorf("afterwards: %s", got)
	}
	ended, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := Backup(ended, dir, file, BackupOptions{Force: true}); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	if got := names(t, out); got != "b.zip" || string(read(t, file)) != "the one before" {
		t.Errorf("afterwards: %s", got)
	}
}

// TestRestoreRefuses cuts a backup short and flips its bits: what comes back is
// whole, or nothing does.
func TestRestoreRefuses(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	file, to := filepath.Join(out, "b.zip"), filepath.Join(out, "to")
	if _, err := Backup(ctx, dir, file, BackupOptions{}); err != nil {
		t.Fatal(err)
	}
	whole, want := read(t, file), rowsOf(t, dir)
	refused := func(what string, raw []byte) bool {
		t.Helper()
		if err := os.WriteFile(file, raw, 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := Restore(ctx, file, to, RestoreOptions{})
		if err == nil {
			if rowsOf(t, to) != want {
				t.Errorf("%s: another archive came back", what)
			}
			if err := os.RemoveAll(to); err != nil {
				t.Fatal(err)
			}
			return false
		}
		if !strings.Contains(err.Error(), file) {
			t.Errorf("%s: does not name the file: %v", what, err)
		}
		if got := names(t, out); got != "b.zip" {
			t.Errorf("%s: left behind: %s", what, got)
		}
		return true
	}
	for _, n := range []int{0, 10, len(whole) / 2, len(whole) - 1} {
		if !refused(fmt.Sprintf("%d bytes", n), whole[:n]) {
			t.Errorf("%d bytes of %d were restored", n, len(whole))
		}
	}
	n, rng := flips(t, 30)
	found := 0
	for range n {
		raw := bytes.Clone(whole)
		at := rng.Intn(len(raw))
		raw[at] ^= 1 << rng.Intn(8)
		if refused(fmt.Sprintf("flip at %d of %d", at, len(raw)), raw) {
			found++
		}
	}
	t.Logf("%d of %d flips refused; with the others the very same came back", found, n)
	if err := os.WriteFile(file, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(to, "mine"), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(ctx, file, to, RestoreOptions{}); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("into a folder with something in it: %v", err)
	}
	if _, err := Restore(ctx, file, filepath.Join("/proc", "to"), RestoreOptions{}); err == nil || !strings.Contains(err.Error(), "may write to") {
		t.Errorf("where nobody may write: %v", err)
	}
	if err := os.Remove(filepath.Join(to, "mine")); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(ctx, file, to, RestoreOptions{}); err != nil {
		t.Errorf("into an empty folder: %v", err)
	}
}

// TestTwoBackupsAtOnce: of several that want one name, one has it; so with
// folders.
func TestTwoBackupsAtOnce(t *testing.T) {
	ctx := context.Background()
	dir, out := sample(t), t.TempDir()
	file, to := filepath.Join(out, "b.zip"), filepath.Join(out, "to")
	for name, f := range map[string]func() error{
		"backup":  func() error { _, err := Backup(ctx, dir, file, BackupOptions{}); return err },
		"restore": func() error { _, err := Restore(ctx, file, to, RestoreOptions{}); return err },
	} {
		if name == "restore" {
			if _, err := Backup(ctx, dir, file, BackupOptions{Force: true}); err != nil {
				t.Fatal(err)
			}
		} else if err := os.RemoveAll(file); err != nil {
			t.Fatal(err)
		}
		var mu sync.Mutex
		var wg sync.WaitGroup
		won := 0
		for range 3 {
			wg.Go(func() {
				if err := f(); err == nil {
					mu.Lock()
					won++
					mu.Unlock()
				}
			})
		}
		wg.Wait()
		if won != 1 {
			t.Errorf("%s: %d of 3 had the name", name, won)
		}
	}
	if bad := verified(t, to); len(bad) > 0 {
		t.Error(bad)
	}
	if got := names(t, out); got != "b.zip to" {
		t.Errorf("left behind: %s", got)
	}
}
