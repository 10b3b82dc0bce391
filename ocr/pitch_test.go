package ocr

import (
	"math"
	"testing"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
)

func TestMissedBases(t *testing.T) {
	at := func(bases ...float64) ([]grid.Line, lines.Layout) {
		l := lines.Layout{Pitch: 50, Bands: make([]lines.Band, len(bases))}
		set := make([]grid.Line, len(bases))
		for i, b := range bases {
			set[i] = grid.Line{Base: b, Cap: 30, Cells: 10}
		}
		return set, l
	}
	for name, c := range map[string]struct {
		bases []float64
		want  float64 // of the third line
	}{
		"even":                 {[]float64{100, 150, 200, 250, 300}, 0},
		"a little off":         {[]float64{100, 150, 203, 250, 300}, -0.1},
		"low":                  {[]float64{100, 150, 212, 250, 300}, -0.4},
		"high":                 {[]float64{100, 150, 190, 250, 300}, 1.0 / 3},
		"after a bare line":    {[]float64{50, 100, 212, 250, 300}, -0.4},
		"neighbours disagree":  {[]float64{100, 150, 212, 265, 315}, 0},
		"two against one":      {[]float64{90, 150, 212, 250, 325}, -0.4},
		"far from both":        {[]float64{100, 150, 224, 250, 300}, 0},
		"nothing near to tell": {[]float64{-900, -800, 212, 900, 950}, 0},
	} {
		set, l := at(c.bases...)
		if got := missedBases(set, l)[2].missed; math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: missed by %.2f capitals, want %.2f", name, got, c.want)
		}
	}
	set, l := at(100, 150, 212, 250, 300)
	l.Bands[1].Tall = true
	if got := missedBases(set, l)[2].missed; math.Abs(got+0.4) > 1e-6 {
		t.Errorf("beside a line of double height: missed by %.2f, want -0.4 by the others", got)
	}
	l.Bands[3].Rule, l.Bands[4].Rule, l.Bands[0].Rule = true, true, true
	if got := missedBases(set, l)[2]; got.agree {
		t.Errorf("among rules: missed by %.2f, want nothing told", got.missed)
	}
}

// The first and the last line have neighbours on one side, two of which tell.
func TestMissedBasesAtEnds(t *testing.T) {
	for name, c := range map[string]struct {
		bases []float64
		line  int
		want  float64
	}{
		"first":                   {[]float64{112, 150, 200, 250}, 0, -0.4},
		"last":                    {[]float64{100, 150, 200, 240}, 3, 1.0 / 3},
		"first of two":            {[]float64{112, 150}, 0, 0},
		"first, the others apart": {[]float64{112, 150, 212, 250}, 0, 0},
	} {
		l := lines.Layout{Pitch: 50, Bands: make([]lines.Band, len(c.bases))}
		set := make([]grid.Line, len(c.bases))
		for i, b := range c.bases {
			set[i] = grid.Line{Base: b, Cap: 30, Cells: 10}
		}
		if got := missedBases(set, l)[c.line].missed; math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: missed by %.2f capitals, want %.2f", name, got, c.want)
		}
	}
}
