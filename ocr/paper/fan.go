package paper

import (
	"image"
	"math"

	"tankroll/ocr/raster"
)

// A slip that runs off its picture has no end there but the picture's border, which lies
// as the camera was held, and a slip that was torn off askew has one that says little. Laid
// flat by such an end the lines of a slip fan out: each half of the slip then has a skew
// of its own.
const (
	leastFan  = 0.5  // degrees between the halves from which lines fan out
	clearFan  = 1.06 // times as clearly as level their lines must stand out
	bothHold  = 0.15 // share of the clearer half's lines that the other must hold
	fewFanned = 40   // rows of a half below which there is nothing to tell
)

// Fan is by how many degrees the lines of print fall clockwise in the upper half of a slip
// and in the lower.
type Fan struct{ Upper, Lower float64 }

// MeasureFan finds how the lines of each half fall on p, whose lines are level on the
// whole, within most degrees. It is false where they do not clearly fall in two ways.
func MeasureFan(p raster.Plane, most float64) (Fan, bool) {
	small := p
	for small.W > 500 {
		small = small.Reduce(2)
	}
	if small.H < 2*fewFanned {
		return Fan{}, false
	}
	upper, lower := small.Sub(image.Rect(0, 0, small.W, small.H/2)), small.Sub(image.Rect(0, small.H/2, small.W, small.H))
	above, clearAbove := MeasureSkew(upper, most)
	below, clearBelow := MeasureSkew(lower, most)
	if min(clearAbove, clearBelow) < bothHold*max(clearAbove, clearBelow) || max(math.Abs(above), math.Abs(below)) > most-0.5 {
		return Fan{}, false // print in one half only: what is in the other says nothing
	}
	level := lineClarity(upper, 0) + lineClarity(lower, 0)
	if math.Abs(above-below) < leastFan || clearAbove+clearBelow < clearFan*level {
		return Fan{}, false
	}
	return Fan{above, below}, true
}

// Fanned lays the flat slip within its map so that lines that fell as f says lie level.
func (m Map) Fanned(f Fan) Map {
	// The halves' skews are those of their middles; the ends' follow from them.
	slope := func(y float64) float64 {
		return math.Tan((f.Upper + (f.Lower-f.Upper)*(y/m.H-0.25)/0.5) * math.Pi / 180)
	}
	return m.relaid(func(x, y float64) (float64, float64) { return x, y + slope(y)*(x-m.W/2) })
}
