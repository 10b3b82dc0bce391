package main

import (
	"testing"

	"tankroll/fixtures"
	"tankroll/record"
)

// TestFindMarks: a mark counts as found when half of it is covered, as invented when it
// is hardly where one is.
func TestFindMarks(t *testing.T) {
	c := fixtures.Case{Marks: [][]fixtures.Mark{{
		{Kind: "handwriting", Box: record.Box{X: 0, Y: 0, W: 100, H: 50}},
		{Kind: "stamp", Box: record.Box{X: 0, Y: 200, W: 100, H: 50}},
		{Kind: "handwriting", Box: record.Box{X: 300, Y: 0, W: 20, H: 20}},
	}}}
	page := record.Page{Slips: []record.ReadSlip{{Marks: []record.Mark{
		{Kind: record.Handwriting, Box: record.Box{X: 0, Y: 0, W: 60, H: 50}},
		{Kind: record.Handwriting, Box: record.Box{X: 0, Y: 200, W: 90, H: 50}},
		{Kind: record.Stamp, Box: record.Box{X: 500, Y: 500, W: 90, H: 50}},
	}}}}
	var r markResult
	r.find(c, page)
	if r.hand != 2 || r.handFound != 1 || r.stamps != 1 || r.stampsFound != 1 || r.kinds != 1 || r.invented != 1 {
		t.Errorf("%+v", r)
	}
}
