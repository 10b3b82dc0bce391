package paper

import (
	"math"
	"slices"

	"tankroll/record"
)

// Print outside of the slips that were found is either the rest of one of
// them, whose outline was cut short by a line, a strip of tape or a stripe on
// the paper; or a slip of its own.

const (
	// bareEdge is what paper keeps bare of print at each of its sides, in pixels
	// of the searched picture: 3 mm on a sheet of letter paper. Print that is
	// nearer to a side belongs to the same paper.
	bareEdge = 5
	// nearMark is from how many pixels off a side on a mark is print, and not the side's own
	// shadow.
	nearMark = 2.0
	// besideIt is the share of the shorter of two extents along a side that
	// print and slip must have in common.
	besideIt = 0.6
	// cutShare is the share of a side along which print must lie on both sides.
	cutShare = 0.12
	// fewestCut is how many lines are cut, and mostCut of how much of the side at most: a fold
	// or shadow is marks all along it.
	fewestCut, mostCut = 3, 0.85
	// partingStrip is the width, as a share of the side along it, up to which a
	// fold, a stripe or a strip of tape may part two pieces of one paper.
	partingStrip = 0.12
	// farMarks is how far from a slip, in pixels, marks are no part of its
	// shadow or curled edge.
	farMarks = 10
	// bareStrip is how many pixels in a row must have no more than bareShare of marks
	// for print to end there: more than what parts two words.
	bareStrip, bareShare = 9, 0.01
	// printBeyond is how far out of a side, as a share of its length, print is looked for.
	printBeyond = 0.5
	// mostBare is how much of a slip may be bare between two of its lines, as a share of its
	// width; 0.05 is a line. A row of pixels with print has printedRow of marks or more, and
	// of printedRows rows from where print begins printedLeast have: of those at a fold or the
	// edge of a strip of tape no more than three do.
	mostBare                  = 0.22
	printedRow                = 0.03
	printedRows, printedLeast = 12, 5
	// mostBareEnds is how much is bare, in pixels, where a strip of tape or a fold runs across
	// lines of print: no more than between two words. The ends of lines of two slips keep the
	// margins of both.
	mostBareEnds = 2.0 * bareEdge
	// abut is how many pixels sides may lie apart that meet, or run on in one line.
	abut = 3.0
	// widestStrip is the width, as a share of the side along it, up to which a strip
	// that holds print belongs to the papers on either side.
	widestStrip = 0.35
)

// joined adds blocks of print to the slips whose rest they are, and the
// remaining ones as slips.
func (f *finder) joined(chosen []Candidate, blocks []block) []Candidate {
	var rest []block
	for _, b := range blocks {
		q := boxQuad(b.Rectangle, f.print.W, f.print.H)
		home := -1
		for i, c := range chosen {
			if f.continues(c.Quad, q) && (home < 0 || covered(q, expanded(c.Quad, farMarks)) > covered(q, expanded(chosen[home].Quad, farMarks))) {
				home = i
			}
		}
		if home < 0 {
			rest = append(rest, b)
			continue
		}
		if wide := stretched(chosen[home].Quad, q); clearOf(wide, chosen, home) && !f.reachesGround(chosen[home].Quad, wide) {
			chosen[home].Quad = wide
		}
	}
	return f.withBlocks(f.pieced(chosen), rest)
}

// withBlocks adds blocks of print as slips of their own, unless they lie on one that was chosen.
func (f *finder) withBlocks(chosen []Candidate, blocks []block) []Candidate {
	n := len(chosen)
	for _, b := range blocks {
		q := boxQuad(b.Inset(-blockRoom), f.print.W, f.print.H)
		if wide, seen := f.grown(b); count(seen) >= leastSides && clearOf(wide, chosen, -1) {
			q = wide
		}
		// Marks all around a slip are its shadow and the ground's.
		if clearOf(q, chosen[:n], -1) {
			chosen = append(chosen, Candidate{Quad: q, Confidence: leastConfidence})
		}
	}
	return chosen
}

// pastPrint moves the sides of slips that go through print out to where it ends: a
// stain as dark as the ground hides the paper's own side, not what is printed there.
func (f *finder) pastPrint(chosen []Candidate) {
	for i, c := range chosen {
		for s := range 4 {
			p, q := c.Quad[s], c.Quad[(s+1)%4]
			least := asLight
			if !f.cutsPrint(p, q) {
				// On darker ground a side this near to the end of print is the paper's.
				if least = asBright; !f.cutsLines(p, q) {
					continue
				}
			}
			out, ok := f.printEnds(p, q)
			if !ok {
				continue
			}
			wide := movedOut(chosen[i].Quad, s, out)
			if f.reachesGround(chosen[i].Quad, wide) {
				continue
			}
			// A torn edge is marks too, with dark ground beyond.
			if _, light := f.beyond(c, Candidate{Quad: wide}); light < least {
				continue
			}
			if clearOf(wide, chosen, i) {
				chosen[i].Quad = wide
			}
		}
	}
}

// printEnds is how far outward of a line from p to q print has ended, with some room;
// not ok when there is none before the
// picture's border, as on a ground full of marks.
func (f *finder) printEnds(p, q record.Point) (float64, bool) {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	bare := 0
	for d := 1.0; d < printBeyond*l; d++ {
		marks, n := 0, 0
		for t := 0.5; t < l; t++ {
			x, y := int(p.X+t*ux+d*uy), int(p.Y+t*uy-d*ux)
			if x >= 0 && y >= 0 && x < f.print.W && y < f.print.H {
				n++
				if f.print.At(x, y) > 0 {
					marks++
				}
			}
		}
		switch {
		case float64(n) < l/2:
			return 0, false
		case float64(marks) <= bareShare*float64(n):
			bare++
		default:
			bare = 0
		}
		if bare == bareStrip {
			return d - bareStrip + blockRoom, true
		}
	}
	return 0, false
}

// movedOut is q with its side s moved out by d pixels.
func movedOut(q Quad, s int, d float64) Quad {
	a, b := q[s], q[(s+1)%4]
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	nx, ny := d*(b.Y-a.Y)/l, -d*(b.X-a.X)/l
	if wide, ok := onLine(q, s, straightLine{record.Point{X: a.X + nx, Y: a.Y + ny}, record.Point{X: b.X + nx, Y: b.Y + ny}}); ok {
		return wide
	}
	return q
}

// bandAlong is the band along the side s of q from so many pixels outward of it to so many.
func bandAlong(q Quad, s int, from, to float64) Quad {
	inner, outer, k := movedOut(q, s, from), movedOut(q, s, to), (s+1)%4
	return topLeftFirst(Quad{outer[s], outer[k], inner[k], inner[s]})
}

// pieced joins slips that touch along a whole side which goes through print.
func (f *finder) pieced(chosen []Candidate) []Candidate {
	for i := 0; i < len(chosen); i++ {
		for k := i + 1; k < len(chosen); k++ {
			if q, ok := f.onePaper(chosen[i].Quad, chosen[k].Quad); ok {
				chosen[i].Quad, chosen[i].Confidence = q, max(chosen[i].Confidence, chosen[k].Confidence)
				chosen = slices.Delete(chosen, k, k+1)
				k = i // the whole may touch what its part did not
			}
		}
	}
	return chosen
}

// onePaper is the outline of a and b when they are two pieces of one paper: they
// touch along a side that goes through print or has print close by on both sides, a strip
// parts them that print runs up to from both sides or lies in, or their flanks are one.
func (f *finder) onePaper(a, b Quad) (Quad, bool) {
	apart := func(p, q record.Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }
	for s := range 4 {
		p, q := a[s], a[(s+1)%4]
		for t := range 4 {
			// Clockwise corners: the side that both have runs the other way in b.
			gap := max(apart(p, b[(t+1)%4]), apart(q, b[t]))
			touch := gap <= bareEdge && (f.cutsPrint(p, q) || f.cutsPrint(b[t], b[(t+1)%4]))
			if !touch && f.groundStrip(a, b) {
				continue
			}
			if !touch && !((gap <= bareEdge || inLine(a, s, b, t) || f.printBetween(a, s, b, t)) && f.printGoesOn(a, s, b, t)) && (gap > partingStrip*apart(p, q) || !f.endsInPrint(p, q) || !f.endsInPrint(b[t], b[(t+1)%4])) {
				continue
			}
			one := a
			one[s], one[(s+1)%4] = b[(t+2)%4], b[(t+3)%4]
			if larger := largerOf(a, b); f.reachesGround(larger, one) {
				continue
			}
			return one, area(one) > 0
		}
	}
	return a, false
}

// inLine says whether a's side s meets b's side t, or each reaches beyond it into the
// other, while the sides next to them run on in line: a strip of tape or a fold parts
// one paper so, and hardly ever two, which would have to be as wide and to abut.
func inLine(a Quad, s int, b Quad, t int) bool {
	p, q := a[s], a[(s+1)%4]
	c, d := b[t], b[(t+1)%4]
	apart := max(outward(p, c, d), outward(q, c, d), outward(c, p, q), outward(d, p, q))
	if apart > abut {
		return false
	}
	near := abut
	if apart < -bareEdge { // of two papers the upper one hides the lower
		near = 0
	}
	return flanksInLine(a, s, b, t, near)
}

// printGoesOn says whether no more is bare on either side of where a's side s meets b's
// side t than a few lines, or than parts words where lines run across: a slip begins and
// ends with more, and those of one console are of one width.
func (f *finder) printGoesOn(a Quad, s int, b Quad, t int) bool {
	above, okA := f.bareFrom(a[s], a[(s+1)%4], a)
	below, okB := f.bareFrom(b[t], b[(t+1)%4], b)
	if !okA || !okB {
		return true
	}
	if above+below > mostBare*length(a, s) {
		return false
	}
	return above+below <= mostBareEnds || !f.endOn(a, s) || !f.endOn(b, t)
}

// endOn says whether lines of print plainly run towards the side s of q and end there.
func (f *finder) endOn(q Quad, s int) bool {
	run := f.linesAcross(q)
	if s%2 == 1 {
		run = -run
	}
	return run < -plainlyAcross
}

// bareFrom is how far inward of q's side from p to r print begins; not ok when there is
// none. What lies right at the side is the edge.
func (f *finder) bareFrom(p, r record.Point, q Quad) (float64, bool) {
	deep := 0.0
	for _, k := range q {
		deep = max(deep, -outward(k, p, r))
	}
	var rows []bool // which hold print
	for d := bareEdge / 2.0; d < deep-bareEdge; d++ {
		rows = append(rows, f.printedAt(p, r, d))
	}
	for k, held := range rows {
		near := 0
		for _, r := range rows[k:min(k+printedRows, len(rows))] {
			if r {
				near++
			}
		}
		if held && near >= printedLeast {
			return float64(k) + bareEdge/2.0, true
		}
	}
	return 0, false
}

// printedAt says whether the row d pixels inward of a side from p to r holds print.
func (f *finder) printedAt(p, r record.Point, d float64) bool {
	l := math.Hypot(r.X-p.X, r.Y-p.Y)
	ux, uy := (r.X-p.X)/l, (r.Y-p.Y)/l
	marks, n := 0.0, 0.0
	for t := 0.05 * l; t < 0.95*l; t++ {
		x, y := int(p.X+t*ux-d*uy), int(p.Y+t*uy+d*ux)
		if x >= 0 && y >= 0 && x < f.print.W && y < f.print.H {
			marks, n = marks+float64(f.print.At(x, y)), n+1
		}
	}
	return marks > printedRow*n
}

// flanksInLine says whether the sides of a next to its side s run on in those of b next
// to its side t, no more than near pixels aside; 0 is what sides of one slip differ by.
func flanksInLine(a Quad, s int, b Quad, t int, near float64) bool {
	p, q := a[s], a[(s+1)%4]
	c, d := b[t], b[(t+1)%4]
	wide := a
	wide[s], wide[(s+1)%4] = b[(t+2)%4], b[(t+3)%4]
	if near == 0 {
		w, h := sides(wide)
		near = max(sameSide*max(w, h), abut)
	}
	return area(wide) > max(area(a), area(b)) &&
		lineDistance(q, wide[(s+1)%4], wide[(s+2)%4]) <= near && lineDistance(c, wide[(s+1)%4], wide[(s+2)%4]) <= near &&
		lineDistance(p, wide[(s+3)%4], wide[s]) <= near && lineDistance(d, wide[(s+3)%4], wide[s]) <= near
}

// printBetween says whether print goes on between a's side s and b's side t, which are
// in line: a strip of tape lies there, too dark to be taken for paper by itself.
func (f *finder) printBetween(a Quad, s int, b Quad, t int) bool {
	p, q := a[s], a[(s+1)%4]
	c, d := b[t], b[(t+1)%4]
	strip := topLeftFirst(Quad{q, p, d, c})
	if max(outward(c, p, q), outward(d, p, q)) > widestStrip*math.Hypot(q.X-p.X, q.Y-p.Y) || area(strip) <= 0 || !flanksInLine(a, s, b, t, 0) {
		return false
	}
	print := min(f.marks.density(a, -5), f.marks.density(b, -5))
	light := min(f.light.density(a, -2), f.light.density(b, -2))
	return f.marks.density(strip, -2) > alikePrint*print && f.light.density(strip, -2) > asLight*light
}

// clearOf says whether q leaves the chosen slips but one alone.
func clearOf(q Quad, chosen []Candidate, but int) bool {
	for i, c := range chosen {
		if i != but && covered(c.Quad, q) > 0.15 {
			return false
		}
	}
	return true
}

// continues says whether the print in b is the rest of the slip c.
func (f *finder) continues(c, b Quad) bool {
	for s := range 4 {
		p, q := c[s], c[(s+1)%4]
		l := math.Hypot(q.X-p.X, q.Y-p.Y)
		ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
		near, far, t0, t1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, k := range b {
			d, t := outward(k, p, q), (k.X-p.X)*ux+(k.Y-p.Y)*uy
			near, far, t0, t1 = min(near, d), max(far, d), min(t0, t), max(t1, t)
		}
		common := min(t1, l) - max(t0, 0)
		if near < bareEdge && far > farMarks && common > besideIt*min(t1-t0, l) && (f.cutsPrint(p, q) || f.closeTo(c, s)) {
			return true
		}
	}
	return false
}

// closeTo says whether print of a slip on a sheet comes closer to its side s than that of
// two slips does which meet there.
func (f *finder) closeTo(c Quad, s int) bool {
	bare, ok := f.bareFrom(c[s], c[(s+1)%4], c)
	return ok && bare < mostBareEnds && f.onWhite(c)
}

// cutsPrint says whether print lies close along both sides of a line from p to
// q: then no paper ends there.
func (f *finder) cutsPrint(p, q record.Point) bool {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	in, out := 0, 0
	for t := 0.5; t < l; t++ {
		x, y := p.X+t*ux, p.Y+t*uy
		in, out = in+f.marked(x, y, -uy, ux), out+f.marked(x, y, uy, -ux)
	}
	return float64(min(in, out)) > cutShare*l
}

// marked is 1 when a mark lies near x, y in the direction dx, dy, else 0.
func (f *finder) marked(x, y, dx, dy float64) int {
	for d := nearMark; d <= bareEdge+1; d++ {
		px, py := int(x+d*dx), int(y+d*dy)
		if px >= 0 && py >= 0 && px < f.print.W && py < f.print.H && f.print.At(px, py) > 0 {
			return 1
		}
	}
	return 0
}

// endsInPrint says whether print runs up to a slip's side from p to q in places:
// a fold or shadow along the side is marks too, but all along it.
func (f *finder) endsInPrint(p, q record.Point) bool {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	in, runs, last := 0, 0, 0
	for t := 0.5; t < l; t++ {
		m := f.marked(p.X+t*ux, p.Y+t*uy, -uy, ux)
		if m > last {
			runs++
		}
		in, last = in+m, m
	}
	return float64(in) > cutShare*l && float64(in) < mostCut*l && runs >= fewestCut
}

// cutsLines says whether several lines of print run over a slip's side from p to q by
// however little: of letters that stand out of it hardly one pixel shows.
func (f *finder) cutsLines(p, q record.Point) bool {
	l := math.Hypot(q.X-p.X, q.Y-p.Y)
	ux, uy := (q.X-p.X)/l, (q.Y-p.Y)/l
	at := func(x, y float64) bool {
		px, py := int(x), int(y)
		return px >= 0 && py >= 0 && px < f.print.W && py < f.print.H && f.print.At(px, py) > 0
	}
	over, runs, last := 0, 0, false
	for t := 0.5; t < l; t++ {
		x, y := p.X+t*ux, p.Y+t*uy
		now := at(x+uy, y-ux) && at(x, y) && at(x-nearMark*uy, y+nearMark*ux)
		if now {
			over++
			if !last {
				runs++
			}
		}
		last = now
	}
	return runs >= fewestCut && float64(over) < mostCut*l && f.endsInPrint(p, q)
}

// stretched moves the sides of c out until b lies inside with some room.
func stretched(c, b Quad) Quad {
	var base, dir [4]record.Point
	for s := range 4 {
		p, q := c[s], c[(s+1)%4]
		l := math.Hypot(q.X-p.X, q.Y-p.Y)
		out := 0.0
		for _, k := range b {
			if d := outward(k, p, q); d > 0 {
				out = max(out, d+blockRoom)
			}
		}
		base[s] = record.Point{X: p.X + out*(q.Y-p.Y)/l, Y: p.Y - out*(q.X-p.X)/l}
		dir[s] = record.Point{X: (q.X - p.X) / l, Y: (q.Y - p.Y) / l}
	}
	var wide Quad
	for s := range 4 {
		x, ok := crossing(base[(s+3)%4], dir[(s+3)%4], base[s], dir[s])
		if !ok {
			return c
		}
		wide[s] = x
	}
	return wide
}
