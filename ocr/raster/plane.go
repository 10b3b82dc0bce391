// Package raster holds the picture arithmetic that the reading steps share:
// planes of float32 samples, averages, resampling, morphology and order
// statistics. It knows nothing of paper or print.
//
// What other packages may call returns new planes and leaves its arguments alone.
package raster

import (
	"image"
	"slices"
)

// Plane is a picture of one float32 a pixel, row by row.
type Plane struct {
	W, H int
	Pix  []float32
}

// New returns a plane of zeros.
func New(w, h int) Plane { return Plane{w, h, make([]float32, w*h)} }

// Row is row y of p.
func (p Plane) Row(y int) []float32 { return p.Pix[y*p.W : (y+1)*p.W] }

// At is the sample at x, y; places outside take the nearest inside.
func (p Plane) At(x, y int) float32 {
	x, y = min(max(x, 0), p.W-1), min(max(y, 0), p.H-1)
	return p.Pix[y*p.W+x]
}

// Bilinear is the sample at a place between pixels; (0, 0) is the centre of
// the first pixel. Places outside take the nearest inside.
func (p Plane) Bilinear(x, y float64) float32 {
	a, b := between(x, p.W), between(y, p.H)
	top, low := p.Pix[b.i*p.W:], p.Pix[b.j*p.W:]
	return mix(top[a.i], top[a.j], low[a.i], low[a.j], a.f, b.f)
}

// tap is a place between two samples: f of the way from i to j.
type tap struct {
	i, j int
	f    float32
}

// between is the place v among n samples; outside it is the nearest inside.
func between(v float64, n int) tap {
	if v < 0 {
		v = 0
	}
	if last := float64(n - 1); v > last {
		v = last
	}
	i := int(v)
	return tap{i, min(i+1, n-1), float32(v - float64(i))}
}

// mix is the sample between a, b and, below them, c, d.
func mix(a, b, c, d, fx, fy float32) float32 {
	top, bottom := a+(b-a)*fx, c+(d-c)*fx
	return top + (bottom-top)*fy
}

// Sampler reads a plane at a regular grid of places, row by row: every sample is
// the mean of four points, so that a grid up to twice as coarse as the plane
// misses nothing.
type Sampler struct {
	p    Plane
	taps []tap // two a sample
}

// Columns sets the grid's columns: n samples that are sx wide, from x0 on, where
// 0 is the left edge of the first pixel.
func (s *Sampler) Columns(p Plane, x0, sx float64, n int) {
	s.p, s.taps = p, s.taps[:0]
	for x := range n {
		s.taps = append(s.taps, between(x0+(float64(x)+0.25)*sx-0.5, p.W), between(x0+(float64(x)+0.75)*sx-0.5, p.W))
	}
}

// Row fills out with one row that is sy high, from y0 on.
func (s *Sampler) Row(y0, sy float64, out []float32) {
	ya, yb := between(y0+0.25*sy-0.5, s.p.H), between(y0+0.75*sy-0.5, s.p.H)
	a0, a1, b0, b1 := s.p.Row(ya.i), s.p.Row(ya.j), s.p.Row(yb.i), s.p.Row(yb.j)
	taps := s.taps[:2*len(out)]
	for x := range out {
		l, r := taps[2*x], taps[2*x+1]
		out[x] = (mix(a0[l.i], a0[l.j], a1[l.i], a1[l.j], l.f, ya.f) +
			mix(a0[r.i], a0[r.j], a1[r.i], a1[r.j], r.f, ya.f) +
			mix(b0[l.i], b0[l.j], b1[l.i], b1[l.j], l.f, yb.f) +
			mix(b0[r.i], b0[r.j], b1[r.i], b1[r.j], r.f, yb.f)) / 4
	}
}

// FromGray copies an 8-bit picture.
func FromGray(g *image.Gray) Plane {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	p := New(w, h)
	for y := range h {
		src := g.Pix[y*g.Stride : y*g.Stride+w]
		for x, v := range src {
			p.Pix[y*w+x] = float32(v)
		}
	}
	return p
}

// Gray maps lo..hi to 0..255; lo may be the greater to turn dark to bright.
func (p Plane) Gray(lo, hi float32) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, p.W, p.H))
	scale := 255 / (hi - lo)
	for i, v := range p.Pix {
		v = (v - lo) * scale
		g.Pix[i] = uint8(min(max(v, 0), 255) + 0.5)
	}
	return g
}

// Map applies f to every sample.
func (p Plane) Map(f func(float32) float32) Plane {
	out := New(p.W, p.H)
	for i, v := range p.Pix {
		out.Pix[i] = f(v)
	}
	return out
}

// Sub copies the part of p inside r.
func (p Plane) Sub(r image.Rectangle) Plane {
	r = r.Intersect(image.Rect(0, 0, p.W, p.H))
	out := New(r.Dx(), r.Dy())
	for y := range out.H {
		copy(out.Row(y), p.Row(y + r.Min.Y)[r.Min.X:r.Max.X])
	}
	return out
}

// clone is a copy of p.
func (p Plane) clone() Plane { return Plane{p.W, p.H, slices.Clone(p.Pix)} }

// Quarter turns p by n quarter turns clockwise.
func (p Plane) Quarter(n int) Plane {
	switch n = (n%4 + 4) % 4; n {
	case 0:
		return p
	case 2:
		out := p.clone()
		slices.Reverse(out.Pix)
		return out
	}
	// A row of one is a column of the other: tile by tile, both stay near.
	const tile = 32
	out := New(p.H, p.W)
	for y0 := 0; y0 < out.H; y0 += tile {
		for x0 := 0; x0 < out.W; x0 += tile {
			for y := y0; y < min(y0+tile, out.H); y++ {
				dst := out.Row(y)[x0:min(x0+tile, out.W)]
				at, step := (p.H-1-x0)*p.W+y, -p.W
				if n == 3 {
					at, step = x0*p.W+p.W-1-y, p.W
				}
				for i := range dst {
					dst[i] = p.Pix[at]
					at += step
				}
			}
		}
	}
	return out
}
