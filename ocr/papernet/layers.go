package papernet

import (
	"math"

	"tankroll/internal/gemm"
	"tankroll/ocr/raster"
)

// planes are channels of one picture, those of a place beside each other.
type planes struct {
	w, h, c int
	v       []float32
}

func newPlanes(w, h, c int) planes { return planes{w, h, c, make([]float32, w*h*c)} }

func (p planes) at(x, y int) []float32 {
	i := (y*p.w + x) * p.c
	return p.v[i : i+p.c]
}

// input is what the network sees of a picture made w by h pixels: brightness with mean
// 0 and spread 1, colour as it is. To whole multiples its last row and column go on.
func input(luma, blue, red raster.Plane, w, h int) planes {
	small := luma.Resize(w, h)
	mean, spread := 0.0, 0.0
	for _, v := range small.Pix {
		mean += float64(v)
	}
	mean /= float64(len(small.Pix))
	for _, v := range small.Pix {
		spread += (float64(v) - mean) * (float64(v) - mean)
	}
	spread = math.Sqrt(spread/float64(max(len(small.Pix)-1, 1))) + leastSpread
	out := newPlanes((w+round-1)/round*round, (h+round-1)/round*round, 3)
	coloured := blue.W == luma.W && blue.H == luma.H && red.W == luma.W && red.H == luma.H
	if coloured {
		blue, red = blue.Resize(w, h), red.Resize(w, h)
	}
	for y := range out.h {
		for x := range out.w {
			i := min(y, h-1)*w + min(x, w-1)
			to := out.at(x, y)
			to[0] = (small.Pix[i] - float32(mean)) / float32(spread)
			if coloured {
				to[1], to[2] = blue.Pix[i]/colourful, red.Pix[i]/colourful
			}
		}
	}
	return out
}

const (
	leastSpread = 2  // added to the spread of brightness: what is all one shade stays so
	colourful   = 32 // steps from grey that are one unit
)

// likely is how likely each place of what the network sees is paper.
func (n *Net) likely(p planes) raster.Plane {
	var seen [4]planes
	p = n.stem.over(p)
	for i := range seen {
		if i > 0 {
			p = n.shrink[i-1].over(p)
		}
		p = n.see[i].over(p)
		seen[i] = p
	}
	far := n.around[1].over(n.around[0].over(p))
	for i, v := range p.v {
		far.v[i] += v
	}
	p = far
	for i := range n.grow {
		p = n.grow[i].over(beside(p.doubled(), seen[2-i]))
	}
	p = n.tell.over(p)
	out := raster.New(2*p.w, 2*p.h)
	for y := range out.H {
		for x := range out.W {
			v := p.at(x/2, y/2)[y%2*2+x%2]
			out.Pix[y*out.W+x] = float32(1 / (1 + math.Exp(-float64(v))))
		}
	}
	return out
}

// over lays the pattern over p; outside of the picture there is nothing.
func (t *pattern) over(p planes) planes {
	out := newPlanes((p.w+t.stride-1)/t.stride, (p.h+t.stride-1)/t.stride, t.out)
	around := t.size * t.size * t.in
	rows := gemm.Matrix{N: out.w, W: around, Step: around, V: make([]float32, out.w*around)}
	weights := gemm.Matrix{N: around, W: t.out, Step: t.out, V: t.weights}
	for y := range out.h {
		clear(rows.V)
		for ky := range t.size {
			sy := y*t.stride + (ky-t.size/2)*t.spread
			if sy < 0 || sy >= p.h {
				continue
			}
			for kx := range t.size {
				for x := range out.w {
					if sx := x*t.stride + (kx-t.size/2)*t.spread; sx >= 0 && sx < p.w {
						copy(rows.V[x*around+(ky*t.size+kx)*t.in:], p.at(sx, sy))
					}
				}
			}
		}
		to := gemm.Matrix{N: out.w, W: t.out, Step: t.out, V: out.v[y*out.w*t.out : (y+1)*out.w*t.out]}
		for x := range out.w {
			copy(to.V[x*t.out:], t.bias)
		}
		to.Add(rows, weights)
	}
	if !t.linear {
		for i, v := range out.v {
			out.v[i] = max(v, 0)
		}
	}
	return out
}

// doubled is p with each place twice each way.
func (p planes) doubled() planes {
	out := newPlanes(2*p.w, 2*p.h, p.c)
	for y := range out.h {
		for x := range out.w {
			copy(out.at(x, y), p.at(x/2, y/2))
		}
	}
	return out
}

// beside holds the channels of a and then those of b, which is as large.
func beside(a, b planes) planes {
	out := newPlanes(a.w, a.h, a.c+b.c)
	for i := range a.w * a.h {
		copy(out.v[i*out.c:], a.v[i*a.c:(i+1)*a.c])
		copy(out.v[i*out.c+a.c:], b.v[i*b.c:(i+1)*b.c])
	}
	return out
}
