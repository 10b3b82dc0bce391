package paper

import (
	"math"

	"tankroll/record"
)

// A slip that runs off its picture has no edge there: the outline then ends at the
// last line of print, or where light falls off, a little short of the border. A
// side that lies close to the border with nothing but the same paper between is
// taken there.

const (
	shortOfBorder = 0.035 // of the picture's longer side: how far a side may be from the border
	samePaper     = 0.05  // most difference of brightness between paper inside and outside, as a share
	sameAlong     = 0.8   // of the side along which it must be so
)

// toBorder takes the sides of q to the picture's border where the paper goes on up
// to it.
func (f *finder) toBorder(q Quad) Quad {
	out := q
	for s := range q {
		a, b := q[s], q[(s+1)%4]
		for _, e := range f.borders() {
			if !e.near(a, f.most()) || !e.near(b, f.most()) || e.gap(a) < 1 && e.gap(b) < 1 || !f.paperGoesOn(a, b, e) || f.apartFrom(a, b, e) {
				continue
			}
			out[s] = f.meeting(e, q[(s+3)%4], a)
			out[(s+1)%4] = f.meeting(e, q[(s+2)%4], b)
		}
	}
	if area(out) < area(q) {
		return q
	}
	return out
}

func (f *finder) most() float64 { return shortOfBorder * float64(max(f.closed.W, f.closed.H)) }

// border is one side of the picture: the line x = at or y = at.
type border struct {
	at       float64
	vertical bool
}

func (f *finder) borders() [4]border {
	return [4]border{{0, true}, {float64(f.closed.W), true}, {0, false}, {float64(f.closed.H), false}}
}

// gap is how far p lies from the border.
func (b border) gap(p record.Point) float64 {
	if b.vertical {
		return math.Abs(p.X - b.at)
	}
	return math.Abs(p.Y - b.at)
}

func (b border) near(p record.Point, most float64) bool { return b.gap(p) <= most }

// meet is where the way from one corner to the next meets the border, p when it
// runs along it.
func (b border) meet(from, p record.Point) record.Point {
	dx, dy := p.X-from.X, p.Y-from.Y
	along, left := dy, b.at-p.Y
	if b.vertical {
		along, left = dx, b.at-p.X
	}
	if math.Abs(along) < 1e-6 || math.Abs(left/along) > 1 {
		return p
	}
	return record.Point{X: p.X + dx*left/along, Y: p.Y + dy*left/along}
}

// meeting is where the way from one corner to the next meets a border of the picture, p
// where they meet far beside it, as they do where the way nearly runs along the border.
func (f *finder) meeting(b border, from, p record.Point) record.Point {
	at, beside := b.meet(from, p), f.most()
	if min(at.X, at.Y) < -beside || at.X > float64(f.closed.W)+beside || at.Y > float64(f.closed.H)+beside {
		return p
	}
	return at
}

// paperGoesOn is whether what lies between the side a-b and the border is as
// bright as what lies inside.
func (f *finder) paperGoesOn(a, b record.Point, e border) bool {
	const n, inner = 40, 4.0
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l < 1 {
		return false
	}
	nx, ny := (b.Y-a.Y)/l, -(b.X-a.X)/l // outward for clockwise corners
	same := 0
	for i := range n {
		t := (float64(i) + 0.5) / n
		p := record.Point{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}
		out := max(e.gap(p)-1.5, 0.5)
		in, beyond := f.closed.Bilinear(p.X-inner*nx, p.Y-inner*ny), f.closed.Bilinear(p.X+out*nx, p.Y+out*ny)
		if math.Abs(float64(beyond-in)) < samePaper*float64(in+8) {
			same++
		}
	}
	return same >= sameAlong*n
}

// groundStrip is whether the smaller of two pieces that meet is what the other lies on:
// far darker, out of the picture on its other side, and either with more marks than print
// has, as grain is, or with none at all, so that nothing is lost with it.
func (f *finder) groundStrip(a, b Quad) bool {
	if area(b) > area(a) {
		a, b = b, a
	}
	dark := f.light.density(b, -2) < stripOfGround*f.light.density(a, -2)
	if !dark || !f.leaves(b, a) {
		return false
	}
	marks, print := f.marks.density(b, -2), f.marks.density(a, -5)
	return marks > grainAgainst*print || marks < bareAgainst*print
}

// leaves is whether the side of a strip that lies farthest from a runs along the border
// of the picture.
func (f *finder) leaves(strip, a Quad) bool {
	x, y := middleOf(a)
	far, side := 0.0, 0
	for s := range 4 {
		p, q := strip[s], strip[(s+1)%4]
		// Sides that are short against the strip's are its ends.
		if d := math.Hypot((p.X+q.X)/2-x, (p.Y+q.Y)/2-y); length(strip, s) > length(strip, (s+1)%4) && d > far {
			far, side = d, s
		}
	}
	p, q := strip[side], strip[(side+1)%4]
	for _, e := range f.borders() {
		if e.near(p, bareEdge) && e.near(q, bareEdge) {
			return true
		}
	}
	return false
}

const (
	stripOfGround = 0.75 // of the paper's brightness that a strip of ground has at most
	grainAgainst  = 1.5  // of the print on the paper, that grain seems to hold at least
	bareAgainst   = 0.2  // of it, that bare ground holds at most
)
