package paper

import (
	"math"
	"slices"

	"tankroll/record"
)

// The stripe at the end of a roll can be as dark as the ground when it runs along
// the paper's side. The paper beside it is then one outline and the stripe another,
// and what is printed across both is cut.

const (
	besideCorners = 0.06 // of the longer side: how far apart corners are that meet
	stripPrint    = 0.5  // most print on a stripe as bright as the paper beside it, as a share of that paper's
)

// withStripes joins to each slip the narrow strips of its own length that lie along
// it.
func (f *finder) withStripes(set []Candidate) []Candidate {
	for i := 0; i < len(set); i++ {
		for k := 0; k < len(set); k++ {
			if i == k {
				continue
			}
			if q, ok := besideStrip(set[i], set[k]); ok && (set[k].print <= stripPrint*set[i].print || f.darker(set[k], set[i])) && !f.groundStrip(set[i].Quad, set[k].Quad) {
				set[i].Quad, set[i].area = q, area(q)
				set = slices.Delete(set, k, k+1)
				return f.withStripes(set)
			}
		}
	}
	return set
}

// darker is whether b is as much darker than a as a stripe is; its grain may look
// like print.
func (f *finder) darker(b, a Candidate) bool {
	return f.light.density(b.Quad, -2) < stripDark*f.light.density(a.Quad, -2)
}

// besideStrip is the outline of both when b is a strip along a.
func besideStrip(a, b Candidate) (Quad, bool) {
	aw, ah := sides(a.Quad)
	bw, bh := sides(b.Quad)
	if min(bw, bh) > stripWidth*min(aw, ah) || max(bw, bh) < stripShape*min(bw, bh) {
		return Quad{}, false
	}
	near := besideCorners * max(aw, ah)
	meets := func(p, q record.Point) bool { return math.Hypot(p.X-q.X, p.Y-q.Y) < near }
	for s := range 4 {
		for t := range 4 {
			// Both run clockwise, so that sides that meet run against each other.
			if length(b.Quad, t) < 0.9*max(bw, bh) || !meets(a.Quad[s], b.Quad[(t+1)%4]) || !meets(a.Quad[(s+1)%4], b.Quad[t]) {
				continue
			}
			out := a.Quad
			out[s], out[(s+1)%4] = b.Quad[(t+2)%4], b.Quad[(t+3)%4]
			return out, true
		}
	}
	return Quad{}, false
}

func length(q Quad, s int) float64 {
	a, b := q[s], q[(s+1)%4]
	return math.Hypot(b.X-a.X, b.Y-a.Y)
}
