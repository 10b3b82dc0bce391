package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tankroll/archive/powercut"
)

// onPowercut is a disk that forgets what was not synced.
type onPowercut struct{ *powercut.Disk }

func (d onPowercut) vfs() string                     { return d.VFS() }
func (d onPowercut) create(dir string) (file, error) { return d.Create(dir, tempPrefix+"*") }
func (d onPowercut) rename(from, to string) error    { return d.Rename(from, to) }
func (d onPowercut) remove(path string) error        { return d.Remove(path) }
func (d onPowercut) syncFile(path string) error      { return d.SyncFile(path) }
func (d onPowercut) syncDir(dir string) error        { return d.SyncDir(dir) }
func (d onPowercut) mkdir(dir string) error {
	if err := d.Mkdir(dir); !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

func newDisk(t testing.TB, dir string) onPowercut {
	t.Helper()
	d, err := powercut.New(dir)
	if err != nil {
		t.Fatal(err)
	}
	return onPowercut{d}
}

// promise is what the archive has acknowledged after a number of operations.
type promise struct {
	after int
	what  string
	holds func(context.Context, *Store) error
}

// story is work on an archive that acknowledges as it goes.
type story struct {
	disk     onPowercut
	store    *Store
	promises []promise
}

func (w *story) promise(what string, holds func(context.Context, *Store) error) {
	w.promises = append(w.promises, promise{w.disk.Ops(), what, holds})
}

// keep keeps a picture, which is there from then on, once.
func (w *story) keep(ctx context.Context, text string) (string, error) {
	c, _, err := w.store.Keep(ctx, "a.jpg", []byte(text), "")
	if err != nil {
		return "", err
	}
	w.promise("kept "+c.ID, func(ctx context.Context, s *Store) error {
		raw, err := s.Original(ctx, c.ID)
		if err == nil && string(raw) != text {
			err = fmt.Errorf("it is %q", raw)
		}
		return err
	})
	return c.ID, nil
}

// read saves the reading of a picture.
func (w *story) read(ctx context.Context, id, tank string) (string, error) {
	if err := w.store.SaveReadings(ctx, id, []Reading{tankTest(tank, "2025-01-02T03:04", "fail"), {Page: 2}}); err != nil {
		return "", err
	}
	rows, err := w.store.Rows(ctx, Filter{Capture: id})
	if err != nil || len(rows) != 1 {
		return "", fmt.Errorf("%d rows: %w", len(rows), err)
	}
	w.promise("read "+id, func(ctx context.Context, s *Store) error {
		rows, err := s.Rows(ctx, Filter{Capture: id})
		if err == nil && (len(rows) != 1 || rows[0].Record.Text("tank") != tank) {
			err = fmt.Errorf("it has the rows %v", rows)
		}
		return err
	})
	return rows[0].ID, nil
}

// note takes the job of a picture and notes the first of its pages.
func (w *story) note(ctx context.Context, id string) error {
	q := w.store.Queue()
	// When the story is told again it may have the job, or the picture be read.
	if _, err := q.Take(ctx, id, "crew", time.Minute); err != nil {
		return err
	}
	if err := q.Note(ctx, id, "crew", 2, Reading{Page: 1}); err != nil {
		return err
	}
	w.promise("noted a page of "+id, func(ctx context.Context, s *Store) error {
		c, err := s.Capture(ctx, id)
		if err != nil || c.Read {
			return err
		}
		b, err := s.Queue().Begun(ctx, id)
		if err == nil && len(b.Read) != 1 {
			err = fmt.Errorf("%d pages of it are noted", len(b.Read))
		}
		return err
	})
	return nil
}

func (w *story) correct(ctx context.Context, record, field, value string) error {
	if err := w.store.Decide(ctx, Decision{Record: record, Action: Correct, Field: field, Value: value}); err != nil {
		return err
	}
	w.promise("corrected "+record, func(ctx context.Context, s *Store) error {
		r, err := s.Record(ctx, record)
		if err == nil && r.Record.Text(field) != value {
			err = fmt.Errorf("%s is %q", field, r.Record.Text(field))
		}
		return err
	})
	return nil
}

// stories are what the power is cut in. Each begins with opening the archive.
var stories = []struct {
	name string
	base func(t *testing.T, dir string) // what is there before
	tell func(context.Context, *story) error
}{
	{"add", nil, func(ctx context.Context, w *story) error {
		id, err := w.keep(ctx, "picture")
		if err != nil {
			return err
		}
		_, err = w.read(ctx, id, "7")
		return err
	}},
	{"correction", func(t *testing.T, dir string) { oneFailed(t, dir) }, func(ctx context.Context, w *story) error {
		if err := w.correct(ctx, "r1", "result", "pass"); err != nil {
			return err
		}
		return w.correct(ctx, "r1", "tank", "3")
	}},
	{"import", nil, func(ctx context.Context, w *story) error {
		var ids []string
		for i := range 5 {
			id, err := w.keep(ctx, strings.Repeat(fmt.Sprintf("page %d ", i), 300))
			if err != nil {
				return err
			}
			ids = append(ids, id)
		}
		for i, id := range ids {
			if i == 1 {
				if err := w.note(ctx, id); err != nil {
					return err
				}
			}
			if _, err := w.read(ctx, id, fmt.Sprint(i+1)); err != nil {
				return err
			}
		}
		return nil
	}},
	{"migration", func(t *testing.T, dir string) { oldArchive(t, dir, 1) }, func(ctx context.Context, w *story) error {
		w.promise("kept the old one", func(ctx context.Context, s *Store) error {
			_, err := os.Stat(filepath.Join(s.dir, fmt.Sprintf(keptName, len(migrations))))
			return err
		})
		return w.correct(ctx, "r2", "tank", "3")
	}},
}

// oneFailed makes an archive with one record.
func oneFailed(t *testing.T, dir string) {
	t.Helper()
	s := open(t, dir)
	c, _, err := s.Keep(context.Background(), "b.jpg", []byte("before"), "")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SaveReadings(context.Background(), c.ID, []Reading{tankTest("1", "2024-01-02T03:04", "fail")}); err != nil {
		t.Fatal(err)
	}
	s.Close()
}

// told tells a story to its end, with everything promised in it.
func told(t *testing.T, i int) *story {
	t.Helper()
	ctx := context.Background()
	dir := t.TempDir()
	if stories[i].base != nil {
		stories[i].base(t, dir)
	}
	w := &story{disk: newDisk(t, dir)}
	t.Cleanup(w.disk.Close)
	var err error
	if w.store, err = openOn(ctx, w.disk, dir); err != nil {
		t.Fatal(err)
	}
	had, err := w.store.Captures(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range had {
		w.promises = append(w.promises, promise{0, "had " + c.ID, func(ctx context.Context, s *Store) error {
			_, err := s.Original(ctx, c.ID)
			return err
		}})
	}
	if err := stories[i].tell(ctx, w); err != nil {
		t.Fatal(err)
	}
	w.store.Close()
	return w
}

// after looks at what a power cut leaves: what was promised before it is there,
// all is whole, and work goes on.
func (w *story) after(t *testing.T, n int, lie powercut.Lie, luck powercut.Luck) (err error) {
	t.Helper()
	ctx := context.Background()
	dir, err := os.MkdirTemp(t.TempDir(), "cut")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	if err := w.disk.Cut(n, lie, luck, dir); err != nil {
		t.Fatal(err)
	}
	disk := newDisk(t, dir) // for speed: it need not sync
	defer disk.Close()
	s, err := openOn(ctx, disk, dir)
	if err != nil {
		return fmt.Errorf("open: %w", err)
	}
	defer s.Close()
	for _, p := range w.promises {
		if p.after > n {
			break
		}
		if err := p.holds(ctx, s); err != nil {
			return fmt.Errorf("%s: %w", p.what, err)
		}
	}
	if err := allWhole(ctx, s); err != nil {
		return err
	}
	on := &story{disk: disk, store: s}
	before, err := s.Captures(ctx)
	if err != nil {
		return err
	}
	for range 2 { // once and the same again
		id, err := on.keep(ctx, "picture")
		if err != nil {
			return fmt.Errorf("work on: %w", err)
		}
		r, err := on.read(ctx, id, "7")
		if err == nil {
			err = on.correct(ctx, r, "tank", "8")
		}
		if err == nil {
			err = on.store.Decide(ctx, Decision{Record: r, Action: Undo})
		}
		if err != nil {
			return fmt.Errorf("work on: %w", err)
		}
	}
	if list, err := s.Captures(ctx); err != nil || len(list) > len(before)+1 {
		return fmt.Errorf("work on: %d captures of %d and the same one twice: %w", len(list), len(before), err)
	}
	return s.VerifyJournal(ctx)
}

// allWhole is Check without the search for files that nothing knows of: it waits,
// since another process may be writing, and an original that came in just before
// the cut and was not acknowledged may be there. So may the end of a commit in the
// log whose beginning was not written; that it was not acknowledged is known here.
func allWhole(ctx context.Context, s *Store) error {
	var bad []Problem
	c := newChecker(s, VerifyOptions{Found: func(p Problem) {
		if !errors.Is(p.Err, errLost) {
			bad = append(bad, p)
		}
	}})
	if err := c.run(ctx, c.database, c.journal, c.captures, c.records); err != nil {
		return err
	}
	if len(bad) > 0 {
		return fmt.Errorf("not whole: %v", bad)
	}
	list, err := s.Captures(ctx)
	if err != nil {
		return err
	}
	for _, c := range list {
		if _, err := s.original(c); err != nil {
			return err
		}
	}
	return nil
}

// TestPowerCut cuts the power after every operation of every story; what was not
// synced is lost, or all there, or some of it there.
func TestPowerCut(t *testing.T) {
	for i, st := range stories {
		t.Run(st.name, func(t *testing.T) {
			w := told(t, i)
			for n := start(); n <= w.disk.Ops(); n += stride() {
				for k, luck := range lucks(n) {
					if err := w.after(t, n, powercut.Lie{}, luck); err != nil {
						t.Fatalf("operation %d of %d, luck %d: %v", n, w.disk.Ops(), k, err)
					}
				}
			}
			t.Logf("%d operations, %d promises", w.disk.Ops(), len(w.promises))
		})
	}
}

// stride is how many operations lie between two cuts: a cut after each of them
// takes minutes, so the quick test takes another sample every day.
func stride() int {
	if long() {
		return 1
	}
	return 47
}

func start() int { return int(time.Now().Unix()/86400) % stride() }

func lucks(n int) []powercut.Luck {
	out := []powercut.Luck{nil, powercut.All{}}
	seeds := 1
	if long() {
		seeds = 3
	}
	for seed := range seeds {
		out = append(out, powercut.Some(int64(n*1000+seed)))
	}
	return out
}

// TestPowerCutNotices is the test of the test: on a disk that only says that it
// has synced, be it files or folders, something promised is lost in each story.
func TestPowerCutNotices(t *testing.T) {
	for i, st := range stories {
		for _, lie := range []powercut.Lie{{Files: true}, {Dirs: true}, {Files: true, Dirs: true}} {
			if lie.Dirs && !lie.Files && st.name == "correction" {
				continue // the only new name is the log's, which is gone in the end
			}
			t.Run(fmt.Sprintf("%s %+v", st.name, lie), func(t *testing.T) {
				w := told(t, i)
				for n := w.disk.Ops(); n >= 0; n -= stride() { // from the end, where most was promised
					for _, luck := range lucks(n) {
						if err := w.after(t, n, lie, luck); err != nil {
							t.Logf("operation %d of %d: %v", n, w.disk.Ops(), err)
							return
						}
					}
				}
				t.Error("nobody noticed that the disk lied")
			})
		}
	}
}

// long says that what takes minutes is wanted, as in make check-long.
func long() bool { return os.Getenv("TANKROLL_LONG") != "" }

// oldArchive puts an archive as the steps of an older format made it in a folder.
func oldArchive(t *testing.T, dir string, format int) {
	t.Helper()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("testdata", fmt.Sprintf("format-%d", format)))); err != nil {
		t.Fatal(err)
	}
	originals, err := filepath.Glob(filepath.Join(dir, "originals", "*", "*"))
	if err != nil || len(originals) == 0 {
		t.Fatalf("%d originals: %v", len(originals), err)
	}
	for _, path := range originals { // a version control does not keep that they are read-only
		if err := os.Chmod(path, 0o444); err != nil {
			t.Fatal(err)
		}
	}
}
