package index

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/blevesearch/bleve/v2"
	bolt "go.etcd.io/bbolt"

	"tankroll/archive"
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
	if hits, err := ix.Find(ctx, "leak", 10); err != nil || len(hits) != 1 || hits[0].Capture != "c1" {
		t.Errorf("after another reading: %v %v", hits, err)
	}
	if hits, err := ix.Find(ctx, "something", 10); err != nil || len(hits) != 1 {
		t.Errorf("after another reading: %v %v", hits, err)
	}
}

// TestComesBack hurts the index in every way that is known; the next question
// is answered as if nothing had been.
func TestComesBack(t *testing.T) {
	inBolt := func(t *testing.T, words string, f func(*bolt.Tx) error) {
		t.Helper()
		db, err := bolt.Open(filepath.Join(words, "store", "root.bolt"), 0o644, nil)
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if err := db.Update(f); err != nil {
			t.Fatal(err)
		}
	}
	segments := func(t *testing.T, words string) []string {
		t.Helper()
		list, err := filepath.Glob(filepath.Join(words, "store", "*.zap"))
		if err != nil || len(list) == 0 {
			t.Fatal("no segments", err)
		}
		return list
	}
	write := func(t *testing.T, path string, raw []byte) {
		t.Helper()
		if err := os.WriteFile(path, raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, hurt := range map[string]func(t *testing.T, words string){
		"deleted":           func(t *testing.T, w string) { remove(t, filepath.Dir(w)) },
		"words deleted":     func(t *testing.T, w string) { remove(t, w) },
		"meta deleted":      func(t *testing.T, w string) { remove(t, filepath.Join(w, "index_meta.json")) },
		"meta emptied":      func(t *testing.T, w string) { write(t, filepath.Join(w, "index_meta.json"), nil) },
		"root zeroed":       func(t *testing.T, w string) { write(t, filepath.Join(w, "store", "root.bolt"), make([]byte, 32768)) },
		"root emptied":      func(t *testing.T, w string) { write(t, filepath.Join(w, "store", "root.bolt"), nil) },
		"a file, no folder": func(t *testing.T, w string) { remove(t, w); write(t, w, []byte("x")) },
		"lock is junk": func(t *testing.T, w string) {
			write(t, filepath.Join(filepath.Dir(w), "lock"), []byte("junk"))
			remove(t, w)
		},
		"segments cut short": func(t *testing.T, w string) {
			for _, p := range segments(t, w) {
				if err := os.Truncate(p, 100); err != nil {
					t.Fatal(err)
				}
			}
		},
		"segment deleted": func(t *testing.T, w string) {
			list := segments(t, w)
			remove(t, list[len(list)-1])
		},
		"segment bytes flipped": func(t *testing.T, w string) {
			for _, p := range segments(t, w) {
				raw, err := os.ReadFile(p)
				if err != nil {
					t.Fatal(err)
				}
				remove(t, p)
				for i := 0; i < len(raw)-64; i += 7 {
					raw[i] ^= 0x55
				}
				write(t, p, raw)
			}
		},
		"snapshots deleted": func(t *testing.T, w string) {
			inBolt(t, w, func(tx *bolt.Tx) error { return tx.DeleteBucket([]byte("s")) })
		},
		"other format": func(t *testing.T, w string) { setNote(t, w, keyForm, "0.9") },
		"fewer documents than noted": func(t *testing.T, w string) {
			setNote(t, w, keyDocs, "5000")
		},
		"of another archive": func(t *testing.T, w string) { setNote(t, w, keySeq, "999999") },
		"rebuild crashed": func(t *testing.T, w string) {
			if err := os.Rename(w, filepath.Join(filepath.Dir(w), "new")); err != nil {
				t.Fatal(err)
			}
		},
		"between the renames": func(t *testing.T, w string) {
			if err := os.Rename(w, filepath.Join(filepath.Dir(w), "old")); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, dir := newArchive(t)
			ix := openIndex(t, dir, s)
			some(t, s, 5)
			want := idsOf(ask(t, ix, allTests).Rows)
			hurt(t, filepath.Join(dir, "words"))
			if name == "deleted" {
				ix = openIndex(t, dir, s)
			}
			if got := idsOf(ask(t, ix, allTests).Rows); got != want || want == "" {
				t.Errorf("%q, want %q", got, want)
			}
			if hits, err := ix.Find(context.Background(), "leak", 10); err != nil || len(hits) != 5 {
				t.Errorf("find: %d hits, %v", len(hits), err)
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

func setNote(t *testing.T, words string, key []byte, value string) {
	t.Helper()
	b, err := bleve.Open(words)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if err := b.SetInternal(key, []byte(value)); err != nil {
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
	for _, left := range []string{"new", "old"} {
		if _, err := os.Stat(filepath.Join(dir, left)); err == nil {
			t.Errorf("%s is left over", left)
		}
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
