package paper

import (
	"cmp"
	"context"
	"math"
	"slices"

	"tankroll/record"
)

// A shadow, a stripe or a ground as bright as the paper spoils some sides of an
// outline and leaves the others. The right place of the spoilt side is often the
// side of another region: of the ground beyond it, or of a part of the paper. So
// outlines are put together anew out of the sides that can be seen.

const (
	assembledOf = 8    // candidates whose sides are tried in other places, the surest first
	rounds      = 2    // sides of one outline that are changed
	seenLine    = 0.6  // how much of a side must be seen to be tried elsewhere
	sameTurn    = 0.26 // most turn of a side, in radians: 15 degrees
	oneLine     = 3.0  // pixels within which two sides are one line
	otherPlace  = 7.0  // pixels from which a side is in another place
	likelyFill  = 0.88 // what is granted to an outline that no region fills
)

// straightLine is a side that can be seen.
type straightLine struct{ a, b record.Point }

// assemble adds the outlines that come of moving sides of the surest candidates to
// where other candidates have theirs.
func (f *finder) assemble(ctx context.Context) error {
	lines := f.seenLines()
	bases := slices.Clone(f.found)
	slices.SortStableFunc(bases, func(a, b Candidate) int { return cmp.Compare(b.Confidence, a.Confidence) })
	bases = bases[:min(len(bases), assembledOf)]
	for range rounds {
		var next []Candidate
		for _, c := range bases {
			if err := ctx.Err(); err != nil {
				return err
			}
			for s := range 4 {
				next = append(next, f.movedSide(c, s, lines)...)
			}
		}
		for _, c := range next {
			f.found, _ = vote(f.found, c)
		}
		slices.SortStableFunc(next, func(a, b Candidate) int { return cmp.Compare(b.Confidence, a.Confidence) })
		bases = next[:min(len(next), assembledOf)]
	}
	return nil
}

// seenLines are the sides of all candidates that can be seen, each once.
func (f *finder) seenLines() []straightLine {
	var out []straightLine
	for _, c := range f.found {
		for s := range 4 {
			a, b := c.Quad[s], c.Quad[(s+1)%4]
			if f.side(a, b) < seenLine || slices.ContainsFunc(out, func(l straightLine) bool {
				return lineDistance(a, l.a, l.b) < oneLine && lineDistance(b, l.a, l.b) < oneLine
			}) {
				continue
			}
			out = append(out, straightLine{a, b})
		}
	}
	return out
}

// movedSide are the surest larger and the surest smaller outline that c becomes when
// its side s lies on one of the lines.
func (f *finder) movedSide(c Candidate, s int, lines []straightLine) []Candidate {
	var larger, smaller Candidate
	p0, p1 := c.Quad[s], c.Quad[(s+1)%4]
	for _, l := range lines {
		if turn(p0, p1, l.a, l.b) > sameTurn || lineDistance(p0, l.a, l.b) < otherPlace && lineDistance(p1, l.a, l.b) < otherPlace {
			continue
		}
		moved, ok := onLine(c.Quad, s, l)
		if !ok {
			continue
		}
		best := &smaller
		if area(moved) > c.area {
			best = &larger
		}
		if m, ok := f.judge(moved, likelyFill); ok && m.Confidence > best.Confidence {
			m.assembled = true
			*best = m
		}
	}
	return slices.DeleteFunc([]Candidate{larger, smaller}, func(c Candidate) bool { return c.Confidence == 0 })
}

// turn is the angle between the lines through a-b and c-d, 0 to a quarter turn.
func turn(a, b, c, d record.Point) float64 {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	return math.Atan2(math.Abs(ux*vy-uy*vx), math.Abs(ux*vx+uy*vy))
}

// onLine is q with its side s on the line l.
func onLine(q Quad, s int, l straightLine) (Quad, bool) {
	dir := func(a, b record.Point) record.Point { return record.Point{X: b.X - a.X, Y: b.Y - a.Y} }
	before, after := (s+3)%4, (s+2)%4
	x0, ok0 := crossing(q[before], dir(q[before], q[s]), l.a, dir(l.a, l.b))
	x1, ok1 := crossing(q[after], dir(q[after], q[(s+1)%4]), l.a, dir(l.a, l.b))
	if !ok0 || !ok1 {
		return q, false
	}
	q[s], q[(s+1)%4] = x0, x1
	return q, area(q) > 0
}
