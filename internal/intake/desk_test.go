package intake

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/fixtures"
	"tankroll/internal/memdisk"
	"tankroll/ocr"
	"tankroll/record"
)

func TestMain(m *testing.M) {
	ocr.RunWorkerIfAsked()
	memdisk.Use()
	os.Exit(m.Run())
}

func desk(t *testing.T, dir string) *Desk {
	t.Helper()
	now := func() time.Time { return time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC) }
	d, err := Open(context.Background(), dir, Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

func picture(t *testing.T, name string) fixtures.Case {
	t.Helper()
	for _, c := range fixtures.Set() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("the set has no %s", name)
	return fixtures.Case{}
}

func add(t *testing.T, d *Desk, c fixtures.Case) []record.Page {
	t.Helper()
	var pages []record.Page
	err := d.Add(context.Background(), c.Name+c.Ext, c.Raw, "", func(p record.Page) error { pages = append(pages, p); return nil })
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	return pages
}

// TestPhotoToAnswer takes the whole way: pictures in, question answered with
// the record and the place on the picture, and the same after the index is
// deleted.
func TestPhotoToAnswer(t *testing.T) {
	dir := t.TempDir()
	d := desk(t, dir)
	ctx := context.Background()
	for _, name := range []string{"0011-tank-leak-test-july", "0013-tank-leak-test-aborted-july"} {
		add(t, d, picture(t, name))
	}
	check := func() {
		t.Helper()
		a, err := d.Ask(ctx, "last passing 0.2 test on the diesel tank")
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Rows) != 1 {
			t.Fatalf("%d answers, want one: %s", len(a.Rows), a.Why)
		}
		r := a.Rows[0]
		if r.At != "2026-07-09T05:58" || r.Record.Text("tank") != "3" || r.Record.Text("result") != "pass" || r.Site != "114" {
			t.Errorf("answered with %s of %s at site %q, %s", r.Record.Equipment(), r.At, r.Site, r.Record.Text("result"))
		}
		box := r.Record.Area()
		if cut, err := d.Cut(ctx, r.Capture, r.Page, box, r.Turn); err != nil || cut.Bounds().Empty() {
			t.Errorf("the picture at %v: %v", box, err)
		}
	}
	check()
	if err := os.RemoveAll(filepath.Join(dir, "index")); err != nil {
		t.Fatal(err)
	}
	check()
}

func TestSameBytesTwice(t *testing.T) {
	d := desk(t, t.TempDir())
	c := picture(t, "0004-sensor-status-may")
	first, second := add(t, d, c), add(t, d, c)
	if first[0].Already || !second[0].Already || first[0].Capture != second[0].Capture {
		t.Errorf("first %v %s, second %v %s", first[0].Already, first[0].Capture, second[0].Already, second[0].Capture)
	}
	if len(first[0].Slips) == 0 || len(first[0].Slips[0].Records) == 0 || len(second[0].Slips) != len(first[0].Slips) {
		t.Error("the reading was not there, or not the same the second time")
	}
	rows, err := d.Store().Rows(context.Background(), archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(first[0].Slips[0].Records) {
		t.Errorf("%d records kept, the slip has %d", len(rows), len(first[0].Slips[0].Records))
	}
}

// TestBadFiles: what is no picture leaves nothing behind; a picture in which
// nothing is printed is kept and says so, and so is one of a slip that is too blurred to
// be read.
func TestBadFiles(t *testing.T) {
	bad, err := fixtures.BadFiles()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range bad {
		t.Run(b.Name, func(t *testing.T) {
			dir := t.TempDir()
			d := desk(t, dir)
			var pages []record.Page
			err := d.Add(context.Background(), b.Name, b.Raw, "", func(p record.Page) error { pages = append(pages, p); return nil })
			kept := originals(t, dir)
			switch b.Expect {
			case "error":
				if err == nil || kept != 0 {
					t.Errorf("error %v, %d originals kept", err, kept)
				}
			case "nothing":
				if err != nil || kept != 1 || len(pages) != 1 || !strings.Contains(pages[0].Error, "no printed slip") {
					t.Errorf("error %v, %d originals kept, pages %+v", err, kept, pages)
				}
				rows, err := d.Store().Rows(context.Background(), archive.Filter{})
				if err != nil || len(rows) > 0 {
					t.Errorf("records of a picture without print: %d, %v", len(rows), err)
				}
			case "blurred":
				if err != nil || kept != 1 || len(pages) != 1 || len(pages[0].Slips) != 1 {
					t.Fatalf("error %v, %d originals kept, pages %+v", err, kept, pages)
				}
				p := pages[0]
				if s := p.Slips[0]; !s.Paper.Blurred || len(s.Text) > 0 || len(s.Records) > 0 {
					t.Errorf("called blurred %v, read as %q with %d records", s.Paper.Blurred, s.Text, len(s.Records))
				}
				if !strings.Contains(p.Error, ErrBlurred.Error()) {
					t.Errorf("the error does not say that the slip is blurred: %q", p.Error)
				}
			}
		})
	}
}

func originals(t *testing.T, dir string) (n int) {
	t.Helper()
	err := filepath.WalkDir(filepath.Join(dir, "originals"), func(_ string, e fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err == nil && !e.IsDir() {
			n++
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestResume: what was kept but not read, as after a power cut, is read later.
func TestResume(t *testing.T) {
	d := desk(t, t.TempDir())
	ctx := context.Background()
	c := picture(t, "0011-tank-leak-test-july")
	if _, _, err := d.Store().Keep(ctx, c.Name, c.Raw, ""); err != nil {
		t.Fatal(err)
	}
	if err := d.Resume(ctx); err != nil {
		t.Fatal(err)
	}
	rows, err := d.Store().Rows(ctx, archive.Filter{Kind: record.TankTest})
	if err != nil || len(rows) != 1 {
		t.Errorf("%d tank tests after resuming, %v", len(rows), err)
	}
}
