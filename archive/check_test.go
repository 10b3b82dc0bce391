package archive

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestVerify hurts an archive in each way that a disk or a person may, and looks
// at it: it is found, named, and left as it is.
func TestVerify(t *testing.T) {
	template := sample(t)
	original := func(t *testing.T, dir string) string { return originalFiles(t, dir)[0].path }
	old := func(t *testing.T, path string) {
		t.Helper()
		if err := os.WriteFile(path, []byte("x"), 0o444); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, time.Time{}, time.Now().Add(-time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	sql := func(query string) func(*testing.T, string) {
		return func(t *testing.T, dir string) {
			s := open(t, dir)
			if _, err := s.db.Exec(query); err != nil {
				t.Fatal(err)
			}
			s.Close()
		}
	}
	inFile := func(at int, with string) func(*testing.T, string) {
		return func(t *testing.T, dir string) {
			path := filepath.Join(dir, dbName)
			raw := read(t, path)
			copy(raw[at:], with)
			restoreBytes(t, path, raw)
		}
	}
	for name, c := range map[string]struct {
		hurt func(t *testing.T, dir string)
		want []string // in this order; each a part of what is said
	}{
		"whole":   {func(*testing.T, string) {}, nil},
		"missing": {func(t *testing.T, d string) { os.Remove(original(t, d)) }, []string{"is missing"}},
		"extra": {func(t *testing.T, d string) { old(t, filepath.Join(filepath.Dir(original(t, d)), "x.jpg")) },
			[]string{"/x.jpg: the archive does not know this file"}},
		"extra beside": {func(t *testing.T, d string) { old(t, filepath.Join(d, "originals", "x")) },
			[]string{"originals/x: the archive does not know this file"}},
		"half written": {func(t *testing.T, d string) { old(t, filepath.Join(d, "originals", tempPrefix+"x")) }, nil},
		"cut short":    {func(t *testing.T, d string) { truncate(t, original(t, d), 7) }, []string{"cut short, 7 of"}},
		"longer": {func(t *testing.T, d string) {
			rewrite(t, original(t, d), append(read(t, original(t, d)), 'x'))
		}, []string{"other bytes than came in"}},
		"may be written": {func(t *testing.T, d string) { os.Chmod(original(t, d), 0o644) }, []string{"can be written to (-rw-r--r--)"}},
		"a folder instead": {func(t *testing.T, d string) {
			p := original(t, d)
			os.Remove(p)
			os.Mkdir(p, 0o755)
		}, []string{"not a plain file"}},
		"all originals gone": {func(t *testing.T, d string) { os.RemoveAll(filepath.Join(d, "originals")) },
			[]string{"c1", "c2", "c3", "c4", "c5", "c6", "c7", "c8", "c9", "c10", "originals: cannot be read"}},
		"capture forged":     {sql(`UPDATE captures SET file = 'b.jpg' WHERE id = 1`), []string{"c1: damaged: the journal tells of another file (binder 0/slip.jpg)"}},
		"capture dropped":    {sql(`DROP TRIGGER captures_no_delete; PRAGMA foreign_keys = 0; DELETE FROM captures WHERE id = 6`), []string{"c6: damaged: the journal speaks of it", "tables, indexes or triggers", ".jpg: the archive does not know"}},
		"page dropped":       {sql(`DELETE FROM pages WHERE capture = 2 AND page = 2`), []string{"c2: damaged: it has the readings of 1 pages and should have 2"}},
		"reading replaced":   {sql(`UPDATE slips SET said = replace(said, '"pass"', '"fail"') WHERE capture = 3`), []string{"c3: damaged: a record that was read on page 1 slip 0 is not there"}},
		"record put in":      {sql(`INSERT INTO records (id, capture, page, slip, idx, place, read, header, kind, site, site_name, site_sure, at, at_field, fact, now, now_head, confirmed, rejected, note, seq, reading) SELECT 99, 4, page, slip, idx, place, read, header, kind, site, site_name, site_sure, at, at_field, fact, now, now_head, 0, 0, '', seq, reading FROM records WHERE id = 4`), []string{"r99: damaged: it is not what was read from c4"}},
		"record hidden":      {sql(`UPDATE records SET gone = 1 WHERE id = 4`), []string{"c4: damaged: a record that was read on page 1"}},
		"entry forged":       {sql(`UPDATE records SET read = replace(read, '"confidence":1', '"confidence":0'), now = replace(now, '"confidence":1', '"confidence":0') WHERE capture IS NULL`), []string{"it is not what the journal says was entered"}},
		"site moved":         {sql(`UPDATE records SET site = '115' WHERE id = 1`), []string{"r1: damaged: it does not show what was read and decided"}},
		"link moved":         {sql(`UPDATE captures SET linked = '115' WHERE linked = '117'`), []string{"linked to site \"115\", and the journal says to \"117\""}},
		"picture taken out":  {sql(`UPDATE records SET one = 0, pictures = '' WHERE one <> 0`), []string{"it does not show what was read and decided"}},
		"picture put to it":  {sql(`UPDATE records SET one = 1 WHERE id = 5`), []string{"r5: damaged: it does not show", "r1: damaged: it does not show"}},
		"pair dropped":       {sql(`DELETE FROM pairs`), []string{"and the archive does not know that"}},
		"half a pair":        {sql(`DELETE FROM pairs WHERE a > b`), []string{"knows only one way"}},
		"twin forged":        {sql(`UPDATE records SET twin = 'x' WHERE id = 4`), []string{"r4: damaged: the key by which other pictures of it are found"}},
		"account forged":     {sql(`UPDATE readings SET ocr = 99 WHERE capture = 4 AND page = 2`), []string{"c4: damaged: the account of readings tells of another reading of page 2"}},
		"reading unknown":    {sql(`UPDATE records SET reading = 999 WHERE id = 4`), []string{"r4: damaged: the reading that it is from is not in the account"}},
		"was unknown":        {sql(`UPDATE superseded SET reading = 999`), []string{"what an earlier reading said of it"}},
		"readings uncounted": {sql(`UPDATE sqlite_sequence SET seq = seq + 8 WHERE name = 'readings'`), []string{"the count of readings"}},
		"job dropped":        {sql(`DELETE FROM jobs`), []string{"c6: damaged: it was not read and does not wait to be"}},
		"page of no job":     {sql(`INSERT INTO begun VALUES (1, 1, 2, '{}')`), []string{"c1: damaged: pages of it were read, but it does not wait"}},
		"hint forged":        {sql(`UPDATE captures SET told = '{"year":1999}' WHERE id = 7`), []string{"c7: damaged: the journal tells of another file"}},
		"index dropped":      {sql(`DROP INDEX records_what`), []string{"tables, indexes or triggers"}},
		"seal dropped":       {sql(`DROP INDEX seal_slips`), []string{"tables, indexes or triggers"}},
		"ids counted on":     {sql(`UPDATE sqlite_sequence SET seq = seq + 8 WHERE name = 'captures'`), []string{"the count of captures"}},
		"changes uncounted":  {sql(`UPDATE clock SET seq = 1`), []string{"the count of changes"}},
		"another format":     {inFile(63, "\x01"), []string{"its header says format 1, its tables are of format"}},
		"reserved bytes":     {inFile(75, "x"), []string{"what is reserved"}},
		"no database":        {inFile(0, "no database"), []string{dbName + ": "}},
		"cut database": {func(t *testing.T, d string) {
			if err := os.Truncate(filepath.Join(d, dbName), 8192); err != nil {
				t.Fatal(err)
			}
		}, []string{dbName + ": "}},
	} {
		t.Run(name, func(t *testing.T) {
			dir := copyOf(t, template)
			c.hurt(t, dir)
			before := everything(t, dir)
			var got []string
			_, err := Verify(context.Background(), dir, VerifyOptions{Found: func(p Problem) {
				got = append(got, p.Error())
				if p.Do == "" {
					t.Errorf("%v: says not what to do", p)
				}
			}})
			if err != nil {
				t.Errorf("could not look: %v", err)
			}
			all := strings.Join(got, "\n")
			if (len(got) > 0) != (len(c.want) > 0) || len(c.want) > 1 && len(got) < len(c.want) {
				t.Errorf("found:\n%s", all)
			}
			for _, w := range c.want {
				if !strings.Contains(all, w) {
					t.Errorf("did not find %q in:\n%s", w, all)
				}
			}
			if after := everything(t, dir); after != before {
				t.Error("looking changed the archive")
			}
		})
	}
}

// copyOf copies an archive that nobody has open. Its originals are an hour old.
func copyOf(t *testing.T, dir string) string {
	t.Helper()
	to := t.TempDir()
	if err := os.CopyFS(to, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	hour := time.Now().Add(-time.Hour)
	for _, f := range originalFiles(t, to) {
		if err := errors.Join(os.Chmod(f.path, 0o444), os.Chtimes(f.path, hour, hour)); err != nil {
			t.Fatal(err)
		}
	}
	return to
}

// everything is every file of an archive with its rights and its bytes. What
// SQLite shares with writers (-wal, -shm) may come, but not with anything in it.
func everything(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(p, "-shm") {
			return err
		}
		info, err := d.Info()
		if err != nil || strings.HasSuffix(p, "-wal") && info.Size() == 0 {
			return err
		}
		fmt.Fprintln(&b, p, info.Mode(), info.ModTime(), string(read(t, p)))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestVerifyHead(t *testing.T) {
	ctx := context.Background()
	dir := sample(t)
	sum, err := Verify(ctx, dir, VerifyOptions{})
	if err != nil || sum.Problems != 0 || sum.Captures != 10 || sum.Records == 0 || sum.Bytes == 0 || sum.Head.Seq != sum.Entries {
		t.Fatalf("%+v %v", sum, err)
	}
	for name, c := range map[string]struct {
		head  Head
		found int
	}{
		"the head":     {sum.Head, 0},
		"its start":    {Head{sum.Head.Seq, sum.Head.Hash[:16]}, 0},
		"another":      {Head{sum.Head.Seq, strings.Repeat("0", 64)}, 1},
		"of an entry":  {Head{sum.Head.Seq - 1, sum.Head.Hash}, 1},
		"of a longer":  {Head{sum.Head.Seq + 1, sum.Head.Hash}, 1},
		"of long ago":  {Head{1, firstHash(t, dir)}, 0},
		"of no number": {Head{-1, ""}, 0},
	} {
		got, err := Verify(ctx, dir, VerifyOptions{Head: &c.head})
		if err != nil || got.Problems != c.found {
			t.Errorf("%s: %+v %v", name, got, err)
		}
	}
}

func firstHash(t *testing.T, dir string) string {
	t.Helper()
	s := open(t, dir)
	defer s.Close()
	list, err := texts(context.Background(), s.db, `SELECT hash FROM journal WHERE seq = 1`)
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	return list[0]
}

// TestVerifyLog flips bits in the write-ahead log that a killed process left: the
// commits behind them would be dropped in silence.
func TestVerifyLog(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := open(t, dir)
	for i := range 3 {
		c, _, err := s.Keep(ctx, "a.jpg", fmt.Appendf(nil, "picture %d", i), "")
		if err != nil {
			t.Fatal(err)
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "pass")}); err != nil {
			t.Fatal(err)
		}
	}
	killed := copyOf(t, dir)
	log := filepath.Join(killed, dbName+"-wal")
	whole := read(t, log)
	n, rng := flips(t, 20)
	for range n {
		at := rng.Intn(len(whole) - 8192) // the last commit's own frames are like those that a power cut leaves
		raw := bytes.Clone(whole)
		raw[at] ^= 1 << rng.Intn(8)
		if err := os.WriteFile(log, raw, 0o644); err != nil {
			t.Fatal(err)
		}
		if bad := verified(t, killed); len(bad) == 0 {
			t.Errorf("a flip at %d of %d was not found", at, len(whole))
		}
	}
	if err := os.WriteFile(log, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	if bad := verified(t, killed); len(bad) > 0 {
		t.Errorf("what a kill leaves is not wrong: %v", bad)
	}
}

// TestVerifyWhileWriting looks again and again while two others write.
func TestVerifyWhileWriting(t *testing.T) {
	ctx := context.Background()
	dir := sample(t)
	done := make(chan error, 2)
	for w := range cap(done) {
		go func() { done <- writeSome(ctx, dir, w, 40) }()
	}
	for left, n := cap(done), 0; left > 0 || n == 0; n++ {
		if bad := verified(t, dir); len(bad) > 0 {
			t.Fatalf("while others write: %v", bad)
		}
		select {
		case err := <-done:
			if left--; err != nil {
				t.Fatal(err)
			}
		default:
		}
	}
}

func writeSome(ctx context.Context, dir string, writer, n int) error {
	s, err := Open(ctx, dir)
	if err != nil {
		return err
	}
	defer s.Close()
	for i := range n {
		c, _, err := s.Keep(ctx, "a.jpg", fmt.Appendf(nil, "writer %d picture %d", writer, i), "")
		if err != nil {
			return err
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", fmt.Sprintf("2025-01-%02dT03:04", 1+i%20), "fail")}); err != nil {
			return err
		}
		rows, err := s.Rows(ctx, Filter{Capture: c.ID})
		if err != nil || len(rows) != 1 {
			return fmt.Errorf("rows: %v %w", rows, err)
		}
		if err := s.Decide(ctx, Decision{Record: rows[0].ID, Action: Correct, Field: "result", Value: "pass"}); err != nil {
			return err
		}
	}
	return nil
}

func TestOpenReadOnly(t *testing.T) {
	ctx := context.Background()
	empty := t.TempDir()
	if _, err := OpenReadOnly(ctx, empty); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no archive: %v", err)
	}
	if list, _ := os.ReadDir(empty); len(list) > 0 {
		t.Errorf("looking made %v", list)
	}
	dir := sample(t)
	s, err := OpenReadOnly(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, _, err := s.Keep(ctx, "a", []byte("x"), ""); err == nil {
		t.Error("an archive opened for looking was written to")
	}
	if err := os.RemoveAll(filepath.Join(dir, dbName+"-shm")); err != nil {
		t.Fatal(err)
	}
}

// TestCheckBesideWriter: checking waits for nobody, as many as read at once.
func TestCheckBesideWriter(t *testing.T) {
	ctx := context.Background()
	s, err := Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c, _, err := s.Keep(ctx, "a.jpg", []byte("picture"), "")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "pass")}); err != nil {
		t.Fatal(err)
	}
	writer, err := s.db.BeginTx(ctx, nil) // holds the write lock
	if err != nil {
		t.Fatal(err)
	}
	defer writer.Rollback()
	ctx, cancel := context.WithTimeout(ctx, busyTimeout/2)
	defer cancel()
	if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
		t.Errorf("beside a writer: %v %v", bad, err)
	}
}
