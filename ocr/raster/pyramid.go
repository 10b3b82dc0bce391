package raster

import "image"

// Pyramid is a picture at falling sizes, each half of the one before. The first
// may be held as bytes: pictures of 50 megapixels are sent, and as numbers of
// four bytes one such takes 200 MB.
type Pyramid struct {
	full   *image.Gray // the first size, or nil when it stands in halves
	halves []Plane
}

// small is the side below which halving ends.
const small = 256

// NewPyramid halves p until it is small.
func NewPyramid(p Plane) Pyramid { return Pyramid{halves: halvings(p)} }

// NewGrayPyramid halves g until it is small. It keeps g.
func NewGrayPyramid(g *image.Gray) Pyramid {
	if g.Rect.Dx() <= small || g.Rect.Dy() <= small {
		return Pyramid{full: g}
	}
	return Pyramid{full: g, halves: halvings(ReduceGray(g, 2))}
}

func halvings(p Plane) []Plane {
	out := []Plane{p}
	for p.W > small && p.H > small {
		p = p.Reduce(2)
		out = append(out, p)
	}
	return out
}

// Size is the picture's size in full.
func (p Pyramid) Size() image.Point {
	if p.full != nil {
		return p.full.Rect.Size()
	}
	return image.Pt(p.halves[0].W, p.halves[0].H)
}

// Level is one size of a pyramid.
type Level struct {
	gray *image.Gray // or
	Plane
}

// Bilinear is as Plane's.
func (l Level) Bilinear(x, y float64) float32 {
	if l.gray == nil {
		return l.Plane.Bilinear(x, y)
	}
	a, b := between(x, l.gray.Rect.Dx()), between(y, l.gray.Rect.Dy())
	top, low := l.gray.Pix[a.i+b.i*l.gray.Stride:], l.gray.Pix[a.i+b.j*l.gray.Stride:]
	d := a.j - a.i
	return mix(float32(top[0]), float32(top[d]), float32(low[0]), float32(low[d]), a.f, b.f)
}

// Level is the smallest picture that still holds all that shows at the given
// scale, and how many pixels of the first one of its pixels covers.
func (p Pyramid) Level(scale float64) (Level, float64) {
	levels := len(p.halves)
	if p.full != nil {
		levels++
	}
	i, step := 0, 1.0
	for i+1 < levels && scale*step < 0.55 {
		i, step = i+1, step*2
	}
	switch {
	case p.full == nil:
		return Level{Plane: p.halves[i]}, step
	case i == 0:
		return Level{gray: p.full}, step
	}
	return Level{Plane: p.halves[i-1]}, step
}
