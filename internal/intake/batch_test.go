package intake

import (
	"context"
	"testing"

	"tankroll/archive"
	"tankroll/fixtures"
	"tankroll/index"
	"tankroll/internal/score"
	"tankroll/record"
)

// addAll adds pictures as one batch.
func addAll(t *testing.T, d *Desk, list []fixtures.Case) []record.Page {
	t.Helper()
	var pages []record.Page
	b := d.Batch("", func(p record.Page) error { pages = append(pages, p); return nil })
	for _, c := range list {
		if err := b.Add(context.Background(), c.Name+"."+c.Ext, c.Raw); err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
	}
	if err := b.End(context.Background()); err != nil {
		t.Fatal(err)
	}
	return pages
}

// TestLongSlip takes a slip in two pictures all the way: kept and read each on
// its own, as after a crash between the two, then joined when both are added
// together, and the same when they are added once more.
func TestLongSlip(t *testing.T) {
	l, err := fixtures.MakeLong("fit", "scan", 101, 5)
	if err != nil {
		t.Fatal(err)
	}
	d := desk(t, t.TempDir())
	ctx := context.Background()
	for i, c := range l.Photos {
		pages := addAll(t, d, l.Photos[i:i+1])
		if len(pages) != 1 || len(pages[0].Slips) != 1 || len(pages[0].Slips[0].Parts) > 0 || pages[0].Slips[0].JoinedInto != nil {
			t.Fatalf("%s alone: %+v", c.Name, pages)
		}
	}
	for _, when := range []string{"together", "once more"} {
		pages := addAll(t, d, l.Photos)
		if len(pages) != 2 || !pages[0].Already || len(pages[0].Slips[0].Parts) != 2 || pages[1].Slips[0].JoinedInto == nil {
			t.Fatalf("%s: not joined: %+v", when, pages)
		}
		rows, err := d.Store().Rows(ctx, archive.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		var got []record.Record
		spanning := 0
		for _, r := range rows {
			got = append(got, r.Record)
			checkPlaces(t, d, l, r)
			if len(r.Record.Areas()) > 1 {
				spanning++
			}
		}
		f, misses := score.CountFields(l.Slip.Records, got)
		t.Logf("%s: %d records, %d of %d fields right, %d doubtful", when, len(got), f.Right, f.Truth, f.Doubtful)
		if len(got) != len(l.Slip.Records) || spanning != 1 {
			t.Errorf("%s: %d records, %d of them on both pictures; want %d and 1", when, len(got), spanning, len(l.Slip.Records))
		}
		for _, m := range misses {
			if !m.Missing && m.Got.Sure {
				t.Errorf("%s: %s is sure and wrong: printed %v, read %v", when, m.Name, m.Want.Value, m.Got.Value)
			}
		}
	}
	found, err := d.Find(ctx, index.Search{Text: "result", Limit: 10})
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range found.Hits {
		if len(h.Rows) == 0 {
			t.Errorf("%s shows the word and leads to no record", h.Capture)
		}
	}
}

// checkPlaces: each field lies on a printed line of the picture that it is said
// to stand on, and can be cut from there.
func checkPlaces(t *testing.T, d *Desk, l fixtures.Long, r archive.Row) {
	t.Helper()
	for name, f := range r.Record.Fields {
		on := r.On(f.Box)
		if cut, err := d.Cut(context.Background(), on.Capture, on.Page, f.Box, on.Turn); err != nil || cut.Bounds().Empty() {
			t.Errorf("%s on %s: %v", name, on.File, err)
		}
		found := false
		for _, p := range l.Photos {
			if p.Name+"."+p.Ext != on.File {
				continue
			}
			x, y := float64(f.Box.X)+float64(f.Box.W)/2, float64(f.Box.Y)+float64(f.Box.H)/2
			for _, line := range p.Lines[0] {
				c := line.Corners
				x0, x1 := min(c[0].X, c[1].X, c[2].X, c[3].X), max(c[0].X, c[1].X, c[2].X, c[3].X)
				y0, y1 := min(c[0].Y, c[1].Y, c[2].Y, c[3].Y), max(c[0].Y, c[1].Y, c[2].Y, c[3].Y)
				found = found || x > x0-5 && x < x1+5 && y > y0-5 && y < y1+5
			}
		}
		if !found {
			t.Errorf("%s %q at %v on %s lies on none of its lines", name, f.Text, f.Box, on.File)
		}
	}
}
