package alike

import (
	"math"

	"tankroll/ocr/glyph"
	"tankroll/ocr/slipnet"
)

const (
	w, h = slipnet.W, slipnet.H
	size = w * h
)

// picture is a cell's picture, a little blurred, with its squares summing to 1: how
// dark the print is drops out.
type picture [size]float32

func newPicture(pix []float32) picture {
	var across, out picture
	for i := range size {
		x, v := i%w, 2*pix[i]
		if x > 0 {
			v += pix[i-1]
		}
		if x < w-1 {
			v += pix[i+1]
		}
		across[i] = v
	}
	for i := range size {
		v := 2 * across[i]
		if i >= w {
			v += across[i-w]
		}
		if i < size-w {
			v += across[i+w]
		}
		out[i] = v
	}
	f := 1 / max(out.norm(), 1e-6)
	for i := range out {
		out[i] *= float32(f)
	}
	return out
}

func (p *picture) norm() float64 { return math.Sqrt(float64(glyph.Dot(p[:], p[:]))) }

func (p *picture) add(o *picture, times float32) {
	for i, v := range o {
		p[i] += times * v
	}
}

// likeness is 1 for pictures of one shape, 0 where nothing is in common; p may lie
// a pixel beside o.
func (p *picture) likeness(o *picture) float64 {
	best := max(glyph.Dot(p[:], o[:]), glyph.Dot(p[1:], o[:]), glyph.Dot(p[:], o[1:]), glyph.Dot(p[w:], o[:]), glyph.Dot(p[:], o[w:]))
	return float64(best) / max(o.norm(), 1e-6)
}
