package index

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"tankroll/archive"
	"tankroll/index/table"
	"tankroll/record"
)

// some puts a few records of every kind that answer can tell apart.
func some(t testing.TB, s *archive.Store, n int) {
	t.Helper()
	for i := range n {
		put(t, s, "114", []string{"TANK LEAK TEST"}, test("1", "diesel", "0.2", fmt.Sprintf("2025-01-%02dT03:00", i+1), "pass"))
	}
}

const allTests = "all tank tests"

func TestCatchesUp(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	ix := openIndex(t, dir, s)
	some(t, s, 2)
	if a := ask(t, ix, allTests); a.Total != 2 {
		t.Fatalf("after adding: %d", a.Total)
	}
	if err := s.Decide(ctx, archive.Decision{Record: "r1", Action: archive.Reject}); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, allTests); idsOf(a.Rows) != "r2 " {
		t.Errorf("after a rejection: %s", idsOf(a.Rows))
	}
	if err := s.Decide(ctx, archive.Decision{Record: "r1", Action: archive.Undo}); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, allTests); a.Total != 2 {
		t.Errorf("after taking it back: %d", a.Total)
	}
	// Read again: the record goes, and so do the slip's words.
	if err := s.SaveReadings(ctx, "c2", []archive.Reading{{Page: 1, Slips: []archive.SlipReading{
		{Slip: record.Slip{Lines: []record.Line{{Words: []record.Word{{Text: "SOMETHING"}}}}}}}}}); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, allTests); idsOf(a.Rows) != "r1 " {
		t.Errorf("after another reading: %s", idsOf(a.Rows))
	}
	if hits, err := findHits(ix, "leak"); err != nil || len(hits) != 1 || hits[0].Capture != "c1" {
		t.Errorf("after another reading: %v %v", hits, err)
	}
	if hits, err := findHits(ix, "something"); err != nil || len(hits) != 1 {
		t.Errorf("after another reading: %v %v", hits, err)
	}
}

// folder is where the index that answers lies.
func folder(t *testing.T, dir string) string {
	t.Helper()
	ix := &Index{dir: dir}
	p, err := ix.readPointer()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, p.Folder)
}

func fileIn(t *testing.T, pattern ...string) string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(pattern...))
	if err != nil || len(list) == 0 {
		t.Fatal(pattern, err)
	}
	return list[0]
}

// TestComesBack hurts the index in every way that is known; the next question
// is answered as if nothing had been.
func TestComesBack(t *testing.T) {
	write := func(t *testing.T, path string, raw []byte) {
		t.Helper()
		if err := os.WriteFile(path, raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	flip := func(t *testing.T, path string, from, step int) {
		t.Helper()
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		remove(t, path)
		for i := from; i < len(raw); i += step {
			raw[i] ^= 0x55
		}
		write(t, path, raw)
	}
	inTable := func(t *testing.T, dir, statement string) {
		t.Helper()
		db, err := sql.Open("sqlite3", filepath.Join(folder(t, dir), "fields.db"))
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
	for name, hurt := range map[string]func(t *testing.T, dir string){
		"deleted":         func(t *testing.T, dir string) { remove(t, dir) },
		"emptied":         func(t *testing.T, dir string) { remove(t, folder(t, dir)) },
		"pointer deleted": func(t *testing.T, dir string) { remove(t, filepath.Join(dir, pointer)) },
		"pointer is junk": func(t *testing.T, dir string) { write(t, filepath.Join(dir, pointer), []byte("junk")) },
		"pointer leads away": func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, pointer), []byte(`{"folder":"../../x","format":2}`))
		},
		"other format": func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, pointer), []byte(`{"folder":"g1","format":1,"content":2}`))
		},
		"lock is junk": func(t *testing.T, dir string) {
			write(t, filepath.Join(dir, writeLock), []byte("junk"))
			write(t, filepath.Join(dir, buildLock), []byte("junk"))
			remove(t, folder(t, dir))
		},
		"table deleted": func(t *testing.T, dir string) { remove(t, filepath.Join(folder(t, dir), "fields.db")) },
		"table emptied": func(t *testing.T, dir string) { write(t, filepath.Join(folder(t, dir), "fields.db"), nil) },
		"table zeroed": func(t *testing.T, dir string) {
			write(t, filepath.Join(folder(t, dir), "fields.db"), make([]byte, 32768))
		},
		"table cut short": func(t *testing.T, dir string) {
			if err := os.Truncate(filepath.Join(folder(t, dir), "fields.db"), 9000); err != nil {
				t.Fatal(err)
			}
		},
		"table flipped":       func(t *testing.T, dir string) { flip(t, filepath.Join(folder(t, dir), "fields.db"), 4096, 7) },
		"table without sets":  func(t *testing.T, dir string) { inTable(t, dir, `DROP TABLE post`) },
		"table without stamp": func(t *testing.T, dir string) { inTable(t, dir, `DELETE FROM note`) },
		"sets flipped": func(t *testing.T, dir string) {
			inTable(t, dir, `UPDATE post SET bits = CAST(substr(bits, 1, 8) || x'07' || substr(bits, 10) AS BLOB)`)
		},
		"numbers flipped": func(t *testing.T, dir string) {
			inTable(t, dir, `UPDATE number SET bits = CAST(x'00' || substr(bits, 2) AS BLOB)`)
		},
		"part deleted":      func(t *testing.T, dir string) { remove(t, fileIn(t, folder(t, dir), "p*")) },
		"part emptied":      func(t *testing.T, dir string) { write(t, fileIn(t, folder(t, dir), "p*", "store", "*.zap"), nil) },
		"part flipped":      func(t *testing.T, dir string) { flip(t, fileIn(t, folder(t, dir), "p*", "store", "*.zap"), 0, 7) },
		"one bit of a part": func(t *testing.T, dir string) { flip(t, fileIn(t, folder(t, dir), "p*", "store", "*.zap"), 40, 1<<30) },
		"part's root zeroed": func(t *testing.T, dir string) {
			write(t, fileIn(t, folder(t, dir), "p*", "store", "root.bolt"), make([]byte, 32768))
		},
		"of another archive": func(t *testing.T, dir string) {
			inTable(t, dir, `UPDATE note SET value = 999999 WHERE key = 'archive seq'`)
		},
		"rebuild crashed": func(t *testing.T, dir string) {
			if err := os.CopyFS(filepath.Join(dir, "g99"), os.DirFS(folder(t, dir))); err != nil {
				t.Fatal(err)
			}
			remove(t, filepath.Join(dir, pointer))
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, dir := newArchive(t)
			ix := openIndex(t, dir, s)
			some(t, s, 5)
			want := idsOf(ask(t, ix, allTests).Rows)
			if hits, err := findHits(ix, "leak"); err != nil || len(hits) != 5 {
				t.Errorf("find: %d hits, %v", len(hits), err)
			}
			ix.Close() // so that nothing is answered from what is open
			hurt(t, dir)
			ix = openIndex(t, dir, s)
			if hits, err := findHits(ix, "leak"); err != nil || len(hits) != 5 {
				t.Errorf("find: %d hits, %v", len(hits), err)
			}
			if got := idsOf(ask(t, ix, allTests).Rows); got != want || want == "" {
				t.Errorf("%q, want %q", got, want)
			}
			some(t, s, 6) // five of them again
			if a := ask(t, ix, allTests); a.Total != 6 {
				t.Errorf("after adding: %d", a.Total)
			}
		})
	}
}

func remove(t *testing.T, path string) {
	t.Helper()
	if err := os.RemoveAll(path); err != nil {
		t.Fatal(err)
	}
}

// TestRebuild: a rebuild starts from the archive alone.
func TestRebuild(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	some(t, s, 3)
	for range 2 {
		if err := Rebuild(ctx, dir, s); err != nil {
			t.Fatal(err)
		}
	}
	if a := ask(t, openIndex(t, dir, s), allTests); a.Total != 3 {
		t.Errorf("%d", a.Total)
	}
	if list, err := filepath.Glob(filepath.Join(dir, "g*")); err != nil || len(list) != 1 {
		t.Errorf("%v is left over: %v", list, err)
	}
}

// TestShared: several indexes over one folder, as a server and commands have
// them, while records come in and the index is rebuilt.
func TestShared(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	some(t, s, 3)
	var wg sync.WaitGroup
	for w := range 4 {
		ix := openIndex(t, dir, s)
		wg.Go(func() {
			for range 8 {
				if a := ask(t, ix, allTests); a.Total < 3 {
					t.Errorf("asker %d: %d records", w, a.Total)
				}
			}
		})
	}
	wg.Go(func() {
		for i := range 4 {
			put(t, s, "114", nil, test("2", "premium", "0.2", fmt.Sprintf("2025-02-%02dT03:00", i+1), "pass"))
		}
	})
	wg.Go(func() {
		for range 2 {
			if err := Rebuild(ctx, dir, s); err != nil {
				t.Error(err)
			}
		}
	})
	wg.Wait()
	if a := ask(t, openIndex(t, dir, s), allTests); a.Total != 7 {
		t.Errorf("at the end: %d records", a.Total)
	}
}

// TestOvertaken: nothing is written to an index that another one has taken over from,
// whose folder is swept away.
func TestOvertaken(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	some(t, s, 3)
	ix := openIndex(t, dir, s)
	g, release, err := ix.hold()
	if err != nil {
		t.Fatal(err)
	}
	defer release()
	if err := Rebuild(ctx, dir, s); err != nil {
		t.Fatal(err)
	}
	put(t, s, "114", nil, test("2", "premium", "0.2", "2025-02-01T03:00", "pass"))
	if err := ix.writing(ctx, func() error { return ix.catchUpCurrent(ctx, g) }); !errors.Is(err, table.ErrChanged) {
		t.Errorf("the old index was written: %v", err)
	}
	if a := ask(t, ix, allTests); a.Total != 4 {
		t.Errorf("%d records, want 4", a.Total)
	}
}

func TestCancelled(t *testing.T) {
	s, dir := newArchive(t)
	some(t, s, 1)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Open(ctx, dir, s); err == nil {
		t.Error("a cancelled context opened an index")
	}
	if err := os.WriteFile(filepath.Join(filepath.Dir(dir), "file"), bytes.Repeat([]byte("x"), 9), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), filepath.Join(filepath.Dir(dir), "file", "index"), s); err == nil {
		t.Error("an index below a file")
	}
}
