package ocr

import (
	"math"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
)

// The paper goes on by the same step from line to line, so where a line's letters
// stand is known from its neighbours as well. Where most of its letters hang below
// the base line, as in "gal", its own lower edge misleads.
const (
	stepReach   = 3    // lines and bare lines between that are looked across
	stepsAgree  = 0.15 // capitals by which what two neighbours say may differ
	leastMissed = 0.2  // capitals by which a base line is missed
	mostMissed  = 0.6
)

// missedBases is by how many capitals each line's base line lies higher or lower
// than its neighbours would have it, those above and below or, of the first and the last
// line, two on one side; 0 where it lies well or they do not agree.
func missedBases(set []grid.Line, l lines.Layout) []float64 {
	out := make([]float64, len(set))
	plain := func(i int) bool {
		return i >= 0 && i < len(set) && set[i].Cells > 0 && !l.Bands[i].Rule && !l.Bands[i].Inverse && !l.Bands[i].Tall
	}
	// from is where neighbour k would have line i.
	from := func(i, k int) (float64, bool) {
		if !plain(k) || l.Pitch <= 0 {
			return 0, false
		}
		n := math.Round((set[i].Base - set[k].Base) / l.Pitch)
		return set[k].Base + n*l.Pitch, n != 0 && math.Abs(n) <= stepReach
	}
	for i, g := range set {
		if !plain(i) {
			continue
		}
		one, other := i-1, i+1
		if one < 0 {
			one = i + 2
		} else if other == len(set) {
			other = i - 2
		}
		a, okA := from(i, one)
		b, okB := from(i, other)
		if !okA || !okB || math.Abs(a-b) > stepsAgree*g.Cap {
			continue
		}
		if d := ((a+b)/2 - g.Base) / g.Cap; math.Abs(d) > leastMissed && math.Abs(d) < mostMissed {
			out[i] = d
		}
	}
	return out
}
