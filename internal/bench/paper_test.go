package main

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"tankroll/fixtures"
	"tankroll/record"
)

// TestPaperAdd: what is said counts for the slip whose outline it is, and what is said of
// a slip that is not there counts against the reading.
func TestPaperAdd(t *testing.T) {
	with := func(s record.ReadSlip, turn int, stripe, cut, blurred bool, ink float64) record.ReadSlip {
		s.Turn, s.Paper.EndOfRoll, s.Paper.CutOff, s.Paper.Blurred, s.Paper.Ink = turn, stripe, cut, blurred, ink
		s.Paper.Sure.Turn, s.Paper.Sure.EndOfRoll, s.Paper.Sure.CutOff = 0.75, 0.5, 0.25
		return s
	}
	printed := fixtures.Case{Slips: []record.ReadSlip{
		with(rect(0, 0, 100, 200), 90, true, false, false, 0.5),
		with(rect(200, 0, 100, 200), 0, false, true, false, 0.5),
		with(rect(400, 0, 100, 200), 0, true, true, false, 0.5),
	}}
	page := record.Page{Slips: []record.ReadSlip{
		with(rect(600, 0, 50, 50), 0, true, false, true, 0), // extra, with a stripe
		with(rect(200, 0, 100, 200), 180, true, true, true, 0.75),
		with(unseen(rect(0, 0, 100, 200)), 90, true, true, false, 0.25),
	}}
	var got paper
	got.add(printed, page)
	want := paper{
		slips: 3, found: 2, extra: 1, whole: 1,
		turn:    said{1, 1, 0.75, 0.75},
		stripe:  sign{there: 2, seen: 1, absent: 1, invented: 2, said: said{1, 1, 0.5, 0.5}},
		cut:     sign{there: 2, seen: 1, absent: 1, invented: 1, said: said{1, 1, 0.25, 0.25}},
		blurred: 1, inkOff: 0.5, corners: make([]float64, 8),
	}
	all := cmp.AllowUnexported(paper{}, said{}, sign{})
	if d := cmp.Diff(want, got, all); d != "" {
		t.Error(d)
	}
	twice := got
	twice.add(printed, page)
	if d := cmp.Diff(twice, got.sum(got), all); d != "" {
		t.Errorf("two as one: %s", d)
	}
}

// TestCornerOff: the middle one, or between the two in the middle.
func TestCornerOff(t *testing.T) {
	for _, v := range []struct {
		corners []float64
		want    float64
	}{{nil, 0}, {[]float64{5, 1, 9}, 5}, {[]float64{4, 0.5, 1, 0}, 0.75}} {
		if got := (paper{corners: v.corners}).cornerOff(); got != v.want {
			t.Errorf("of %v: %v, want %v", v.corners, got, v.want)
		}
	}
}
