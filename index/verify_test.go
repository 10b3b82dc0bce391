package index

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/blevesearch/bleve/v2"

	"tankroll/archive"
)

// TestVerify hurts the index in each way and looks at it; nothing is changed by
// looking.
func TestVerify(t *testing.T) {
	segment := func(t *testing.T, words string) string {
		t.Helper()
		list, err := filepath.Glob(filepath.Join(words, "store", "*.zap"))
		if err != nil || len(list) == 0 {
			t.Fatal("no segments", err)
		}
		return list[0]
	}
	for name, c := range map[string]struct {
		hurt  func(t *testing.T, words string, s *archive.Store)
		found bool
	}{
		"whole":      {func(*testing.T, string, *archive.Store) {}, false},
		"not there":  {func(t *testing.T, w string, _ *archive.Store) { remove(t, w) }, false},
		"behind":     {func(t *testing.T, _ string, s *archive.Store) { some(t, s, 2) }, false},
		"one bit":    {func(t *testing.T, w string, _ *archive.Store) { flipMiddle(t, segment(t, w)) }, true},
		"cut short":  {func(t *testing.T, w string, _ *archive.Store) { truncate(t, segment(t, w)) }, true},
		"one gone":   {func(t *testing.T, w string, _ *archive.Store) { without(t, w, "r2") }, true},
		"one more":   {func(t *testing.T, w string, s *archive.Store) { silentlyMore(t, w) }, true},
		"of another": {func(t *testing.T, w string, _ *archive.Store) { setSeq(t, w, "1000") }, true},
		"no notes":   {func(t *testing.T, w string, _ *archive.Store) { setSeq(t, w, "") }, true},
		"root gone": {func(t *testing.T, w string, _ *archive.Store) {
			remove(t, filepath.Join(w, "store", "root.bolt"))
		}, true},
	} {
		t.Run(name, func(t *testing.T) {
			ctx := context.Background()
			s, dir := newArchive(t)
			some(t, s, 3)
			openIndex(t, dir, s)
			c.hurt(t, filepath.Join(dir, "words"), s)
			before := listing(t, dir)
			bad, err := Verify(ctx, dir, s)
			if err != nil || (len(bad) > 0) != c.found {
				t.Errorf("found %v, %v", bad, err)
			}
			if after := listing(t, dir); after != before {
				t.Errorf("looking changed the files:\n%s\nto\n%s", before, after)
			}
		})
	}
}

func flipMiddle(t *testing.T, path string) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	raw[len(raw)/2] ^= 1
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		t.Fatal(err)
	}
}

func truncate(t *testing.T, path string) {
	t.Helper()
	if err := os.Truncate(path, 100); err != nil {
		t.Fatal(err)
	}
}

// inIndex changes the index behind the program's back.
func inIndex(t *testing.T, words string, f func(*bleve.Batch) error) {
	t.Helper()
	b, err := bleve.Open(words)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	batch := b.NewBatch()
	if err := f(batch); err != nil {
		t.Fatal(err)
	}
	if err := b.Batch(batch); err != nil {
		t.Fatal(err)
	}
}

// without drops a document and keeps the count.
func without(t *testing.T, words, id string) {
	inIndex(t, words, func(b *bleve.Batch) error {
		b.Delete(id)
		return b.Index("r1000", slipDoc{"c1", "put in"})
	})
}

func silentlyMore(t *testing.T, words string) {
	inIndex(t, words, func(b *bleve.Batch) error {
		b.SetInternal(keyDocs, []byte("7"))
		return b.Index("r1000", slipDoc{"c1", "put in"})
	})
}

func setSeq(t *testing.T, words, seq string) {
	inIndex(t, words, func(b *bleve.Batch) error {
		b.SetInternal(keySeq, []byte(seq))
		return nil
	})
}

// listing is every file below a folder with its bytes.
func listing(t *testing.T, dir string) string {
	t.Helper()
	out := ""
	err := filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(p)
		out += p + " " + string(raw) + "\n"
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
