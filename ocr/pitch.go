package ocr

import (
	"math"

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
		var say [2][]float64 // where neighbours above and below would have the line
		for side, way := range []int{-1, 1} {
			for k := i + way; k >= 0 && k < len(set) && len(say[side]) < stepSides; k += way {
				n := math.Round((g.Base - set[k].Base) / l.Pitch)
				if plain(k) && n != 0 && math.Abs(n) <= stepReach {
					say[side] = append(say[side], set[k].Base+n*l.Pitch)
				}
			}
		}
		if base, ok := agreed(say[0], say[1], stepsAgree*g.Cap); ok {
			out[i] = neighbours{(base - g.Base) / g.Cap, true}
		}
		if math.Abs(out[i].missed) > mostMissed {
			out[i] = neighbours{}
		}
	}
	return out
}

// agreed is the place that one above and one below have in common, no further apart than
// within; where there is none on one side, that of the two on the other. What is on one side
// alone goes on by even steps from line to line, and the line may yet stand off them.
func agreed(above, below []float64, within float64) (float64, bool) {
	if len(above) == 0 || len(below) == 0 {
		both := append(above, below...)
		if len(both) < stepSides {
			return 0, false
		}
		above, below = both[:1], both[1:]
	}
	best, place := within, math.NaN()
	for _, a := range above {
		for _, b := range below {
			if d := math.Abs(a - b); d <= best {
				best, place = d, (a+b)/2
			}
		}
	}
	return place, !math.IsNaN(place)
}
