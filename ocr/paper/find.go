package paper

import (
	"image"
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
	findSide    = 600  // longest side in pixels of the picture that is searched: a slip's edge is then known to about a tenth of a character
	levels      = 26   // thresholds tried
	leastArea   = 0.01 // of the picture: a slip of a dozen on a binder page has 0.03 or more
	leastFill   = 0.80 // of the four sides' area that a region must fill; torn and curled slips reach 0.88
	leastShort  = 0.10 // shortest side of a slip against the picture's shorter side
	sameOutline = 0.85 // overlap from which two candidates are one
)

// Candidate is a slip that was found, with how much speaks for it, 0 to 1.
type Candidate struct {
	Quad       Quad
	Confidence float64
	area       float64
	print      float64
	votes      int
}

// Planes is a picture for finding: luma and, when it has colour, how far each
// pixel's colour is from grey, both reduced by Step.
type Planes struct {
	Luma, Tint raster.Plane
	Step       float64
}

// Find returns the slips on a picture, the surest first. None means that no
// outline stands out: then the whole picture is the best guess.
func Find(p Planes) []Candidate {
	soft := p.Luma.Blur(0.7)
	closed := soft.Close(3, 3)
	print := printMarks(soft, closed)
	var all []Candidate
	add := func(mask []bool) {
		for _, region := range regions(mask, closed.W, closed.H) {
			if c, ok := candidate(region, closed, print); ok {
				all = vote(all, c)
			}
		}
	}
	for _, ch := range channels(closed, p.Tint) {
		for _, t := range thresholds(ch) {
			add(above(ch, t))
		}
	}
	for _, mask := range fenced(closed) {
		add(mask)
	}
	return scaled(choose(all), p.Step)
}

// channels are the planes that thresholds are tried on: brightness, and
// brightness less colour, for paper on bright wood or a manila folder.
func channels(closed, tint raster.Plane) []raster.Plane {
	out := []raster.Plane{closed}
	if tint.W == closed.W && tint.H == closed.H {
		mix := raster.New(closed.W, closed.H)
		for i, v := range closed.Pix {
			mix.Pix[i] = v - 2*tint.Pix[i]
		}
		out = append(out, mix)
	}
	return out
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

func above(p raster.Plane, t float32) []bool {
	m := make([]bool, len(p.Pix))
	for i, v := range p.Pix {
		m[i] = v > t
	}
	return m
}

// fenced are regions without a sudden change of brightness inside: soft
// shadows pass, edges of paper do not.
func fenced(closed raster.Plane) [][]bool {
	g := steps(closed)
	s := g.Sample(20000)
	slices.Sort(s)
	var out [][]bool
	for _, q := range []float64{0.70, 0.78, 0.85, 0.90, 0.94} {
		t := max(s[int(q*float64(len(s)))], 0.008)
		m := make([]bool, len(g.Pix))
		for i, v := range g.Pix {
			m[i] = v < t
		}
		out = append(out, m)
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
		if d := (closed.Pix[i] - v) / (closed.Pix[i] + 8); d > 0.035 {
			out.Pix[i] = 1
		}
	}
	return out
}

// candidate judges one region.
func candidate(r region, closed, print raster.Plane) (Candidate, bool) {
	total := float64(closed.W * closed.H)
	// What lies around a slip is a region too, mostly hole.
	if float64(r.area) < leastArea*total || float64(r.count) < 0.6*float64(r.area) {
		return Candidate{}, false
	}
	q, ok := r.quad()
	if !ok {
		return Candidate{}, false
	}
	w, h := sides(q)
	if min(w, h) < leastShort*float64(min(closed.W, closed.H)) || max(w, h) > 14*min(w, h) {
		return Candidate{}, false
	}
	fill := r.fill(q)
	if fill < leastFill {
		return Candidate{}, false
	}
	if area(q) > 0.97*total {
		return Candidate{}, false // the whole picture is what is read when nothing is found
	}
	c := Candidate{Quad: q, area: area(q), votes: 1}
	c.print = density(print, q)
	c.Confidence = fill * (0.25 + 0.75*edge(closed, q))
	return c, true
}

func sides(q Quad) (w, h float64) {
	d := func(a, b record.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
	return (d(q[0], q[1]) + d(q[3], q[2])) / 2, (d(q[1], q[2]) + d(q[0], q[3])) / 2
}

// edge is the share of the outline where the paper steps down to a darker
// ground. Where the picture ends nothing can be seen and a third is granted.
func edge(closed raster.Plane, q Quad) float64 {
	const n, reach = 40, 4.0
	hits, seen := 0.0, 0.0
	for s := range 4 {
		a, b := q[s], q[(s+1)%4]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		if l < 1 {
			return 0
		}
		nx, ny := (b.Y-a.Y)/l, -(b.X-a.X)/l // outward for clockwise corners
		for i := range n {
			t := (float64(i) + 0.5) / n
			x, y := a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t
			ox, oy := x+reach*nx, y+reach*ny
			seen++
			if ox < 1 || oy < 1 || ox > float64(closed.W-2) || oy > float64(closed.H-2) {
				hits += 0.35
				continue
			}
			in, out := closed.Bilinear(x-reach*nx, y-reach*ny), closed.Bilinear(ox, oy)
			hits += min(max(float64((in-out)/(in+12))*12, 0), 1)
		}
	}
	return hits / seen
}

// vote adds a candidate, or strengthens the one that it repeats.
func vote(all []Candidate, c Candidate) []Candidate {
	for i := range all {
		if overlap(all[i].Quad, c.Quad) > sameOutline {
			votes := all[i].votes + 1
			if c.Confidence > all[i].Confidence {
				all[i] = c
			}
			all[i].votes = votes
			return all
		}
	}
	return append(all, c)
}

// choose keeps the best of candidates that overlap. A page that holds slips is
// not itself a slip.
func choose(all []Candidate) []Candidate {
	for i := range all {
		c := &all[i]
		// Seen three times is good, more is hardly better.
		c.Confidence *= 1 - 0.5/float64(c.votes)
		c.Confidence *= min(0.6+c.print*20, 1)
	}
	slices.SortFunc(all, func(a, b Candidate) int {
		switch {
		case a.Confidence > b.Confidence:
			return -1
		case a.Confidence < b.Confidence:
			return 1
		}
		return 0
	})
	var out []Candidate
	for _, c := range all {
		if c.Confidence < leastConfidence {
			break
		}
		clear := true
		for _, o := range out {
			if covered(c.Quad, o.Quad) > 0.15 || covered(o.Quad, c.Quad) > 0.15 {
				clear = false
			}
		}
		if clear {
			out = append(out, c)
		}
	}
	return out
}

// leastConfidence is below what a slip on a matching ground reaches.
const leastConfidence = 0.25

func scaled(c []Candidate, step float64) []Candidate {
	for i := range c {
		for k := range c[i].Quad {
			c[i].Quad[k].X *= step
			c[i].Quad[k].Y *= step
		}
	}
	return c
}

// Reduced prepares a decoded page for Find; cb and cr may be nil.
func Reduced(luma, cb, cr *image.Gray) Planes {
	f := max((max(luma.Rect.Dx(), luma.Rect.Dy())+findSide-1)/findSide, 1)
	p := Planes{Luma: raster.ReduceGray(luma, f), Step: float64(f)}
	if cb == nil {
		return p
	}
	p.Tint = raster.New(cb.Rect.Dx(), cb.Rect.Dy())
	for i := range p.Tint.Pix {
		b, r := float64(cb.Pix[i])-128, float64(cr.Pix[i])-128
		p.Tint.Pix[i] = float32(math.Hypot(b, r))
	}
	p.Tint = p.Tint.Resize(p.Luma.W, p.Luma.H)
	return p
}
