package paper

import (
	"math"

	"tankroll/record"
)

// Where thresholds find no outline around a block of print, the sides of its paper may
// still be seen: a side is straight, and along all its length even a step of one in a
// hundred stands out. So sides are looked for from the print outward.

const (
	sideBeyond = 0.7  // of the block's longer side: how far out of print its paper's side is looked for
	faintSide  = 0.3  // how much of a side must be seen
	seenWithin = 8.0  // pixels across a side within which it is seen: those on either side that brightness is compared at
	nearAsSeen = 0.85 // of what is seen of the clearest side: a nearer one that is as clear is the paper's own, that beyond it the next slip's
)

// grown is the outline of the paper that a block of print is on, and which of its sides
// are seen; where one is not, room is left beside the print.
func (f *finder) grown(b block) (Quad, [4]bool) {
	q := boxQuad(b.Inset(-nearMark), f.print.W, f.print.H)
	reach := sideBeyond * float64(max(b.Dx(), b.Dy()))
	var at [4]straightLine
	var seen [4]bool
	for s := range q {
		at[s], seen[s] = f.sideOut(q[s], q[(s+1)%4], reach)
	}
	out := q
	for s := range at {
		if wide, ok := onLine(out, s, at[s]); ok {
			out = wide
		}
	}
	return out, seen
}

// sideOut is the paper's side outward of the side of print from p to q, no farther than
// reach nor than the next print; not ok when none is seen.
func (f *finder) sideOut(p, q record.Point, reach float64) (straightLine, bool) {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	nx, ny := (q.Y-p.Y)/l, -(q.X-p.X)/l
	moved := func(a record.Point, d float64) record.Point { return record.Point{X: a.X + d*nx, Y: a.Y + d*ny} }
	at, wide := 0.0, 0.0 // where the side is seen first, and how much farther out it still is
	best, clearest := straightLine{moved(p, blockRoom-nearMark), moved(q, blockRoom-nearMark)}, faintSide
	ok := false
	for d := 2.0; d < reach && !f.printedAt(p, q, -d); d++ {
		here, line := 0.0, straightLine{}
		for tilt := -edgeTilt; tilt <= edgeTilt; tilt += tiltStep {
			a, b := moved(p, d-tilt/2), moved(q, d+tilt/2)
			if !f.onPicture(a) || !f.onPicture(b) {
				continue
			}
			if seen := f.side(a, b); seen > here {
				here, line = seen, straightLine{a, b}
			}
		}
		switch {
		case nearAsSeen*here > clearest || here > clearest && (!ok || d-at <= oneLine):
			best, clearest, ok = line, here, true
			at, wide = d, 0
		case ok && here > nearAsSeen*clearest && d-at <= seenWithin:
			wide = d - at
		}
	}
	if ok {
		best = straightLine{moved(best.a, wide/2), moved(best.b, wide/2)}
	}
	return best, ok
}

// onPicture says whether p is not at the picture's border, where nothing is seen.
func (f *finder) onPicture(p record.Point) bool {
	const reach = 6
	return p.X > reach && p.Y > reach && p.X < float64(f.print.W-reach) && p.Y < float64(f.print.H-reach)
}

// count is how many of the sides are seen.
func count(seen [4]bool) int {
	n := 0
	for _, s := range seen {
		if s {
			n++
		}
	}
	return n
}
