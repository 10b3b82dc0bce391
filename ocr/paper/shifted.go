package paper

import (
	"math"

	"tankroll/record"
)

// Where one slip lies over the end of another the outline jumps aside, on the left as on
// the right. At a fold it may bend and does not jump.

const (
	// flankGap is how many pixels from the edge a flank is looked at first, flankLong how
	// long a piece of it, as a share of the slip's width.
	flankGap, flankLong = 8.0, 0.3
	flankReach          = 6.0 // pixels to either side
	flankSeen           = 0.5 // how much of it must be seen
	// leastShift is how many pixels the outline jumps at least, and alikeShift by how many
	// more it may jump on one side than on the other.
	leastShift, alikeShift = 2.5, 2.0
)

// shifted says whether the flanks of lower lie aside of those of upper, by as much on the
// left as on the right; the two share an edge, the foot of upper.
func (f *finder) shifted(upper, lower Quad) bool {
	long := flankLong * math.Hypot(upper[2].X-upper[3].X, upper[2].Y-upper[3].Y)
	// Outward of clockwise corners is to the right on the right flank.
	rightOver, okA := f.flank(upper[2], upper[1], long, false)
	leftOver, okB := f.flank(upper[3], upper[0], long, true)
	rightUnder, okC := f.flank(lower[1], lower[2], long, true)
	leftUnder, okD := f.flank(lower[0], lower[3], long, false)
	if !okA || !okB || !okC || !okD {
		return false
	}
	right, left := rightUnder-rightOver, -(leftUnder - leftOver)
	return min(math.Abs(right), math.Abs(left)) >= leastShift && math.Abs(right-left) <= alikeShift
}

// flank is by how many pixels outward the outline is seen best, of a piece of the side that
// begins near a corner and goes toward another; clockwise is whether the outline goes so.
func (f *finder) flank(corner, toward record.Point, long float64, clockwise bool) (out float64, ok bool) {
	l := math.Hypot(toward.X-corner.X, toward.Y-corner.Y)
	if l < flankGap+long {
		return 0, false
	}
	a, b := along(corner, toward, flankGap/l), along(corner, toward, (flankGap+long)/l)
	if !clockwise {
		a, b = b, a
	}
	nx, ny := (b.Y-a.Y)/long, -(b.X-a.X)/long
	best := flankSeen
	for d := -flankReach; d <= flankReach; d++ {
		by := func(p record.Point) record.Point { return record.Point{X: p.X + d*nx, Y: p.Y + d*ny} }
		if seen := f.side(by(a), by(b)); seen > best {
			best, out, ok = seen, d, true
		}
	}
	return out, ok
}
