package raster

import "image"

// ReduceGray averages blocks of f x f pixels of an 8-bit picture.
func ReduceGray(g *image.Gray, f int) Plane {
	w, h := max(g.Rect.Dx()/f, 1), max(g.Rect.Dy()/f, 1)
	out := New(w, h)
	sums := make([]uint32, w)
	fx, fy := min(f, g.Rect.Dx()), min(f, g.Rect.Dy())
	for y := range h {
		clear(sums)
		for dy := range fy {
			row := g.Pix[(y*f+dy)*g.Stride:]
			for x := range w {
				var s uint32
				for _, v := range row[x*f : x*f+fx] {
					s += uint32(v)
				}
				sums[x] += s
			}
		}
		n := float32(fx * fy)
		for x, s := range sums {
			out.Pix[y*w+x] = float32(s) / n
		}
	}
	return out
}

// Reduce averages blocks of f x f samples.
func (p Plane) Reduce(f int) Plane {
	if f <= 1 {
		return p
	}
	if f == 2 && p.W > 1 && p.H > 1 {
		return p.half()
	}
	w, h := max(p.W/f, 1), max(p.H/f, 1)
	out := New(w, h)
	fx, fy := min(f, p.W), min(f, p.H)
	n := 1 / float32(fx*fy)
	for y := range h {
		for x := range w {
			var s float32
			for dy := range fy {
				for _, v := range p.Row(y*f + dy)[x*f : x*f+fx] {
					s += v
				}
			}
			out.Pix[y*w+x] = s * n
		}
	}
	return out
}

// half is Reduce(2).
func (p Plane) half() Plane {
	out := New(p.W/2, p.H/2)
	for y := range out.H {
		dst := out.Row(y)
		top, low := p.Row(2 * y)[:2*len(dst)], p.Row(2*y + 1)[:2*len(dst)]
		for x := range dst {
			dst[x] = (top[2*x] + top[2*x+1] + low[2*x] + low[2*x+1]) * 0.25
		}
	}
	return out
}

// Resize resamples to w x h, averaging where it shrinks.
func (p Plane) Resize(w, h int) Plane {
	if w == p.W && h == p.H {
		return p
	}
	// The scale is that of the whole picture: halving drops an odd last row.
	sx, sy := float64(p.W)/float64(w), float64(p.H)/float64(h)
	for p.W >= 2*w && p.H >= 2*h {
		p, sx, sy = p.Reduce(2), sx/2, sy/2
	}
	out := New(w, h)
	xs := axis(w, p.W, sx)
	for y := range h {
		v := min(max((float64(y)+0.5)*sy-0.5, 0), float64(p.H-1))
		y0 := int(v)
		f := float32(v - float64(y0))
		r0, r1 := p.Row(y0), p.Row(min(y0+1, p.H-1))
		row := out.Row(y)
		for x, a := range xs {
			t := r0[a.i] + (r0[a.j]-r0[a.i])*a.f
			b := r1[a.i] + (r1[a.j]-r1[a.i])*a.f
			row[x] = t + (b-t)*f
		}
	}
	return out
}

func axis(n, src int, scale float64) []tap {
	taps := make([]tap, n)
	for x := range taps {
		taps[x] = between((float64(x)+0.5)*scale-0.5, src)
	}
	return taps
}
