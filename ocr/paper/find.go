package paper

import (
	"cmp"
	"context"
	"math"
	"slices"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// Finding a slip: paper is a region that is brighter than what it lies on, or
// at least fenced by a sudden change, and that fills four straight sides. No
// single threshold finds it under every light, so many are tried; each region
// that one of them cuts out is a candidate. What is cut out again and again
// with nearly the same outline, fills its four sides, steps in brightness at
// its sides and holds marks the size of print wins.

const (
	findSide    = 480  // longest side in pixels of the picture that is searched: a slip's edge is then known to about a tenth of a character
	levels      = 30   // thresholds tried
	leastArea   = 0.01 // of the picture: a slip of a dozen on a binder page has 0.03 or more
	leastFill   = 0.80 // of the four sides' area that a region must fill; torn and curled slips reach 0.88
	leastShort  = 0.10 // shortest side of a slip against the picture's shorter side
	sameOutline = 0.93 // overlap from which two candidates are one
)

// Candidate is a slip that was found, with how much speaks for it, 0 to 1.
type Candidate struct {
	Quad       Quad
	Confidence float64
	area       float64
	print      float64
	votes      int
	assembled  bool // out of sides of several regions: no region fills it
}

// Find returns the slips on a picture, the surest first. None means that no
// outline stands out: then the whole picture is the best guess. The error is the
// context's, which is looked at from step to step.
func Find(ctx context.Context, p Planes) ([]Candidate, error) {
	f := newFinder(p)
	sheets, apart := f.sheets(), f.apartSlips()
	if err := f.addLevels(ctx, f.closed); err != nil {
		return nil, err
	}
	for _, ground := range []raster.Plane{f.closed, f.soft} {
		for _, mask := range fenced(ground) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			f.add(mask)
		}
	}
	if f.areOne(apart) {
		apart = nil
	}
	if len(apart) > 0 {
		sheets = apart
	}
	plain, err := f.plainly(ctx, sheets)
	if err != nil {
		return nil, err
	}
	if plain != nil {
		if len(apart) > 0 {
			plain = f.withRest(plain)
		}
		return inReadingOrder(scaled(f.exact(plain), p.Step)), nil
	}
	if err := f.addLevels(ctx, coloured(f.closed, p)...); err != nil {
		return nil, err
	}
	if err := f.assemble(ctx); err != nil {
		return nil, err
	}
	chosen, err := f.settled(ctx, sheets, len(apart) > 0)
	if err != nil {
		return nil, err
	}
	return inReadingOrder(scaled(chosen, p.Step)), nil
}

// settled are the slips among what was found, where no sheet is plainly paper alone.
func (f *finder) settled(ctx context.Context, sheets []Candidate, apart bool) ([]Candidate, error) {
	chosen := f.choose()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(sheets) > 0 {
		chosen = f.asSheets(sheets, chosen)
		if apart {
			chosen = f.withRest(chosen)
		}
		f.pastPrint(chosen)
		return f.exact(chosen), nil
	}
	if blocks := f.unseen(chosen); blocks != nil {
		return blocks, nil
	}
	f.pastPrint(chosen)
	if len(chosen) > 0 {
		chosen = f.joined(chosen, f.residue(chosen))
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	chosen = f.parted(f.withStripes(chosen))
	f.pastPrint(chosen) // of two slips that one outline held, one may be the wider
	return f.exact(chosen), nil
}

// addLevels adds what thresholds cut out of some planes.
func (f *finder) addLevels(ctx context.Context, planes ...raster.Plane) error {
	for _, p := range planes {
		for _, t := range thresholds(p) {
			if err := ctx.Err(); err != nil {
				return err
			}
			f.add(above(p, t))
			f.add(below(p, t))
		}
	}
	return nil
}

// exact lays the sides of what was chosen on the steps of brightness near by, off print and
// to the picture's border.
func (f *finder) exact(chosen []Candidate) []Candidate {
	for i := range chosen {
		chosen[i].Quad = f.toBorder(f.offPrint(f.snapped(chosen[i].Quad)))
	}
	return chosen
}

// inReadingOrder sorts slips row by row: one that starts above another's
// middle and to its left comes before it.
func inReadingOrder(c []Candidate) []Candidate {
	middle := func(q Quad) (x, y, h float64) {
		y0, y1 := rowsOf(q)
		return (q[0].X + q[1].X + q[2].X + q[3].X) / 4, (y0 + y1) / 2, y1 - y0
	}
	slices.SortStableFunc(c, func(a, b Candidate) int {
		_, ay, _ := middle(a.Quad)
		_, by, _ := middle(b.Quad)
		return cmp.Compare(ay, by)
	})
	// Rows: bubble a slip forward past those whose middle is at its height.
	for i := 1; i < len(c); i++ {
		for k := i; k > 0; k-- {
			ax, ay, ah := middle(c[k-1].Quad)
			bx, by, bh := middle(c[k].Quad)
			if by-ay > 0.4*min(ah, bh) || bx > ax {
				break
			}
			c[k-1], c[k] = c[k], c[k-1]
		}
	}
	return c
}

// finder collects candidates.
type finder struct {
	soft, closed raster.Plane // without grain; and without print
	print        raster.Plane // 1 where a mark as small as print is
	marks, light sums         // of print and closed
	rough        sums         // of the places where closed is no paper
	paper        raster.Plane // how likely a place is paper; empty when that is not known
	likely       sums         // of paper
	apart        raster.Plane // how likely a place is within a slip and off its sides; empty when that is not known
	colour       sums         // of how coloured each place is for its brightness
	noise        float64      // what is left of grain in soft, as a share of brightness
	found        []Candidate
	seen         []sighting
}

func newFinder(p Planes) *finder {
	soft := p.Luma.Blur(0.7)
	f := &finder{soft: soft, closed: soft.Close(3, 3)}
	f.print = printMarks(soft, f.closed)
	f.marks, f.light = sumsOf(f.print), sumsOf(f.closed)
	f.colour = sumsOf(colourOf(p))
	f.rough = sumsOf(roughPlaces(steps(f.closed)))
	if p.Likely.W == soft.W && p.Likely.H == soft.H {
		f.paper, f.likely = p.Likely, sumsOf(p.Likely)
	}
	if p.Apart.W == soft.W && p.Apart.H == soft.H {
		f.apart = p.Apart
	}
	s := steps(soft).Sample(20000)
	f.noise = float64(raster.Quantile(s, 0.25))
	return f
}

func (f *finder) add(m mask) {
	for _, region := range m.regions(int(leastArea / 2 * float64(m.w*m.h))) {
		q, ok := f.outlineOf(region)
		if !ok {
			continue
		}
		// On most pictures many thresholds cut out the same.
		if i := slices.IndexFunc(f.seen, func(s sighting) bool { return sameCorners(s.corners, q) }); i >= 0 {
			if at := f.seen[i].at; at >= 0 {
				f.found[at].votes++
			}
			continue
		}
		at := -1
		if c, ok := f.candidate(region, q); ok {
			f.found, at = vote(f.found, c)
		}
		f.seen = append(f.seen, sighting{q, at})
	}
}

// sighting is a region's four corners, and which candidate it was judged to be, -1
// for none.
type sighting struct {
	corners Quad
	at      int
}

func sameCorners(a, b Quad) bool {
	const near = 1.0
	for i := range a {
		if math.Abs(a[i].X-b[i].X) > near || math.Abs(a[i].Y-b[i].Y) > near {
			return false
		}
	}
	return true
}

// thresholds are spread half by value and half by how many pixels lie between
// them, so that a faint step on a bright ground gets some too.
func thresholds(p raster.Plane) []float32 {
	s := p.Sample(20000)
	slices.Sort(s)
	lo, hi := s[len(s)*3/100], s[len(s)*99/100]
	var out []float32
	for i := 1; i < levels/2; i++ {
		f := float32(i) / float32(levels/2)
		out = append(out, lo+(hi-lo)*f, s[int(f*float32(len(s)))])
	}
	return out
}

// fenced are regions without a sudden change of brightness inside: soft
// shadows pass, edges of paper do not.
func fenced(closed raster.Plane) []mask {
	g := steps(closed)
	s := g.Sample(20000)
	slices.Sort(s)
	var out []mask
	for _, q := range []float64{0.60, 0.70, 0.78, 0.85, 0.90, 0.94} {
		t := max(s[int(q*float64(len(s)))], 0.004)
		out = append(out, below(g, t))
	}
	return out
}

// steps is the relative change of brightness over three pixels.
func steps(p raster.Plane) raster.Plane {
	out := raster.New(p.W, p.H)
	for y := range p.H {
		for x := range p.W {
			dx := p.At(x+1, y) - p.At(x-1, y)
			dy := p.At(x, y+1) - p.At(x, y-1)
			out.Pix[y*p.W+x] = float32(math.Hypot(float64(dx), float64(dy))) / (p.At(x, y) + 12)
		}
	}
	return out
}

// printMarks is 1 where a mark is darker than its surroundings and as small as
// print.
func printMarks(soft, closed raster.Plane) raster.Plane {
	out := raster.New(soft.W, soft.H)
	for i, v := range soft.Pix {
		// On what is nearly black the grain is a large share of it.
		if closed.Pix[i]-v > max(leastMark*(closed.Pix[i]+8), leastStep) {
			out.Pix[i] = 1
		}
	}
	return out
}

const (
	leastMark = 0.035 // of the paper's brightness that a mark takes
	leastStep = 3     // of 255 that it takes
)

// outlineOf is the rough outline of a region that may be a slip.
func (f *finder) outlineOf(r region) (Quad, bool) {
	// What lies around a slip is a region too, mostly hole.
	if float64(r.area) < leastArea*float64(f.closed.W*f.closed.H) || float64(r.count) < 0.6*float64(r.area) {
		return Quad{}, false
	}
	q, ok := r.quad()
	return q, ok && r.fill(q) >= 0.9*leastFill
}

// candidate judges one region by its rough outline.
func (f *finder) candidate(r region, q Quad) (Candidate, bool) {
	if fitted, ok := r.fitSides(q); ok {
		q = fitted
	}
	return f.judge(q, r.fill(q))
}

// judge says how much speaks for the outline q, of which a region fills so much.
func (f *finder) judge(q Quad, fill float64) (Candidate, bool) {
	w, h := sides(q)
	if min(w, h) < leastShort*float64(min(f.closed.W, f.closed.H)) || max(w, h) > 14*min(w, h) {
		return Candidate{}, false
	}
	square := rectangular(q)
	// The whole picture is what is read anyway when nothing is found.
	if fill < leastFill || square == 0 || area(q) > 0.97*float64(f.closed.W*f.closed.H) {
		return Candidate{}, false
	}
	edge := f.edge(q)
	in, out := f.marks.density(q, -5), f.marks.ring(q)
	c := Candidate{Quad: q, area: area(q), print: in, votes: 1}
	c.Confidence = square * fill * byEdge(edge)
	// Print right outside of a faint outline: it is a part of a slip, such as
	// a boxed table.
	c.Confidence *= 1 - 0.8*min(out/max(in, 0.01), 1)*(1-edge*edge)
	if c.Confidence > 0.5*leastConfidence {
		c.Confidence *= f.smooth(q)
	}
	return c, true
}

// edge is how much of the outline can be seen, 0 to 1: as a step in brightness
// that goes one way all along a side, or as the dark line of a shadow or cut.
// Where the picture ends nothing can be seen and a third is granted.
func (f *finder) edge(q Quad) float64 {
	return edgeOf(f.side(q[0], q[1]), f.side(q[1], q[2]), f.side(q[2], q[3]), f.side(q[3], q[0]))
}

// edgeOf is how much of an outline can be seen by how much of its sides can.
func edgeOf(sides ...float64) float64 {
	sum, least := 0.0, 1.0
	for _, e := range sides {
		sum, least = sum+e/float64(len(sides)), min(least, e)
	}
	return 0.75*sum + 0.25*least
}

// byEdge is what of a candidate's confidence depends on how much of its outline can be seen.
func byEdge(edge float64) float64 { return 0.25 + 0.75*edge }

func (f *finder) side(a, b record.Point) float64 {
	const n, reach, borderGrant = 40, 4.0, 0.35
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l < 1 {
		return 0
	}
	full := max(5*f.noise, 0.015)
	nx, ny := (b.Y-a.Y)/l, -(b.X-a.X)/l // outward for clockwise corners
	step, line, granted := 0.0, 0.0, 0.0
	for i := range n {
		t := (float64(i) + 0.5) / n
		x, y := a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t
		ox, oy := x+reach*nx, y+reach*ny
		if ox < 1 || oy < 1 || ox > float64(f.closed.W-2) || oy > float64(f.closed.H-2) {
			granted += borderGrant
			continue
		}
		in, out := f.closed.Bilinear(x-reach*nx, y-reach*ny), f.closed.Bilinear(ox, oy)
		step += min(max(float64((in-out)/(in+out+8))*2/full, -1), 1)
		dark := in
		for d := -2.0; d <= 2; d++ {
			dark = min(dark, f.soft.Bilinear(x+d*nx, y+d*ny))
		}
		line += min(max(float64((min(in, out)-dark)/(in+8))/full, 0), 1)
	}
	return (max(math.Abs(step), 0.7*line) + granted) / n
}

// vote adds a candidate, or strengthens the one that it repeats, and says which it
// is.
func vote(all []Candidate, c Candidate) ([]Candidate, int) {
	for i := range all {
		if overlap(all[i].Quad, c.Quad) > sameOutline {
			votes := all[i].votes + 1
			if c.Confidence > all[i].Confidence {
				all[i] = c
			}
			all[i].votes = votes
			return all, i
		}
	}
	return append(all, c), len(all)
}

func scaled(c []Candidate, step float64) []Candidate {
	for i := range c {
		for k := range c[i].Quad {
			c[i].Quad[k].X *= step
			c[i].Quad[k].Y *= step
		}
	}
	return c
}
