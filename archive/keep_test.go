package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestSameBytesTwice(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	raw := []byte("%PDF-1.7 invented")
	first, _, err := s.Keep(ctx, "a.pdf", raw, "0114")
	if err != nil {
		t.Fatal(err)
	}
	again, already, err := s.Keep(ctx, "other name.pdf", raw, "")
	if err != nil || !already || again != first {
		t.Errorf("second time: %+v already %v, %v; want %+v", again, already, err, first)
	}
	if list, _ := s.Captures(ctx); len(list) != 1 || list[0].Site != "114" {
		t.Errorf("captures: %+v", list)
	}
	got, err := s.Original(ctx, first.ID)
	if err != nil || !bytes.Equal(got, raw) {
		t.Errorf("original: %q %v", got, err)
	}
	info, err := os.Stat(s.OriginalPath(first))
	if err != nil || info.Mode().Perm() != 0o444 {
		t.Errorf("an original must be read-only: %v %v", info.Mode(), err)
	}
}

func TestOriginalNoticesDamage(t *testing.T) {
	ctx := context.Background()
	for name, hurt := range map[string]func(t *testing.T, path string){
		"one bit":   func(t *testing.T, p string) { flip(t, p) },
		"cut short": func(t *testing.T, p string) { truncate(t, p, 5) },
		"empty":     func(t *testing.T, p string) { truncate(t, p, 0) },
		"gone": func(t *testing.T, p string) {
			if err := os.Remove(p); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, t.TempDir())
			raw := []byte("\x89PNG\r\n invented picture")
			c, _, err := s.Keep(ctx, "a.png", raw, "")
			if err != nil {
				t.Fatal(err)
			}
			if bad, err := s.Check(ctx); err != nil || len(bad) != 0 {
				t.Fatalf("check before: %v %v", bad, err)
			}
			hurt(t, s.OriginalPath(c))
			if _, err := s.Original(ctx, c.ID); name != "gone" && !errors.Is(err, ErrDamaged) || name == "gone" && !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("original: %v", err)
			}
			if bad, err := s.Check(ctx); err != nil || len(bad) != 1 || bad[0].What != c.ID {
				t.Errorf("check: %v %v", bad, err)
			}
			if _, already, err := s.Keep(ctx, "a.png", raw, ""); err != nil || !already {
				t.Fatalf("adding the same bytes again: %v %v", already, err)
			}
			if got, err := s.Original(ctx, c.ID); err != nil || !bytes.Equal(got, raw) {
				t.Errorf("adding the same bytes again must heal the original: %v", err)
			}
		})
	}
}

func flip(t *testing.T, path string) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	raw[len(raw)/2] ^= 4
	rewrite(t, path, raw)
}

func truncate(t *testing.T, path string, n int) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rewrite(t, path, raw[:n])
}

func rewrite(t *testing.T, path string, raw []byte) {
	t.Helper()
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestKeepRefuses(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	s.MaxBytes = 10
	if _, _, err := s.Keep(ctx, "empty.jpg", nil, ""); !errors.Is(err, ErrEmpty) || !strings.Contains(err.Error(), "empty.jpg") {
		t.Errorf("empty: %v", err)
	}
	if _, _, err := s.Keep(ctx, "big.jpg", make([]byte, 11), ""); !errors.Is(err, ErrTooLarge) {
		t.Errorf("too large: %v", err)
	}
	if list, err := s.Captures(ctx); err != nil || len(list) != 0 {
		t.Errorf("nothing must be kept: %v %v", list, err)
	}
}

func TestExtension(t *testing.T) {
	for _, c := range []struct{ file, raw, want string }{
		{"a.JPG", "\xff\xd8\xff", "jpg"},
		{"a.jpg", "%PDF-1.4", "pdf"}, // the bytes know better than the name
		{"a.heic", "....ftypheic", "heic"},
		{"a", "??", "bin"},
		{"a.../../etc", "??", "bin"},
		{"a.j/p", "??", "bin"},
		{"a.waytoolong", "??", "bin"},
	} {
		if got := extension(c.file, []byte(c.raw)); got != c.want {
			t.Errorf("%q: %q, want %q", c.file, got, c.want)
		}
	}
}

func TestSweepLeavesYoungFiles(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	old, young := filepath.Join(dir, "originals", tempPrefix+"old"), filepath.Join(dir, "originals", tempPrefix+"young")
	for _, p := range []string{old, young} {
		if err := os.WriteFile(p, nil, 0o444); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chtimes(old, time.Time{}, time.Now().Add(-2*time.Hour)); err != nil {
		t.Fatal(err)
	}
	s.sweepTemp()
	if _, err := os.Stat(old); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("what a crash left an hour ago must go: %v", err)
	}
	if _, err := os.Stat(young); err != nil {
		t.Errorf("what another process may be writing must stay: %v", err)
	}
}

func TestOpenSaysWhatIsWrong(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, filepath.Join(file, "archive")); err == nil || !strings.Contains(err.Error(), "choose one that you may write to") {
		t.Errorf("below a file: %v", err)
	}
	if runtime.GOOS == "linux" { // the one folder in which root cannot write either
		if _, err := Open(ctx, "/proc/archive"); err == nil || !strings.Contains(err.Error(), "/proc/archive") {
			t.Errorf("folder that cannot be written: %v", err)
		}
	}
	if os.Geteuid() != 0 {
		locked := filepath.Join(dir, "locked")
		if err := os.Mkdir(locked, 0o555); err != nil {
			t.Fatal(err)
		}
		if _, err := Open(ctx, locked); err == nil || !strings.Contains(err.Error(), "may write") {
			t.Errorf("read-only folder: %v", err)
		}
	}
	junk := filepath.Join(dir, "junk")
	if err := os.Mkdir(junk, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(junk, dbName), bytes.Repeat([]byte("no database "), 100), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, junk); !errors.Is(err, ErrDamaged) {
		t.Errorf("not a database: %v", err)
	}
}

func TestOpenFolderWithOddName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site 1? #2 100%25 ä")
	s := open(t, dir)
	if _, _, err := s.Keep(context.Background(), "a", []byte("x"), ""); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, dbName)); err != nil {
		t.Error(err)
	}
}

func TestNewerVersionRefused(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.db.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, len(migrations)+1)); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if _, err := Open(ctx, dir); !errors.Is(err, ErrNewer) || !strings.Contains(err.Error(), "use the newer program") {
		t.Errorf("%v", err)
	}
}

func TestTwoStoresAtOnce(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	var wg sync.WaitGroup
	const each = 20
	for w := range 4 {
		wg.Go(func() {
			s, err := Open(ctx, dir) // all four create it at the same time
			if err != nil {
				t.Error(err)
				return
			}
			defer s.Close()
			for i := range each {
				raw := fmt.Appendf(nil, "picture %d", i/2*2+w%2) // half of them twice
				c, _, err := s.Keep(ctx, "a.jpg", raw, "")
				if err != nil {
					t.Error(err)
					return
				}
				if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "pass")}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	s := open(t, dir)
	list, err := s.Captures(ctx)
	if err != nil || len(list) != each {
		t.Errorf("%d captures, want %d: %v", len(list), each, err)
	}
	if rows, err := s.Rows(ctx, Filter{}); err != nil || len(rows) != each {
		t.Errorf("%d rows, want %d: %v", len(rows), each, err)
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) != 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}
