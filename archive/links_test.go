package archive

import (
	"context"
	"database/sql"
	"path/filepath"
	"testing"

	"tankroll/record"
)

// half is the reading of one picture of a slip that two pictures show: one tank
// test at a place of its own.
func half(tank string, y int) Reading {
	r := tankTest(tank, "2025-01-02T03:04", "pass")
	for name, f := range r.Slips[0].Report.Records[0].Fields {
		f.Box = record.Box{X: 40, Y: y, W: 300, H: 200}
		r.Slips[0].Report.Records[0].Fields[name] = f
	}
	r.Slips[0].Slip.Turn = 0
	return r
}

// joinedHalves are the readings of two captures whose slips were joined: the
// record of tank 1 stands on the first, that of tank 2 on both, its result on
// the second.
func joinedHalves(upper, lower string) []Pages {
	a, b := half("1", 100), half("2", 500)
	refs := []record.Ref{{File: "a.jpg", Page: 1, Capture: upper}, {File: "b.jpg", Page: 1, Capture: lower}}
	whole := &Whole{Slip: record.Slip{Turn: 0, Parts: []record.Part{{Ref: refs[0]}, {Ref: refs[1], Turn: 180}}}}
	whole.Report = record.Report{Header: a.Slips[0].Report.Header, Records: []record.Record{
		{Kind: record.TankTest, Fields: record.Fields{}}, {Kind: record.TankTest, Fields: record.Fields{}},
	}}
	for i, half := range []Reading{a, b} {
		for name, f := range half.Slips[0].Report.Records[0].Fields {
			f.Box.Part = i
			whole.Report.Records[i].Fields[name] = f
		}
	}
	begins := whole.Report.Records[1].Fields["tank"]
	begins.Box = record.Box{X: 40, Y: 900, W: 30, H: 20}
	whole.Report.Records[1].Fields["tank"] = begins
	a.Slips[0].Whole = whole
	b.Slips[0].Into = &refs[0]
	return []Pages{{upper, []Reading{a}}, {lower, []Reading{b}}}
}

// twoHalves keeps two pictures and reads each on its own.
func twoHalves(t *testing.T, s *Store) (upper, lower string) {
	t.Helper()
	ids := [2]string{}
	for i, name := range []string{"a.jpg", "b.jpg"} {
		c, _, err := s.Keep(t.Context(), name, []byte(name), "")
		if err != nil {
			t.Fatal(err)
		}
		ids[i] = c.ID
		if err := s.SaveReadings(t.Context(), c.ID, []Reading{half([]string{"1", "2"}[i], []int{100, 500}[i])}); err != nil {
			t.Fatal(err)
		}
	}
	return ids[0], ids[1]
}

// TestJoined: records of a joined slip stand where it begins and lead to the
// picture that each field is on; those of the two readings become those of the
// one, with what people decided, and none counts twice.
func TestJoined(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	upper, lower := twoHalves(t, s)
	before, err := s.Rows(ctx, Filter{})
	if err != nil || len(before) != 2 {
		t.Fatalf("%d records, %v", len(before), err)
	}
	second := before[1]
	if second.Capture != lower {
		t.Fatalf("record %s stands on %s", second.ID, second.Capture)
	}
	if err := s.Decide(ctx, Decision{Record: second.ID, Action: Confirm, By: "Ann"}); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveTogether(ctx, joinedHalves(upper, lower)...); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(ctx, Filter{})
	if err != nil || len(rows) != 2 {
		t.Fatalf("%d records after joining, %v", len(rows), err)
	}
	for i, r := range rows {
		if r.ID != before[i].ID || r.Capture != upper || len(r.Parts) != 2 {
			t.Errorf("record %s was %s; it begins on %s, in %d parts", r.ID, before[i].ID, r.Capture, len(r.Parts))
		}
	}
	r := rows[1]
	if !r.Confirmed {
		t.Error("the confirmation was lost")
	}
	// The confirmation froze places on the lower picture; they are still there.
	for name, f := range r.Record.Fields {
		if on := r.On(f.Box); on.Capture != lower || on.Turn != 180 || f.Box.Y != 500 {
			t.Errorf("%s at %v is said to stand on %s, turned by %d", name, f.Box, on.Capture, on.Turn)
		}
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
	if err := s.Decide(ctx, Decision{Record: r.ID, Action: Undo, By: "Ann"}); err != nil {
		t.Fatal(err)
	}
	if r, err = s.Record(ctx, r.ID); err != nil {
		t.Fatal(err)
	}
	areas := r.Record.Areas()
	if len(areas) != 2 || r.On(areas[0]).Capture != upper || r.On(areas[1]).Capture != lower {
		t.Errorf("the record stands on %v", areas)
	}
	// A decision is about the place where the record begins.
	if err := s.Decide(ctx, Decision{Record: r.ID, Action: Confirm, By: "Ann"}); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveTogether(ctx, joinedHalves(upper, lower)...); err != nil {
		t.Fatal(err)
	}
	again, err := s.Rows(ctx, Filter{})
	if err != nil || len(again) != 2 || again[1].ID != r.ID || !again[1].Confirmed || len(again[1].Record.Areas()) != 2 {
		t.Errorf("after saving again: %+v, %v", again, err)
	}
}

// TestApart: when one picture of a joined slip is read again on its own, the
// joining is taken back on both sides and every record is there as its own
// picture shows it.
func TestApart(t *testing.T) {
	ctx := context.Background()
	for name, again := range map[string]int{"the first picture": 0, "the second picture": 1} {
		s := open(t, t.TempDir())
		upper, lower := twoHalves(t, s)
		if err := s.SaveTogether(ctx, joinedHalves(upper, lower)...); err != nil {
			t.Fatal(err)
		}
		joined, err := s.Rows(ctx, Filter{})
		if err != nil || len(joined) != 2 {
			t.Fatalf("%s: %d records, %v", name, len(joined), err)
		}
		if err := s.Decide(ctx, Decision{Record: joined[1].ID, Action: Confirm, By: "Ann"}); err != nil {
			t.Fatal(err)
		}
		seq, err := s.Seq(ctx)
		if err != nil {
			t.Fatal(err)
		}
		id := []string{upper, lower}[again]
		if err := s.SaveReadings(ctx, id, []Reading{half([]string{"1", "2"}[again], []int{100, 500}[again])}); err != nil {
			t.Fatal(err)
		}
		for i, c := range []string{upper, lower} {
			sl, err := s.Slip(ctx, c, 1, 0)
			if err != nil || sl.Whole != nil || sl.Into != nil {
				t.Errorf("%s: %s is still joined: %+v, %v", name, c, sl.Links, err)
			}
			rows, err := s.Rows(ctx, Filter{Capture: c})
			if err != nil || len(rows) != 1 || rows[0].ID != joined[i].ID || len(rows[0].Parts) > 0 {
				t.Errorf("%s: records on %s: %+v, %v", name, c, rows, err)
			}
		}
		r, err := s.Record(ctx, joined[1].ID)
		if err != nil || !r.Confirmed {
			t.Errorf("%s: the confirmation was lost, %v", name, err)
		}
		for field, f := range r.Record.Fields {
			// Where the tank was printed is on a picture that the slip has no longer.
			if field == "tank" != f.Box.IsZero() || f.Box.Part != 0 {
				t.Errorf("%s: %s stands at %+v", name, field, f.Box)
			}
		}
		ch, err := s.Changes(ctx, seq)
		if err != nil || len(ch.Captures) != 2 {
			t.Errorf("%s: an index is told of %v, %v", name, ch.Captures, err)
		}
		if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
			t.Errorf("%s: check: %v %v", name, bad, err)
		}
	}
}

// TestJoinFails: a joining that cannot be kept as a whole leaves everything as
// it was.
func TestJoinFails(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	upper, lower := twoHalves(t, s)
	all := joinedHalves(upper, lower)
	all[1].Capture = "c99"
	if err := s.SaveTogether(ctx, all...); err == nil {
		t.Fatal("readings of a capture that is not there were kept")
	}
	if sl, err := s.Slip(ctx, upper, 1, 0); err != nil || sl.Whole != nil {
		t.Errorf("half a joining was kept: %+v, %v", sl.Links, err)
	}
	// A part that does not point back is no joined slip.
	if err := s.SaveTogether(ctx, joinedHalves(upper, lower)[0]); err != nil {
		t.Fatal(err)
	}
	if sl, err := s.Slip(ctx, upper, 1, 0); err != nil || sl.Whole != nil {
		t.Errorf("joined from one side: %+v, %v", sl.Links, err)
	}
	if rows, err := s.Rows(ctx, Filter{}); err != nil || len(rows) != 2 {
		t.Errorf("%d records, %v", len(rows), err)
	}
}

// TestOldFormat: an archive from before slips were joined is brought up to date
// and used on.
func TestOldFormat(t *testing.T) {
	dir := t.TempDir()
	db, err := sql.Open("sqlite3", filepath.Join(dir, dbName))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{migrations[0], `PRAGMA user_version = 1`,
		`INSERT INTO captures (sha256, ext, file, added_at, site, size, pages, read) VALUES ('ab', 'jpg', 'old.jpg', '2025-01-02T03:04:05Z', '', 1, 1, 1)`,
		`INSERT INTO pages VALUES (1, 1, '', 1, 1)`,
		`INSERT INTO slips VALUES (1, 1, 0, '{"turn":90,"lines":[{"words":[],"box":[1,2,3,4]}]}', '{"header":{},"records":[]}')`} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	sl, err := s.Slip(t.Context(), "c1", 1, 0)
	if err != nil || sl.Whole != nil || len(sl.Slip.Lines) != 1 || sl.Slip.Lines[0].Box != (record.Box{X: 1, Y: 2, W: 3, H: 4}) {
		t.Errorf("an old reading comes back as %+v, %v", sl, err)
	}
	// When it was read was not noted; that it was, and by which versions, is told.
	if err := s.SaveReadings(t.Context(), "c1", []Reading{tankTest("1", "2025-01-02T03:04", "pass")}); err != nil {
		t.Error(err)
	}
	if list, err := s.PageReadings(t.Context(), "c1"); err != nil || len(list) != 2 || !list[0].At.IsZero() || list[0].OCRVersion != 1 || list[0].Stands || list[1].At.IsZero() || !list[1].Stands {
		t.Errorf("readings: %+v %v", list, err)
	}
	upper, lower := twoHalves(t, s)
	if err := s.SaveTogether(t.Context(), joinedHalves(upper, lower)...); err != nil {
		t.Error(err)
	}
}
