package ocr

import (
	"math"
	"slices"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
)

// The paper goes on by the same step from line to line, so where a line's letters
// stand is known from its neighbours as well. Where most of its letters hang below
// the base line, as in "gal", or a stain touches them, its own lower edge misleads.
const (
	stepReach  = 3    // lines and bare lines between that are looked across
	stepSides  = 2    // neighbours asked on each side
	stepsAgree = 0.15 // capitals by which what two neighbours say may differ
	mostMissed = 0.6  // capitals by which a base line may be missed
)

// neighbours is what a line's neighbours say of its base line: by how many capitals it was
// missed. They may not agree, and then say nothing.
type neighbours struct {
	missed float64
	agree  bool
}

// missedBases is what the neighbours of each line say of its base line.
func missedBases(set []grid.Line, l lines.Layout) []neighbours {
	out := make([]neighbours, len(set))
	plain := func(i int) bool {
		return set[i].Cells > 0 && !l.Bands[i].Rule && !l.Bands[i].Inverse && !l.Bands[i].Tall
	}
	for i, g := range set {
		if l.Pitch <= 0 || !plain(i) {
			continue
		}
		var say []float64 // where neighbours would have the line
		for _, way := range []int{-1, 1} {
			asked := 0
			for k := i + way; k >= 0 && k < len(set) && asked < stepSides; k += way {
				n := math.Round((g.Base - set[k].Base) / l.Pitch)
				if !plain(k) || n == 0 || math.Abs(n) > stepReach {
					continue
				}
				say = append(say, set[k].Base+n*l.Pitch)
				asked++
			}
		}
		if base, ok := agreed(say, stepsAgree*g.Cap); ok {
			out[i] = neighbours{(base - g.Base) / g.Cap, true}
		}
		if math.Abs(out[i].missed) > mostMissed {
			out[i] = neighbours{}
		}
	}
	return out
}

// agreed is the place that two of up to four values have in common, no further apart than
// within; of four the two in the middle.
func agreed(values []float64, within float64) (float64, bool) {
	slices.Sort(values)
	if len(values) == 4 {
		values = values[1:3] // one of them may be out on either side
	}
	best, at := within, -1
	for k := 1; k < len(values); k++ {
		if d := values[k] - values[k-1]; d <= best {
			best, at = d, k
		}
	}
	if at < 0 {
		return 0, false
	}
	return (values[at] + values[at-1]) / 2, true
}
