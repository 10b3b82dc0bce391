package paper

import (
	"cmp"
	"math"
	"slices"

	"tankroll/record"
)

// What is printed on paper at the mill, a fold or a strip of tape can cut a slip
// in two: the part then has a clearer outline than the whole. The whole is told
// by sharing sides with its part, or by being brighter than a narrow strip that
// lies on it while most of its print lies beside the strip.

const (
	sameSide     = 0.025 // of the whole's longest side: how far apart sides are one
	wholeFromCut = 0.75  // of the part's confidence that the whole must have
	leastOfWhole = 0.5   // of the whole's area that a part must have, unless it is a strip
	mostOfWhole  = 0.96
	leastOfTwo   = 0.2  // of the area of two slips together that each has
	mostOfTwo    = 0.75 // of that area that both have
	mostlyIn     = 0.8  // of each that lies in it
	clearVotes   = 2    // times as many thresholds cut out the whole as either of two parts
	alikePrint   = 0.4  // of the print on one that the other has: a folded heading is no slip
	printedPart  = 0.02 // of marks, from which a part may be a slip of its own
	grainPrint   = 0.3  // of the print on one, that the grain of a dark ground and the edge beside it seem to hold
	seenSide     = 0.45 // of the whole's own side; where the picture ends it is less

	allSeen        = 0.9  // of the other sides of a slip that runs off its picture
	followsPrinted = 0.6  // of the print above a strip of tape that must follow below it
	followsBright  = 0.7  // of its brightness
	followsShade   = 0.85 // of it, below which what is surely cut off is none of the paper
	cutOffByMost   = 40   // thresholds that cut off a part: a strip of tape is cut off by few
	followsVotes   = 0.2  // of them that must also cut out the whole then

	stripShape     = 2.5  // length against width from which a part is a strip
	stripWidth     = 0.35 // of the whole's shorter side
	stripDark      = 0.93 // of the whole's brightness
	wholeFromStrip = 0.45 // of the strip's confidence that the whole must have
	wholeFromPiece = 0.6  // of the piece's
)

// preferWholes gives wholes the confidence of their parts, and takes it from
// the parts.
func (f *finder) preferWholes(all []Candidate) {
	// From the smallest on, so that what is taken for a whole can turn out to be a
	// part itself.
	slices.SortStableFunc(all, func(a, b Candidate) int { return cmp.Compare(a.area, b.area) })
	for c := range all {
		best := -1
		for l := range all {
			if l == c || all[l].Confidence == 0 || !f.isCut(all[c], all[l]) && (!f.runsOff(all[c], all[l]) && (!f.isPart(all[c], all[l]) && !isPiece(all[c], all[l]) || f.holdsOthers(all, all[c], all[l])) || f.reachesGround(all[c].Quad, all[l].Quad)) {
				continue
			}
			// The ground around a slip is a whole too: the smaller is the paper,
			// unless the larger stands out more.
			if best < 0 || all[l].Confidence/all[l].area > all[best].Confidence/all[best].area {
				best = l
			}
		}
		if best >= 0 {
			all[best].Confidence = max(all[best].Confidence, all[c].Confidence)
			all[c].Confidence = 0
		}
	}
}

// dropPairs takes the confidence from outlines that are those of two slips side by
// side: each of the two stands out by itself, and keeps bare of print where they
// meet.
func (f *finder) dropPairs(all []Candidate) {
	exact := make([]Quad, len(all))
	for i, c := range all {
		if c.print >= printedPart {
			exact[i] = f.snapped(c.Quad)
		}
	}
	for l := range all {
		var within []Candidate
		for i, c := range all {
			if c.Confidence >= wholeFromCut*all[l].Confidence && c.print >= printedPart &&
				c.area > leastOfTwo*all[l].area && c.area < mostOfWhole*all[l].area &&
				covered(c.Quad, all[l].Quad) > mostlyIn && f.bareWithin(exact[i], all[l].Quad) {
				within = append(within, c)
			}
		}
		for i, a := range within {
			for _, b := range within[:i] {
				if !f.isClear(all[l], a, b) && a.area+b.area > mostOfTwo*all[l].area && covered(a.Quad, b.Quad) < 0.05 && min(a.print, b.print) > alikePrint*max(a.print, b.print) {
					all[l].Confidence = 0
				}
			}
		}
	}
}

// isClear says whether l stands out all around, surer than what may be two parts of it and
// by far more thresholds than either: a fold or the edge of yellowed paper parts it for some.
func (f *finder) isClear(l, a, b Candidate) bool {
	return l.votes >= clearVotes*max(a.votes, b.votes) && l.Confidence >= max(a.Confidence, b.Confidence) &&
		f.sidesSeen(l.Quad, -1) >= allSeen
}

// bareWithin says whether c keeps bare of print along those of its sides that are not
// sides of l.
func (f *finder) bareWithin(c, l Quad) bool {
	for s := range 4 {
		a, b := c[s], c[(s+1)%4]
		if !alongSide(c, l, s) && (f.cutsPrint(a, b) || f.endsInPrint(a, b)) {
			return false
		}
	}
	return true
}

// liesIn says whether c lies within l and is clearly smaller.
func liesIn(c, l Candidate) bool {
	return c.area <= mostOfWhole*l.area && covered(c.Quad, l.Quad) >= 0.9
}

// isPart says whether c is only a part of the slip l.
func (f *finder) isPart(c, l Candidate) bool {
	// Of a narrow strip along a side a few pixels beyond it are a large share.
	if f.isStrip(c, l) && covered(c.Quad, expanded(l.Quad, bareEdge)) >= 0.9 {
		return l.Confidence >= wholeFromStrip*c.Confidence
	}
	if !liesIn(c, l) {
		return false
	}
	if l.assembled || c.area < leastOfWhole*l.area || l.Confidence < wholeFromCut*c.Confidence {
		return false
	}
	own, n := ownSide(c.Quad, l.Quad)
	// What ends where the picture ends may be the ground.
	return n == 1 && f.side(l.Quad[own], l.Quad[(own+1)%4]) > seenSide && !f.isGround(c, l) && !f.endsInShade(c, l)
}

// isGround says whether what l has more than c is bare and far darker: no paper lies
// in so much less light than the rest of it.
func (f *finder) isGround(c, l Candidate) bool {
	print, light := f.beyond(c, l)
	in := f.marks.density(c.Quad, -2)
	return print < max(leastPrinted, grainPrint*in) && light < asLight
}

// endsInShade says whether c is surely cut off from l, and what l has more is darker: a
// ground nearly as bright as paper, or the shadow on it.
func (f *finder) endsInShade(c, l Candidate) bool {
	if !cutOffSurely(c, l) {
		return false
	}
	_, light := f.beyond(c, l)
	return light < followsShade
}

// cutOffSurely says whether nearly all thresholds cut off c and hardly any l: there is
// more between them than a fold or a strip of tape.
func cutOffSurely(c, l Candidate) bool {
	return c.votes >= cutOffByMost && float64(l.votes) < followsVotes*float64(c.votes)
}

// isPiece says whether c lies in l, which nearly all thresholds cut off and hardly any
// otherwise than as one: folds and strips of tape fence pieces of it.
func isPiece(c, l Candidate) bool {
	return liesIn(c, l) && cutOffSurely(l, c) && l.Confidence >= wholeFromPiece*c.Confidence
}

// beyond is how full of print what l has more than c is, and how bright against c.
func (f *finder) beyond(c, l Candidate) (print, light float64) {
	in, inN := f.marks.inside(c.Quad, -2)
	all, allN := f.marks.inside(l.Quad, -2)
	bright, brightN := f.light.inside(c.Quad, -2)
	allBright, _ := f.light.inside(l.Quad, -2)
	n := allN - inN
	if n < 1 || inN < 1 {
		return 0, 1
	}
	return (all - in) / n, (allBright - bright) / n / max(bright/brightN, 1)
}

// isCut says whether c is l but for one side, which goes right through print.
func (f *finder) isCut(c, l Candidate) bool {
	if l.Confidence < wholeFromCut*c.Confidence || !liesIn(c, l) {
		return false
	}
	own, n := ownSide(c.Quad, l.Quad)
	return n == 1 && f.cutsPrint(c.Quad[own], c.Quad[(own+1)%4])
}

// runsOff says whether c is l but for one side, and l goes on from there to the
// picture's border, as bright and as full of print: a strip of tape or a fold across
// a slip that runs off its picture is no end of it.
func (f *finder) runsOff(c, l Candidate) bool {
	if !liesIn(c, l) || cutOffSurely(c, l) {
		return false
	}
	own, n := ownSide(c.Quad, l.Quad)
	if n != 1 || f.onPicture(l.Quad[own]) || f.onPicture(l.Quad[(own+1)%4]) || f.side(l.Quad[own], l.Quad[(own+1)%4]) > seenSide || f.sidesSeen(l.Quad, own) < allSeen {
		return false
	}
	if !f.flanksGoOn(c.Quad, l.Quad, own) {
		return false
	}
	print, bright := f.beyond(c, l)
	in := f.marks.density(c.Quad, -2)
	return print > followsPrinted*in && bright > followsBright && bright < 1/followsBright
}

// flanksGoOn says whether the sides of l that its own side s ends can be seen beyond c too: what
// is as bright as paper and printed may be a newspaper that c lies on.
func (f *finder) flanksGoOn(c, l Quad, s int) bool {
	const short = 12.0 // pixels, of which too little is seen to say so
	k := (s + 1) % 4
	for _, flank := range [2][2]record.Point{{nearestOn(c[s], l[(s+3)%4], l[s]), l[s]}, {l[k], nearestOn(c[k], l[k], l[(s+2)%4])}} {
		a, b := flank[0], flank[1]
		if math.Hypot(b.X-a.X, b.Y-a.Y) > short && f.side(a, b) < seenSide {
			return false
		}
	}
	return true
}

// sidesSeen is how much of the outline, but for one side, can be seen, 0 to 1.
func (f *finder) sidesSeen(q Quad, but int) float64 {
	least := 1.0
	for s := range 4 {
		if s != but {
			least = min(least, f.side(q[s], q[(s+1)%4]))
		}
	}
	return least
}

// isStrip says whether c is a narrow dark strip on l, with most of the print
// beside it.
func (f *finder) isStrip(c, l Candidate) bool {
	w, h := sides(c.Quad)
	lw, lh := sides(l.Quad)
	if max(w, h) < stripShape*min(w, h) || min(w, h) > stripWidth*min(lw, lh) {
		return false
	}
	in, _ := f.marks.inside(c.Quad, 0)
	all, _ := f.marks.inside(l.Quad, -3)
	return all > 2.5*in && f.light.density(c.Quad, -2) < stripDark*f.light.density(l.Quad, -2)
}

// holdsOthers says whether l, of which c may be a part, reaches into more that
// holds print and stands out nearly as clearly as l itself, beside c: then it
// is a page with slips, or a slip and a piece of its neighbour.
func (f *finder) holdsOthers(all []Candidate, c, l Candidate) bool {
	for _, o := range all {
		if o.Confidence < wholeFromCut*l.Confidence || o.print < printedPart || covered(o.Quad, c.Quad) > 0.1 || f.isStrip(o, l) {
			continue
		}
		// What a stain or a fold cuts out of a slip has print across its sides.
		if liesIn(o, l) && !f.bareWithin(o.Quad, l.Quad) {
			continue
		}
		// What is left of a slip beside the strip is no other.
		if covered(o.Quad, l.Quad) >= 0.9 && covered(l.Quad, o.Quad)+covered(l.Quad, c.Quad) > 0.9 && f.isStrip(c, l) {
			continue
		}
		if in := covered(l.Quad, o.Quad); in > 0.03 && in < 0.9 {
			return true
		}
	}
	return false
}

// ownSide is a side of l along which c has none, and how many there are.
func ownSide(c, l Quad) (side, n int) {
	for s := range 4 {
		if !alongSide(c, l, s) {
			side, n = s, n+1
		}
	}
	return side, n
}

// alongSide says whether c and l have their side s in common.
func alongSide(c, l Quad, s int) bool {
	w, h := sides(l)
	near := max(sameSide*max(w, h), 3)
	a, b := l[s], l[(s+1)%4]
	return lineDistance(c[s], a, b) <= near && lineDistance(c[(s+1)%4], a, b) <= near
}
