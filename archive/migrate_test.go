package archive

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
)

// TestBringForward opens archives that older steps have made: all that was in
// them is there, what people decided stands, and the old database is kept as it
// was.
func TestBringForward(t *testing.T) {
	for _, format := range []int{1, 2, 5} {
		t.Run(fmt.Sprint(format), func(t *testing.T) {
			ctx := context.Background()
			dir := t.TempDir()
			oldArchive(t, dir, format)
			s := open(t, dir)
			checkOld(t, s)
			kept := filepath.Join(dir, fmt.Sprintf(keptName, len(migrations)))
			if have, captures := oldDB(t, kept); have != format || captures < 3 {
				t.Errorf("kept: format %d with %d captures", have, captures)
			}
			if left, _ := filepath.Glob(filepath.Join(dir, scratchName+"*")); len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
			was, err := os.ReadFile(kept)
			if err != nil {
				t.Fatal(err)
			}
			s.Close()
			s = open(t, dir) // nothing more to bring forward
			if now, err := os.ReadFile(kept); err != nil || !bytes.Equal(was, now) {
				t.Errorf("what was kept has changed: %v", err)
			}
			// Another picture of what was kept then is found to be one with it.
			c, _, err := s.Keep(ctx, "again.jpg", []byte("another picture of roll 3"), "")
			if err != nil {
				t.Fatal(err)
			}
			if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("3", "2025-01-04T03:04", "pass")}); err != nil {
				t.Fatal(err)
			}
			if r, err := s.Record(ctx, "r3"); err != nil || len(r.With) != 1 {
				t.Errorf("r3 is one with %v, %v", r.With, err)
			}
			if err := s.Decide(ctx, Decision{Record: "r2", Action: Correct, Field: "tank", Value: "9"}); err != nil {
				t.Error(err)
			}
		})
	}
}

// checkOld compares with what was put in the kept archives when they were made.
func checkOld(t *testing.T, s *Store) {
	t.Helper()
	ctx := context.Background()
	if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
	for id, want := range map[string]string{"r1": "pass", "r2": "pass", "r3": "pass", "r4": "pass"} {
		if r, err := s.Record(ctx, id); err != nil || r.Record.Text("result") != want || r.Record.Text("tank") != id[1:] {
			t.Errorf("%s: %+v %v", id, r, err)
		}
	}
	if h, err := s.History(ctx, "r1"); err != nil || len(h) != 1 || h[0].By != "Ada" || h[0].Note != "faded" {
		t.Errorf("history: %+v %v", h, err)
	}
	if r, err := s.Record(ctx, "r3"); err != nil || r.Rejected {
		t.Errorf("a rejection that was taken back: %+v %v", r, err)
	}
}

func oldDB(t *testing.T, path string) (format, captures int) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.QueryRow(`PRAGMA user_version`).Scan(&format); err != nil {
		t.Fatal(err)
	}
	if err := db.QueryRow(`SELECT count(*) FROM captures`).Scan(&captures); err != nil {
		t.Fatal(err)
	}
	return format, captures
}

// TestBringForwardAtOnce: several that open an old archive at the same time find
// one new one.
func TestBringForwardAtOnce(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	oldArchive(t, dir, 1)
	var wg sync.WaitGroup
	for i := range 4 {
		wg.Go(func() {
			s, err := Open(ctx, dir)
			if err != nil {
				t.Error(err)
				return
			}
			defer s.Close()
			if _, _, err := s.Keep(ctx, "n.jpg", fmt.Appendf(nil, "new %d", i), ""); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	s := open(t, dir)
	checkOld(t, s)
	if list, err := s.Captures(ctx); err != nil || len(list) != 3+4 {
		t.Errorf("%d captures: %v", len(list), err)
	}
}

// TestBringForwardAlone: while an older program has the archive open it is not
// brought forward, and nothing changes.
func TestBringForwardAlone(t *testing.T) {
	dir := t.TempDir()
	oldArchive(t, dir, 2)
	db := sql.OpenDB(connector{fileQuery(filepath.Join(dir, dbName)).String() + "&_journal_mode=WAL"})
	defer db.Close()
	if _, err := db.Exec(`UPDATE clock SET seq = seq + 1`); err != nil {
		t.Fatal(err)
	}
	s := &Store{dir: dir, disk: osDisk{}}
	if err := s.openOnce(context.Background()); !isBusy(err) {
		t.Fatalf("want busy: %v", err)
	}
	if format, _ := oldDB(t, filepath.Join(dir, dbName)); format != 2 {
		t.Errorf("format %d", format)
	}
	db.Close()
	checkOld(t, open(t, dir))
}

// TestNewerUnchanged: an archive of a newer version is refused with its bytes as
// they were.
func TestNewerUnchanged(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.db.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, len(migrations)+1)); err != nil {
		t.Fatal(err)
	}
	s.Close()
	path := filepath.Join(dir, dbName)
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), dir); !errors.Is(err, ErrNewer) {
		t.Errorf("%v", err)
	}
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(was, now) {
		t.Errorf("its bytes have changed: %v", err)
	}
}
