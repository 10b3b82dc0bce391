package ocr

import (
	"testing"

	"tankroll/ocr/lines"
)

// A slip that is out of focus beside sharp ones is kept; the grain of a ground
// that only looks legible is not.
func TestPrinted(t *testing.T) {
	slip := func(legible, outlined float64, soft bool) upright {
		rise := 0.8
		if soft {
			rise = surelyBlurred / 2
		}
		return upright{legible: legible, outlined: outlined, rise: rise, layout: lines.Layout{Bands: make([]lines.Band, 3)}}
	}
	sharp, softSlip, grain := slip(0.9, 0.8, false), slip(0.8, 0.8, true), slip(0.8, 0.3, true)
	faint, texture := slip(0.05, 0.8, true), slip(0.05, 0.2, false)
	for _, c := range []struct {
		name string
		set  []upright
		kept int
	}{
		{"sharp and soft", []upright{sharp, softSlip}, 2},
		{"sharp and grain", []upright{sharp, grain}, 1},
		{"soft and grain", []upright{softSlip, grain}, 1},
		{"grain alone may be a slip without an outline", []upright{grain}, 1},
		{"nothing legible", []upright{faint, texture}, 1},
		{"texture alone", []upright{texture}, 0},
		{"nothing", nil, 0},
	} {
		if got := printed(c.set); len(got) != c.kept {
			t.Errorf("%s: %d kept, want %d", c.name, len(got), c.kept)
		}
	}
}
