package intake

import (
	"context"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

// keepPages keeps a file whose pages were read as given.
func keepPages(t *testing.T, d *Desk, name string, pages ...archive.Reading) string {
	t.Helper()
	c, _, err := d.Store().Keep(context.Background(), name, []byte(name), "")
	if err != nil {
		t.Fatal(err)
	}
	for i := range pages {
		pages[i].Page, pages[i].Capture = i+1, c.ID
	}
	if err := d.Store().SaveReadings(context.Background(), c.ID, pages); err != nil {
		t.Fatal(err)
	}
	return c.ID
}

// again adds kept captures as one batch, as Batch.Add does with bytes that were
// kept before.
func again(t *testing.T, d *Desk, captures ...string) (out []record.Page) {
	t.Helper()
	ctx := context.Background()
	b := d.Batch("", func(p record.Page) error { out = append(out, p); return nil })
	for _, id := range captures {
		readings, err := d.Store().Readings(ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range readings {
			wholes, err := d.wholes(ctx, r)
			if err != nil {
				t.Fatal(err)
			}
			if err := b.seq.add(ctx, heldPage{name: id, already: true, reading: r}, wholes); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := b.End(ctx); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestPagesOfOneFile: a slip that goes on from page to page of one file is one.
func TestPagesOfOneFile(t *testing.T) {
	inv := inventoryLines()
	d := desk(t, t.TempDir())
	id := keepPages(t, d, "scan.tif", shown(inv[:22], "bottom"), shown(inv[16:], "top"), shown(inv, ""))
	pages := again(t, d, id)
	if len(pages) != 3 || len(pages[0].Slips[0].Parts) != 2 || pages[1].Slips[0].JoinedInto == nil || len(pages[2].Slips[0].Parts) > 0 {
		t.Fatalf("pages: %+v", pages)
	}
	rows, err := d.Store().Rows(context.Background(), archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	on := map[int]int{}
	for _, r := range rows {
		on[r.On(r.Record.Area()).Page]++
	}
	if len(rows) != 12 || on[1]+on[2] != 6 || on[2] == 0 || on[3] != 6 {
		t.Errorf("%d records, by page %v", len(rows), on)
	}
}

// TestOneMoreLater: a picture that is added later, with the one before it, joins
// the slip that stands in the archive; ids and decisions stay.
func TestOneMoreLater(t *testing.T) {
	ctx := context.Background()
	inv := inventoryLines()
	d := desk(t, t.TempDir())
	a := keepPages(t, d, "a", shown(inv[:16], "bottom"))
	b := keepPages(t, d, "b", shown(inv[8:26], "top bottom"))
	c := keepPages(t, d, "c", shown(inv[18:], "top"))
	if pages := again(t, d, a, b); len(pages[0].Slips[0].Parts) != 2 {
		t.Fatalf("two pictures: %+v", pages)
	}
	before, err := d.Store().Rows(ctx, archive.Filter{Capture: a})
	if err != nil || len(before) == 0 {
		t.Fatal(err)
	}
	if err := d.Store().Decide(ctx, archive.Decision{Record: before[0].ID, Action: archive.Confirm, By: "Ann"}); err != nil {
		t.Fatal(err)
	}
	for _, when := range []string{"with the third", "once more"} {
		seq, err := d.Store().Seq(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if pages := again(t, d, b, c); len(pages) != 2 || pages[0].Slips[0].JoinedInto == nil || pages[1].Slips[0].JoinedInto == nil {
			t.Fatalf("%s: %+v", when, pages)
		}
		rows, err := d.Store().Rows(ctx, archive.Filter{})
		if err != nil || len(rows) != 6 {
			t.Fatalf("%s: %d records, %v", when, len(rows), err)
		}
		for _, r := range rows {
			if r.Capture != a || len(r.Parts) != 3 {
				t.Errorf("%s: %s begins on %s in %d parts", when, r.ID, r.Capture, len(r.Parts))
			}
		}
		if r, err := d.Store().Record(ctx, before[0].ID); err != nil || !r.Confirmed {
			t.Errorf("%s: the decision was lost, %v", when, err)
		}
		if now, err := d.Store().Seq(ctx); err != nil || when == "once more" && now != seq {
			t.Errorf("nothing was new, yet it was saved again (%d to %d, %v)", seq, now, err)
		}
	}
	// The grammar runs again over the joined slip, not over its pieces.
	if err := d.parseAgain(ctx, a, "114", Hints(d.now(), "114")); err != nil {
		t.Fatal(err)
	}
	if rows, err := d.Store().Rows(ctx, archive.Filter{}); err != nil || len(rows) != 6 || len(rows[5].Parts) != 3 {
		t.Errorf("after the grammar ran again: %d records, %v", len(rows), err)
	}
	if bad, err := d.Store().Check(ctx); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}
