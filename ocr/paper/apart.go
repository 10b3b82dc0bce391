package paper

import (
	"slices"

	"tankroll/record"
)

// Slips taped to a sheet as white as they are show their sides here and there only, and
// thresholds join what abuts. A network that has learned sheets says how likely each place
// lies within a slip and off its sides, so that between two slips there is a strip of less
// however close they lie. Where that parts a sheet into regions with four sides, plainly,
// those are the slips, and where there is but one, nothing else is.

const (
	// apartRing is what the network leaves off within each side of a slip, of the picture's longer
	// side: 1.4 of its 384 pixels.
	apartRing  = 1.4 / 384
	apartFill  = 0.85 // overlap of the region of a slip with its four sides
	apartIn    = 0.85 // how likely a place within is a slip's, in the mean
	apartHold  = 0.9  // of all that is likely within slips on the picture, that these hold
	apartWhole = 0.8  // of a region, that its parts have
	// apartValley is how likely places along a line across a region lie within a slip, in the
	// mean, where that line parts two slips.
	apartValley = 0.75
	mostUnder   = 0.3  // of a slip, that may lie under another
	apartDark   = 0.85 // of the brightness of slips that their sheet has at least, and they of its
	asStripe    = 0.28 // how coloured, for its brightness, the stripe at the end of a roll is: yellowed paper is half as much
	// plainOutline is how sure the outline of one slip is that is told apart as several: .91 to .96 on
	// eight pictures of one; of outlines round two or more slips of a page, all of it, one had .91.
	plainOutline = 0.9
	holdsPart    = 0.85 // of what is told apart, that lies in that outline
	holdsBeside  = 0.5  // of print beside, which may be the slip's torn edge
	// surelyGap is how likely places along a gap that is one are within a slip, in the mean: .07 on one page of two
	// slips that brightness joins, .24 and more on twenty slips that tape, folds and stripes part.
	surelyGap  = 0.2
	leastSheet = 0.03 // of the picture that must be sheet for that to be seen
)

// apartSlips are the slips of a picture where it is plain how they lie apart, none where it
// is not.
func (f *finder) apartSlips() []Candidate {
	if f.apart.W == 0 {
		return nil
	}
	likely, held := sumsOf(f.apart), 0.0
	ring := apartRing * float64(max(f.apart.W, f.apart.H))
	var out []Candidate
	for _, r := range f.apartRegions() {
		q, ok := f.outlineOf(r)
		if !ok {
			continue
		}
		if fitted, ok := r.fitSides(q); ok {
			q = fitted
		}
		fill := r.fill(q)
		if fill < apartFill || likely.density(q, -1) < apartIn {
			continue
		}
		for _, part := range f.apartParts(expanded(q, ring)) {
			c, ok := f.judge(part, fill)
			if !ok {
				continue
			}
			in, _ := likely.inside(part, 0)
			held += in
			if f.cutsAny(part) || f.colour.density(part, -2) > asStripe {
				return nil // a stain or a stripe parts a slip
			}
			if c.print >= leastPrinted { // paper without print is not read
				out = append(out, c)
			}
		}
	}
	if held < apartHold*likely.total() || !f.isSheet(out) {
		return nil
	}
	return out
}

// withRest adds print beside slips that were told apart, so that none goes unread, and parts
// those that are two, of which one lies over the other's end.
func (f *finder) withRest(chosen []Candidate) []Candidate {
	return f.parted(f.withBlocks(chosen, f.residue(chosen)))
}

// isSheet says whether slips lie clear of each other on something as bright and as even as
// they are.
func (f *finder) isSheet(slips []Candidate) bool {
	quads := make([]Quad, len(slips))
	for i, c := range slips {
		quads[i] = c.Quad
		for _, o := range quads[:i] {
			if covered(c.Quad, o) > mostUnder || covered(o, c.Quad) > mostUnder {
				return false
			}
		}
	}
	around, left := f.brightAround(quads)
	return left < leastSheet*float64(len(f.apart.Pix)) || around > apartDark && around < 1/apartDark
}

// areOne says whether slips that were told apart, and print beside them, are parts of one, which
// tape, a fold or a stripe parts for the network: nothing else is on the picture, and brightness
// plainly shows an outline that holds them all.
func (f *finder) areOne(slips []Candidate) bool {
	if len(slips) == 0 {
		return false
	}
	chosen := f.choose()
	at := slices.IndexFunc(chosen, func(c Candidate) bool {
		return c.Confidence*f.onThreeSides(c.Quad) >= plainOutline && holdsAll(c.Quad, slips, holdsPart)
	})
	if at < 0 {
		return false
	}
	whole := chosen[at].Quad
	if len(slips) > 1 {
		if _, least := f.gapAcross(whole); least < surelyGap {
			return false
		}
	}
	all := f.withBlocks(slices.Clone(slips), f.residue(slips))
	return len(all) > 1 && holdsAll(whole, all[len(slips):], holdsBeside)
}

// holdsAll says whether at least such a share of each of some slips lies in q.
func holdsAll(q Quad, slips []Candidate, share float64) bool {
	return !slices.ContainsFunc(slips, func(s Candidate) bool { return covered(s.Quad, q) < share })
}

// onThreeSides is by how much surer an outline is when the side at the picture's border, if there
// is one and the slip runs on there, is taken to be as plain as the others.
func (f *finder) onThreeSides(q Quad) float64 {
	var seen []float64
	for s := range q {
		if a, b := q[s], q[(s+1)%4]; f.onPicture(a) || f.onPicture(b) {
			seen = append(seen, f.side(a, b))
		}
	}
	if len(seen) != 3 {
		return 1
	}
	return byEdge(edgeOf(seen...)) / byEdge(f.edge(q))
}

// apartLevels are the thresholds that part regions which lower ones join.
func apartLevels() []float32 { return []float32{halfLikely, 0.65, 0.8, 0.9, 0.95} }

// apartRegions are the regions that are likely within slips, each as its parts where a
// higher threshold parts it and hardly takes anything off. Parts have what of the region is
// nearest to them, so that they are no smaller than slips that lie alone.
func (f *finder) apartRegions() []region {
	least := int(leastArea / 2 * float64(len(f.apart.Pix)))
	whole := above(f.apart, halfLikely).regions(least)
	out := whole
	for _, t := range apartLevels()[1:] {
		higher := above(f.apart, t).regions(least)
		var next []region
		for _, r := range out {
			var parts []region
			size := 0
			for _, h := range higher {
				if r.holds(h) {
					parts, size = append(parts, h), size+h.area
				}
			}
			if len(parts) > 1 && float64(size) > apartWhole*float64(r.area) {
				next = append(next, parts...)
				continue
			}
			next = append(next, r)
		}
		out = next
	}
	if len(out) > len(whole) {
		out = f.regrown(out)
	}
	return out
}

// regrown are regions with what joins them at lower thresholds, each place given to that
// which reaches it first as the threshold falls.
func (f *finder) regrown(parts []region) []region {
	w, h := f.apart.W, f.apart.H
	of := make([]int, w*h) // the number of the region of a place, from 1
	var front []int
	for i, r := range parts {
		for k, l := range r.left {
			for x := l; x <= r.right[k]; x++ {
				if at := (r.y0+k)*w + x; of[at] == 0 {
					of[at] = i + 1
					front = append(front, at)
				}
			}
		}
	}
	for _, t := range slices.Backward(apartLevels()) {
		var later []int // that have a neighbour which a lower threshold takes
		for len(front) > 0 {
			at := front[0]
			front = front[1:]
			waits := false
			for _, n := range [...]int{at - w, at + w, at - 1, at + 1} {
				if n < 0 || n >= len(of) || n/w != at/w && n%w != at%w || of[n] != 0 {
					continue
				}
				if f.apart.Pix[n] > t {
					of[n] = of[at]
					front = append(front, n)
				} else {
					waits = true
				}
			}
			if waits {
				later = append(later, at)
			}
		}
		front = later
	}
	out := make([]region, len(parts))
	for i := range out {
		out[i] = newRegion(h, 0)
	}
	for at, i := range of {
		if i == 0 {
			continue
		}
		r, x, y := &out[i-1], at%w, at/w
		r.left[y], r.right[y] = min(r.left[y], x), max(r.right[y], x)
		r.count++
	}
	for i := range out {
		if out[i] = out[i].grown(0, w, h); out[i].fourSided() <= parts[i].fourSided() {
			out[i] = parts[i]
		}
	}
	return out
}

// fourSided is how well a region fills four sides.
func (r region) fourSided() float64 {
	q, ok := r.quad()
	if !ok {
		return 0
	}
	return r.fill(q)
}

// holds says whether a region that is a part of r or none of it is a part of it.
func (r region) holds(o region) bool {
	i := len(o.left) / 2
	y := o.y0 + i - r.y0
	if y < 0 || y >= len(r.left) || o.right[i] < 0 {
		return false
	}
	x := (o.left[i] + o.right[i]) / 2
	return x >= r.left[y] && x <= r.right[y]
}

// apartParts are q, or the slips in it where a line across it is hardly within a slip.
func (f *finder) apartParts(q Quad) []Quad {
	gap, least := f.gapAcross(q)
	if least >= apartValley {
		return []Quad{q}
	}
	return append(f.apartParts(topLeftFirst(gap.upper)), f.apartParts(topLeftFirst(gap.lower))...)
}

// gapAcross is the line across q along which places are least likely within a slip, and how likely
// they are in the mean; 1 where q is too small for a line.
func (f *finder) gapAcross(q Quad) (gap cut, least float64) {
	least = 1
	for c := range f.cutsOf(q, 1) {
		if v := f.apartAlong(c.l, c.r); v < least {
			gap, least = c, v
		}
	}
	return gap, least
}

// apartFrom says whether it is known that between a side of a slip and a border of the picture
// there is no slip, but a sheet as white.
func (f *finder) apartFrom(a, b record.Point, e border) bool {
	if f.apart.W == 0 {
		return false
	}
	halfway := func(p record.Point) record.Point {
		if e.vertical {
			return record.Point{X: (p.X + e.at) / 2, Y: p.Y}
		}
		return record.Point{X: p.X, Y: (p.Y + e.at) / 2}
	}
	return f.apartAlong(halfway(a), halfway(b)) < halfLikely
}

// apartAlong is how likely places from a to b lie within a slip, in the mean; the ends are
// at sides and do not count.
func (f *finder) apartAlong(a, b record.Point) float64 {
	const n, ends = 40, 3
	sum := 0.0
	for i := ends; i < n-ends; i++ {
		p := along(a, b, (float64(i)+0.5)/n)
		sum += float64(f.apart.Bilinear(p.X-0.5, p.Y-0.5))
	}
	return sum / (n - 2*ends)
}
