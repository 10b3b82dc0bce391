package paper

import (
	"cmp"
	"slices"
)

// choose keeps the best of candidates that overlap. A page that holds slips is
// not itself a slip.
func (f *finder) choose() []Candidate {
	all := slices.Clone(f.found) // which may be asked again, and is told by place
	for i := range all {
		c := &all[i]
		// Seen three times is good, more is hardly better.
		c.Confidence *= 1 - 0.5/float64(c.votes)
		c.Confidence *= min(0.6+c.print*20, 1)
	}
	f.dropPrinted(all)
	f.dropCutting(all)
	f.dropPairs(all)
	f.preferWholes(all)
	slices.SortFunc(all, func(a, b Candidate) int { return cmp.Compare(b.Confidence, a.Confidence) })
	var out []Candidate
	for _, c := range all {
		if c.Confidence < max(leastConfidence, 0.5*all[0].Confidence) {
			break
		}
		if c.print < leastPrinted && c.Confidence < surePaper {
			continue // a shade of the ground
		}
		clear := true
		for _, o := range out {
			if covered(c.Quad, o.Quad) > 0.15 || covered(o.Quad, c.Quad) > 0.15 {
				clear = false
			}
		}
		if clear {
			out = append(out, c)
			continue
		}
		for i, o := range out {
			if q, ok := f.united(o.Quad, c.Quad); ok {
				out[i].Quad = q
			}
		}
	}
	return f.withoutGround(out)
}

// united is the outline of a and b where each reaches into the other by a side that cannot
// be seen while the sides next to it are one: parts of one slip that shade or tape cut out
// twice.
func (f *finder) united(a, b Quad) (Quad, bool) {
	for s := range 4 {
		p, q := a[s], a[(s+1)%4]
		for t := range 4 {
			c, d := b[t], b[(t+1)%4]
			if max(outward(c, p, q), outward(d, p, q), outward(p, c, d), outward(q, c, d)) > -bareEdge ||
				f.side(p, q) > seenSide || f.side(c, d) > seenSide || !flanksInLine(a, s, b, t, 0) {
				continue
			}
			a[s], a[(s+1)%4] = b[(t+2)%4], b[(t+3)%4]
			return a, area(a) > 0
		}
	}
	return a, false
}

// withoutGround leaves out what is far darker than the brightest slip: the grain of
// wood beside a slip is marks within straight sides too, but no other paper lies in
// so much less light. So is beside a slip what holds hardly a mark and is as rough as the
// ground around it: a check of a table cloth.
func (f *finder) withoutGround(c []Candidate) []Candidate {
	bright := 0.0
	for _, o := range c {
		if o.print >= leastPrinted {
			bright = max(bright, f.light.density(o.Quad, -2))
		}
	}
	return slices.DeleteFunc(c, func(o Candidate) bool {
		return f.light.density(o.Quad, -2) < asLight*bright || bright > 0 && o.print < printedPart && f.isRough(o.Quad)
	})
}

// asLight is the least share of the brightest slip's brightness that another one on
// the same picture has; wood has mostly half of it.
const asLight = 0.55

// A slip shows some print, or an outline that leaves no doubt: less than
// leastPrinted of marks with less than surePaper of confidence is none.
const (
	leastPrinted = 0.005
	surePaper    = 0.5
)

// leastConfidence is below what a slip on a matching ground reaches.
const leastConfidence = 0.25
