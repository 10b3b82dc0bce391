package intake

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/fixtures"
	"tankroll/internal/golden"
	"tankroll/record"
)

// blank is a small picture without print, unlike any with another n.
func blank(t *testing.T, n int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 24, 24))
	for i := range img.Pix {
		img.Pix[i] = 230
	}
	img.SetGray(n%24, n/24%24, color.Gray{Y: 229})
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// inputs are files that lie in memory.
func inputs(files ...any) func(context.Context, func(Input) error, func(string, error)) error {
	return func(_ context.Context, put func(Input) error, fail func(string, error)) error {
		for i := 0; i < len(files); i += 2 {
			name := files[i].(string)
			switch f := files[i+1].(type) {
			case error:
				fail(name, f)
			case []byte:
				folders := strings.Split(name, "/")
				in := Input{Name: name, Folders: folders[:len(folders)-1], Read: func() ([]byte, error) { return f, nil }}
				if err := put(in); err != nil {
					return err
				}
			}
		}
		return nil
	}
}

// imported takes files in and returns the pages, in the order in which they were
// given out, and the report.
func imported(t *testing.T, d *Desk, o ImportOptions, files ...any) ([]record.Page, Report) {
	t.Helper()
	var pages []record.Page
	var report Report
	o.Page = func(p record.Page) error { pages = append(pages, p); return nil }
	o.Done = report.Add
	m := d.Import(t.Context(), o)
	err := m.Run(t.Context(), inputs(files...))
	earlier, e := m.Rest(t.Context())
	if err := errors.Join(err, e, m.Close(t.Context())); err != nil {
		t.Fatal(err)
	}
	for _, o := range earlier {
		report.Add(o)
	}
	return pages, report
}

// TestImportInOrder: pages come in input order and records are numbered in it,
// however long each takes; what is bad stands in its place and stops nothing.
func TestImportInOrder(t *testing.T) {
	d := desk(t, t.TempDir())
	slow, quick := picture(t, "0009-alarm-history-june"), picture(t, "0004-sensor-status-may")
	files := []any{"slow.jpg", slow.Raw, "broken.jpg", slow.Raw[:len(slow.Raw)/2], "note.jpg", []byte("no picture at all"), "empty.png", []byte{},
		"quick.jpg", quick.Raw, "gone.jpg", errors.New("no such file; check the name"), "gif.gif", []byte("GIF89a and what a GIF has"), "again.jpg", slow.Raw}
	for i := range 6 {
		files = append(files, fmt.Sprintf("blank%d.png", i), blank(t, i))
	}
	pages, report := imported(t, d, ImportOptions{Jobs: 3}, files...)
	for i, p := range pages {
		if p.File != files[2*i] {
			t.Errorf("page %d is of %s, not of %s", i, p.File, files[2*i])
		}
	}
	if len(pages) != len(files)/2 {
		t.Fatalf("%d pages of %d inputs", len(pages), len(files)/2)
	}
	last := 0
	rows, err := d.Store().Rows(t.Context(), archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(rows, func(a, b archive.Row) int { return number(t, a.ID) - number(t, b.ID) })
	for _, r := range rows {
		if n := number(t, r.Capture); n < last {
			t.Errorf("%s of %s is numbered after those of c%d", r.ID, r.Capture, last)
		} else {
			last = n
		}
	}
	var b bytes.Buffer
	if err := report.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "import.csv", b.String())
	b.Reset()
	report.Files = report.Files[:3]
	if err := report.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	golden.Equal(t, "import.json", b.String())

	// What could not be read is kept, listed, and tried again when it comes again.
	before, err := d.Todo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var failed []string
	for _, x := range before {
		if x.Why == TodoFailed {
			failed = append(failed, x.File)
		}
	}
	if want := []string{"broken.jpg", "gif.gif", "blank0.png", "blank1.png", "blank2.png", "blank3.png", "blank4.png", "blank5.png"}; !slices.Equal(failed, want) {
		t.Errorf("todo lists %v as failed, want %v", failed, want)
	}
	pages, report = imported(t, d, ImportOptions{}, "renamed.jpg", slow.Raw[:len(slow.Raw)/2], "once more.jpg", quick.Raw)
	if report.Failed != 1 || report.Already != 1 || pages[0].Capture == "" || !pages[0].Already {
		t.Errorf("the second time: %+v", report)
	}
	if bad, err := d.Store().Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("%v %v", bad, err)
	}
}

func number(t *testing.T, id string) (n int) {
	t.Helper()
	if _, err := fmt.Sscanf(id[1:], "%d", &n); err != nil {
		t.Fatal(err)
	}
	return n
}

// TestImportJoins: a long slip in two neighbouring inputs is one, also when they
// come in one after the other, as from a watched folder.
func TestImportJoins(t *testing.T) {
	l, err := fixtures.MakeLong("fit", "scan", 101, 5)
	if err != nil {
		t.Fatal(err)
	}
	d := desk(t, t.TempDir())
	var pages []record.Page
	m := d.Import(t.Context(), ImportOptions{Page: func(p record.Page) error { pages = append(pages, p); return nil }})
	for _, c := range l.Photos {
		if err := m.Run(t.Context(), inputs(c.Name, c.Raw)); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
	if len(pages) != 2 || pages[1].Slips[0].JoinedInto == nil {
		t.Fatalf("not joined: %+v", pages)
	}
	rows, err := d.Store().Rows(t.Context(), archive.Filter{})
	if err != nil || len(rows) != len(l.Slip.Records) {
		t.Errorf("%d records, the slip has %d; %v", len(rows), len(l.Slip.Records), err)
	}
}

// TestTwoImports: two at once on one archive read every picture once between them,
// and each gives out all of its own.
func TestTwoImports(t *testing.T) {
	dir := t.TempDir()
	var files []any
	const n = 40
	for i := range n {
		files = append(files, fmt.Sprintf("%02d.png", i), blank(t, i))
	}
	type end struct {
		read  int64
		given []string
		err   error
	}
	ends := make(chan end, 2)
	for range 2 {
		d := desk(t, dir)
		go func() {
			var e end
			m := d.Import(context.Background(), ImportOptions{Page: func(p record.Page) error { e.given = append(e.given, p.File); return nil }})
			e.err = m.Run(context.Background(), inputs(files...))
			e.err = errors.Join(e.err, m.Close(context.Background()))
			e.read = m.crew.pages.Load()
			ends <- e
		}()
	}
	a, b := <-ends, <-ends
	if a.err != nil || b.err != nil {
		t.Fatal(a.err, b.err)
	}
	if a.read+b.read != n || len(a.given) != n || !slices.Equal(a.given, b.given) || !slices.IsSorted(a.given) {
		t.Errorf("%d and %d of %d pages read, %d and %d given out", a.read, b.read, n, len(a.given), len(b.given))
	}
}

// TestLeaseRunsOut: what a dead process had taken is read after its lease, by one
// that waits for it.
func TestLeaseRunsOut(t *testing.T) {
	d := desk(t, t.TempDir())
	if _, _, err := d.Store().Keep(t.Context(), "a.png", blank(t, 0), ""); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := d.Store().Queue().Claim(t.Context(), "dead", "", 300*time.Millisecond); err != nil || !ok {
		t.Fatal(ok, err)
	}
	pages, report := imported(t, d, ImportOptions{}, "a.png", blank(t, 0))
	if len(pages) != 1 || !pages[0].Already || pages[0].Capture != "c1" || report.Failed != 1 {
		t.Errorf("%+v, %+v", pages, report)
	}
}

// TestPoison: a picture that ended the program each time is put aside and said so.
func TestPoison(t *testing.T) {
	d := desk(t, t.TempDir())
	if _, _, err := d.Store().Keep(t.Context(), "a.png", blank(t, 0), ""); err != nil {
		t.Fatal(err)
	}
	for range mostTries {
		if _, ok, err := d.Store().Queue().Claim(t.Context(), "dying", "", -time.Second); err != nil || !ok {
			t.Fatal(ok, err)
		}
	}
	_, report := imported(t, d, ImportOptions{})
	if len(report.Files) != 1 || report.Failed != 1 || !report.Files[0].Earlier || !strings.Contains(report.Files[0].Reason, "ended the program") {
		t.Errorf("%+v", report)
	}
	if _, report := imported(t, d, ImportOptions{}, "a.png", blank(t, 0)); report.Failed != 1 || !strings.Contains(report.Files[0].Reason, "no printed slip") {
		t.Errorf("added again: %+v", report)
	}
}

// TestInterrupted: an import that is ended gives back what it had taken, and the
// next one need not wait.
func TestInterrupted(t *testing.T) {
	d := desk(t, t.TempDir())
	ctx, cancel := context.WithCancel(t.Context())
	given := 0
	m := d.Import(ctx, ImportOptions{lease: time.Hour, Page: func(record.Page) error {
		if given++; given == 3 {
			cancel()
		}
		return nil
	}})
	var files []any
	for i := range 30 {
		files = append(files, fmt.Sprint(i), blank(t, i))
	}
	err := m.Run(ctx, inputs(files...))
	if !errors.Is(err, context.Canceled) {
		t.Errorf("ended with %v", err)
	}
	if err := m.Close(ctx); err != nil {
		t.Fatal(err)
	}
	pages, report := imported(t, d, ImportOptions{}, files...)
	if len(pages) != 30 || len(report.Files) != 30 {
		t.Errorf("%d pages, %d files the second time", len(pages), len(report.Files))
	}
	if n, err := d.Store().Queue().Len(t.Context()); err != nil || n != 0 {
		t.Errorf("%d still wait, %v", n, err)
	}
}
