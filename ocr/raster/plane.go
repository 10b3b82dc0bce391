// Package raster holds the picture arithmetic that the reading steps share:
// planes of float32 samples, averages, resampling, morphology and order
// statistics. It knows nothing of paper or print.
//
// Functions return new planes and leave their arguments alone.
package raster

import (
	"image"
	"math"
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
	x, y = math.Min(math.Max(x, 0), float64(p.W-1)), math.Min(math.Max(y, 0), float64(p.H-1))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, p.W-1), min(y0+1, p.H-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	a, b := p.Pix[y0*p.W+x0], p.Pix[y0*p.W+x1]
	c, d := p.Pix[y1*p.W+x0], p.Pix[y1*p.W+x1]
	top, bottom := a+(b-a)*fx, c+(d-c)*fx
	return top + (bottom-top)*fy
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

// Quarter turns p by n quarter turns clockwise.
func (p Plane) Quarter(n int) Plane {
	n = (n%4 + 4) % 4
	if n == 0 {
		return p
	}
	w, h := p.W, p.H
	if n != 2 {
		w, h = h, w
	}
	out := New(w, h)
	for y := range h {
		for x := range w {
			var v float32
			switch n {
			case 1:
				v = p.Pix[(p.H-1-x)*p.W+y]
			case 2:
				v = p.Pix[(p.H-1-y)*p.W+p.W-1-x]
			case 3:
				v = p.Pix[x*p.W+p.W-1-y]
			}
			out.Pix[y*w+x] = v
		}
	}
	return out
}
