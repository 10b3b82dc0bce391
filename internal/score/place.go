package score

import (
	"math"

	"tankroll/record"
)

// axis is the middle line of a printed line, from the left end of its ink.
type axis struct {
	from   record.Point
	ux, uy float64 // unit vector along the line
	length float64 // of its ink, in pixels
	height float64 // of its ink, in pixels
}

func axisOf(q [4]record.Point) axis {
	half := func(a, b record.Point) record.Point { return record.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2} }
	a, b, top, bottom := half(q[0], q[3]), half(q[1], q[2]), half(q[0], q[1]), half(q[3], q[2])
	length := max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9)
	return axis{a, (b.X - a.X) / length, (b.Y - a.Y) / length, length, math.Hypot(bottom.X-top.X, bottom.Y-top.Y)}
}

// point is the place that is the given share of the length along the line.
func (a axis) point(share float64) record.Point {
	return record.Point{X: a.from.X + share*a.length*a.ux, Y: a.from.Y + share*a.length*a.uy}
}

// off is how far p lies from the middle line, in heights of the line.
func (a axis) off(p record.Point) float64 {
	return math.Abs((p.X-a.from.X)*a.uy-(p.Y-a.from.Y)*a.ux) / max(a.height, 1e-9)
}

// span is how far along the line an upright box begins and ends, in shares of
// the line's length. It is taken on the picture's axis that the line is nearer
// to: the box of a line that falls is much higher than the line.
func (a axis) span(b record.Box) (from, to float64) {
	lo, hi, start, u := float64(b.X), float64(b.X+b.W), a.from.X, a.ux
	if math.Abs(a.uy) > math.Abs(a.ux) {
		lo, hi, start, u = float64(b.Y), float64(b.Y+b.H), a.from.Y, a.uy
	}
	from, to = (lo-start)/u/a.length, (hi-start)/u/a.length
	return min(from, to), max(from, to)
}

// covers says whether a box reaches over the place at a share of the length.
func (a axis) covers(b record.Box, share float64) bool {
	from, to := a.span(b)
	return from <= share && share <= to
}

// onLine is how far the middle of a box may lie from the middle of the line that
// it is a reading of, in heights of the line's ink: to the edge of the ink. Boxes
// of lines read right lie within 0.13 (540 lines of the fit part, photos of bent
// paper included); the next line is 1.2 away or more.
const onLine = 0.5

// lineUnder finds the printed line that a line read over box is a reading of.
func lineUnder(printed []Printed, b record.Box, turn int) (slip, line int, ok bool) {
	if b.IsZero() {
		return 0, 0, false
	}
	nearest := onLine
	for i, p := range printed {
		if p.Turn != turn {
			continue
		}
		for k, l := range p.Lines {
			a := axisOf(l.Corners)
			from, to := a.span(b)
			if d := a.off(middle(b)); d < nearest && from < 1 && to > 0 {
				slip, line, ok, nearest = i, k, true, d
			}
		}
	}
	return slip, line, ok
}

func middle(b record.Box) record.Point {
	return record.Point{X: float64(b.X) + float64(b.W)/2, Y: float64(b.Y) + float64(b.H)/2}
}

// contains says whether p lies in a convex shape of four corners.
func contains(q [4]record.Point, p record.Point) bool {
	sign := 0.0
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		v := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		if v*sign < 0 {
			return false
		}
		if v != 0 {
			sign = v
		}
	}
	return true
}
