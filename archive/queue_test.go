package archive

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"
)

// keepSome keeps n pictures and gives their ids.
func keepSome(t *testing.T, s *Store, n int) (ids []string) {
	t.Helper()
	for i := range n {
		c, _, err := s.Keep(t.Context(), fmt.Sprintf("%d.jpg", i), fmt.Appendf(nil, "picture %d", i), "")
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, c.ID)
	}
	return ids
}

// claimed takes the next job; "" when there is none.
func claimed(t *testing.T, s *Store, holder, run string, lease time.Duration) string {
	t.Helper()
	j, ok, err := s.Queue().Claim(t.Context(), holder, run, lease)
	if err != nil {
		t.Fatal(err)
	}
	if !ok {
		return ""
	}
	return j.Capture
}

// TestQueueOrder: the oldest first, but what the run waits for before all else;
// a job ends when its readings are saved and comes back when it is wanted.
func TestQueueOrder(t *testing.T) {
	s := open(t, t.TempDir())
	ids := keepSome(t, s, 4)
	if waiting, err := s.Queue().Hurry(t.Context(), ids[2], "mine"); err != nil || !waiting {
		t.Errorf("%s does not wait: %v", ids[2], err)
	}
	var got []string
	for range 5 {
		got = append(got, claimed(t, s, "a", "mine", time.Minute))
	}
	if want := []string{ids[2], ids[0], ids[1], ids[3], ""}; !slices.Equal(got, want) {
		t.Errorf("taken %v, want %v", got, want)
	}
	if err := s.SaveReadings(t.Context(), ids[2], []Reading{{Page: 1}}); err != nil {
		t.Fatal(err)
	}
	if waits, err := s.Queue().Waits(t.Context(), ids[2]); err != nil || waits {
		t.Errorf("read and still in the queue: %v", err)
	}
	if waiting, err := s.Queue().Hurry(t.Context(), ids[2], "mine"); err != nil || waiting {
		t.Errorf("what was read cannot be hurried: %v", err)
	}
	if err := s.Queue().Want(t.Context(), ids[2], "mine"); err != nil {
		t.Fatal(err)
	}
	if got := claimed(t, s, "a", "", time.Minute); got != ids[2] {
		t.Errorf("wanted again, but %q was taken", got)
	}
	if n, err := s.Queue().Len(t.Context()); err != nil || n != 4 {
		t.Errorf("%d jobs, %v", n, err)
	}
}

// TestLease: a job whose holder is silent can be taken again when its lease has
// run out, and not before; a clock set back frees it; what is given back is as
// it was.
func TestLease(t *testing.T) {
	s := open(t, t.TempDir())
	clock := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	s.now = func() time.Time { return clock }
	id := keepSome(t, s, 1)[0]
	q := s.Queue()
	if got := claimed(t, s, "dead", "", time.Minute); got != id {
		t.Fatalf("took %q", got)
	}
	clock = clock.Add(50 * time.Second)
	if got := claimed(t, s, "heir", "", time.Minute); got != "" {
		t.Error("taken from its holder")
	}
	if err := q.Renew(t.Context(), "dead", time.Minute); err != nil {
		t.Fatal(err)
	}
	clock = clock.Add(50 * time.Second)
	if got := claimed(t, s, "heir", "", time.Minute); got != "" {
		t.Error("taken although the lease was renewed")
	}
	clock = clock.Add(11 * time.Second)
	j, ok, err := q.Claim(t.Context(), "heir", "", time.Minute)
	if err != nil || !ok || j != (Job{id, 2}) {
		t.Errorf("after the lease: %+v %v %v", j, ok, err)
	}
	if err := q.Renew(t.Context(), "dead", time.Hour); err != nil { // it is not dead, only late
		t.Fatal(err)
	}
	clock = clock.Add(61 * time.Second)
	if got := claimed(t, s, "third", "", time.Minute); got != id {
		t.Error("one that lost its lease prolonged that of another")
	}
	if err := q.Release(t.Context(), "third"); err != nil {
		t.Fatal(err)
	}
	if j, ok, err := q.Claim(t.Context(), "fourth", "", time.Minute); err != nil || !ok || j.Tries != 3 {
		t.Errorf("given back: %+v %v %v", j, ok, err)
	}
	clock = clock.Add(-24 * time.Hour)
	if got := claimed(t, s, "fifth", "", time.Minute); got != id {
		t.Error("a clock set back by a day blocks the job for a day")
	}
}

// TestTwoWorkers: several processes' worth of workers take every job once.
func TestTwoWorkers(t *testing.T) {
	dir := t.TempDir()
	ids := keepSome(t, open(t, dir), 60)
	var mu sync.Mutex
	by := map[string][]string{}
	var group sync.WaitGroup
	for w := range 4 {
		s := open(t, dir)
		group.Go(func() {
			for {
				j, ok, err := s.Queue().Claim(context.Background(), fmt.Sprint(w), "", time.Minute)
				if err != nil || !ok {
					if err != nil {
						t.Error(err)
					}
					return
				}
				mu.Lock()
				by[j.Capture] = append(by[j.Capture], fmt.Sprint(w))
				mu.Unlock()
				if err := s.SaveReadings(context.Background(), j.Capture, []Reading{{Page: 1}}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	for _, id := range ids {
		if len(by[id]) != 1 {
			t.Errorf("%s was taken by %v", id, by[id])
		}
	}
}

// TestQueueOfOldArchive: what an older version kept and did not read waits.
func TestQueueOfOldArchive(t *testing.T) {
	dir := t.TempDir()
	db, err := sql.Open("sqlite3", filepath.Join(dir, dbName))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{migrations[0], migrations[1], `PRAGMA user_version = 2`,
		`INSERT INTO captures (sha256, ext, file, added_at, site, size, read) VALUES ('ab', 'jpg', 'old.jpg', '2025-01-02T03:04:05Z', '', 1, 1)`,
		`INSERT INTO captures (sha256, ext, file, added_at, site, size, read) VALUES ('cd', 'jpg', 'new.jpg', '2025-01-02T03:04:05Z', '', 1, 0)`} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	if got, next := claimed(t, s, "a", "", time.Minute), claimed(t, s, "a", "", time.Minute); got != "c2" || next != "" {
		t.Errorf("waiting: %q, then %q", got, next)
	}
}

// TestTold: what a folder tells is kept with the original and stands in the
// journal.
func TestTold(t *testing.T) {
	s := open(t, t.TempDir())
	c, _, err := s.KeepTold(t.Context(), "a.jpg", []byte("picture"), "", Told{Site: "0114", Year: 2019, Month: 3}, "")
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.Capture(t.Context(), c.ID)
	if want := (Told{Site: "114", Year: 2019, Month: 3}); err != nil || got.Told != want || c.Told != want {
		t.Errorf("kept %+v, %+v, %v", c.Told, got.Told, err)
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("%v %v", bad, err)
	}
	if _, err := s.db.Exec(`UPDATE captures SET told = ''`); err != nil {
		t.Fatal(err)
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) != 1 || bad[0].What != c.ID {
		t.Errorf("changed behind the journal's back: %v %v", bad, err)
	}
}

func TestWatchedFiles(t *testing.T) {
	s := open(t, t.TempDir())
	at := time.Date(2026, 3, 1, 12, 0, 0, 7, time.UTC)
	for _, w := range []Watched{{"/in/b.jpg", 3, at, ""}, {"/in/a.txt", 0, at, "empty"}, {"/in/b.jpg", 4, at.Add(1), ""}} {
		if err := s.Looked(t.Context(), w); err != nil {
			t.Fatal(err)
		}
	}
	list, err := s.Watched(t.Context())
	if err != nil || len(list) != 2 || list[0].Error != "empty" || list[1].Size != 4 || !list[1].Changed.Equal(at.Add(1)) {
		t.Errorf("%+v %v", list, err)
	}
	if err := s.Forget(t.Context(), "/in/b.jpg"); err != nil {
		t.Fatal(err)
	}
	if list, err := s.Watched(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%+v %v", list, err)
	}
}
