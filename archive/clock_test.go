package archive

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestClockSetBack: what is done later stands later, whatever the clock says.
func TestClockSetBack(t *testing.T) {
	ctx := context.Background()
	s := open(t, t.TempDir())
	clock := time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	s.now = func() time.Time { return clock }
	oneTest := func(text string) string {
		c, _, err := s.Keep(ctx, text, []byte(text), "")
		if err != nil {
			t.Fatal(err)
		}
		if err := s.SaveReadings(ctx, c.ID, []Reading{tankTest("1", "2025-01-02T03:04", "fail")}); err != nil {
			t.Fatal(err)
		}
		return c.ID
	}
	correct := func(value string) {
		if err := s.Decide(ctx, Decision{Record: "r1", Action: Correct, Field: "tank", Value: value}); err != nil {
			t.Fatal(err)
		}
	}
	first := oneTest("first")
	correct("2")
	before, err := s.Seq(ctx)
	if err != nil {
		t.Fatal(err)
	}
	clock = clock.AddDate(-10, 0, 0)
	second := oneTest("second")
	correct("3")
	list, err := s.Captures(ctx)
	if err != nil || len(list) != 2 || list[0].ID != first || list[1].ID != second {
		t.Errorf("captures: %+v %v", list, err)
	}
	h, err := s.History(ctx, "r1")
	if err != nil || len(h) != 2 || h[0].Value != "2" || h[1].Value != "3" {
		t.Errorf("history: %+v %v", h, err)
	}
	if r, err := s.Record(ctx, "r1"); err != nil || r.Record.Text("tank") != "3" {
		t.Errorf("the later decision must stand: %+v %v", r, err)
	}
	if c, err := s.Changes(ctx, before); err != nil || len(c.Records) != 2 || len(c.Captures) != 1 {
		t.Errorf("changes: %+v %v", c, err)
	}
	if bad, err := s.Check(ctx); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}

// TestClockSetForward: a file that is being written is not taken for one that a
// crash left, though the clock says that it is old.
func TestClockSetForward(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	d := osDisk{}
	writing, err := d.create(filepath.Join(dir, "originals"))
	if err != nil {
		t.Fatal(err)
	}
	if err := lock(writing.Fd()); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(dir, "originals", tempPrefix+"left")
	if err := os.WriteFile(left, nil, 0o444); err != nil {
		t.Fatal(err)
	}
	s.now = func() time.Time { return time.Now().AddDate(10, 0, 0) }
	s.sweepTemp()
	if _, err := os.Stat(writing.Name()); err != nil {
		t.Errorf("what is being written must stay: %v", err)
	}
	if _, err := os.Stat(left); err == nil {
		t.Error("what nobody writes must go")
	}
	writing.Close()
	s.sweepTemp()
	if _, err := os.Stat(writing.Name()); err == nil {
		t.Error("what nobody writes any more must go")
	}
}
