package index

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/archive"
)

// TestVerify hurts the index in each way and looks at it; nothing is changed by
// looking.
func TestVerify(t *testing.T) {
	folder := func(t *testing.T, dir string) string {
		t.Helper()
		p, err := (&Index{dir: dir}).readPointer()
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Join(dir, p.Folder)
	}
	segment := func(t *testing.T, dir string) string {
		t.Helper()
		list, err := filepath.Glob(filepath.Join(folder(t, dir), "p*", "store", "*.zap"))
		if err != nil || len(list) == 0 {
			t.Fatal("no segments", err)
		}
		return list[0]
	}
	inTable := func(query string) func(*testing.T, string, *archive.Store) {
		return func(t *testing.T, dir string, _ *archive.Store) {
			t.Helper()
			db, err := sql.Open("sqlite3", tablePath(folder(t, dir)))
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			if _, err := db.Exec(query); err != nil {
				t.Fatal(err)
			}
		}
	}
	const dropSet = `DELETE FROM post WHERE term = (SELECT min(id) FROM term WHERE field = `
	for name, c := range map[string]struct {
		hurt  func(t *testing.T, dir string, s *archive.Store)
		found bool
	}{
		"whole":       {func(*testing.T, string, *archive.Store) {}, false},
		"not there":   {func(t *testing.T, d string, _ *archive.Store) { remove(t, d) }, false},
		"behind":      {func(t *testing.T, _ string, s *archive.Store) { some(t, s, 2) }, false},
		"one bit":     {func(t *testing.T, d string, _ *archive.Store) { flipMiddle(t, segment(t, d)) }, true},
		"cut short":   {func(t *testing.T, d string, _ *archive.Store) { truncate(t, segment(t, d)) }, true},
		"part gone":   {func(t *testing.T, d string, _ *archive.Store) { remove(t, segment(t, d)) }, true},
		"table cut":   {func(t *testing.T, d string, _ *archive.Store) { truncate(t, tablePath(folder(t, d))) }, true},
		"table gone":  {func(t *testing.T, d string, _ *archive.Store) { remove(t, tablePath(folder(t, d))) }, true},
		"folder gone": {func(t *testing.T, d string, _ *archive.Store) { remove(t, folder(t, d)) }, true},
		"set changed": {inTable(`UPDATE post SET bits = CAST(substr(bits, 1, length(bits) - 1) || x'55' AS BLOB) WHERE rowid = 1`), true},
		"one gone":    {inTable(`DELETE FROM doc WHERE no = 2`), true},
		"one more":    {inTable(`INSERT INTO doc SELECT 1000, 0, terms FROM doc WHERE no = 2`), true},
		"value lost":  {inTable(`UPDATE doc SET terms = CAST(substr(terms, 1, length(terms) - 1) AS BLOB) WHERE no = 2`), true},
		"set gone":    {inTable(dropSet + `'tank')`), true},
		"part empty":  {inTable(dropSet + `'part')`), true},
		"none live":   {inTable(dropSet + `'slip')`), true},
		"other event": {inTable(`UPDATE doc SET fact = fact + 2 WHERE no = 2`), true},
		"slip moved":  {inTable(`UPDATE slip SET page = 9 WHERE no = 1`), true},
		"slip gone":   {inTable(`DELETE FROM slip WHERE no = 1`), true},
		"of another":  {inTable(`UPDATE note SET value = 1000 WHERE key = '` + noteSeq + `'`), true},
		"no pointer to it": {func(t *testing.T, d string, _ *archive.Store) {
			if err := os.WriteFile(filepath.Join(d, pointer), []byte("{}"), 0o644); err != nil {
				t.Fatal(err)
			}
		}, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ctx := context.Background()
			s, dir := newArchive(t)
			some(t, s, 3)
			ix, err := Open(ctx, dir, s)
			if err != nil {
				t.Fatal(err)
			}
			ix.Close()
			c.hurt(t, dir, s)
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

// listing is every file below a folder with its bytes. What SQLite shares with
// writers (-wal, -shm) may come, but not with anything in it.
func listing(t *testing.T, dir string) string {
	t.Helper()
	out := ""
	err := filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if os.IsNotExist(err) {
			return nil
		}
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(p)
		if strings.HasSuffix(p, "-shm") || strings.HasSuffix(p, "-wal") && len(raw) == 0 {
			return err
		}
		out += p + " " + string(raw) + "\n"
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
