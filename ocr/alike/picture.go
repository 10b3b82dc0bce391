package alike

import (
	"math"

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

func (p *picture) norm() float64 { return math.Sqrt(float64(dot(p[:], p[:]))) }

func (p *picture) add(o *picture, times float32) {
	for i, v := range o {
		p[i] += times * v
	}
}

// likeness is 1 for pictures of one shape, 0 where nothing is in common; p may lie
// a pixel beside o.
func (p *picture) likeness(o *picture) float64 {
	best := max(dot(p[:], o[:]), dot(p[1:], o[:]), dot(p[:], o[1:]), dot(p[w:], o[:]), dot(p[:], o[w:]))
	return float64(best) / max(o.norm(), 1e-6)
}

// dot sums the products of a and b as far as both go.
func dot(a, b []float32) float32 {
	n := min(len(a), len(b))
	a, b = a[:n], b[:n]
	var s0, s1, s2, s3 float32
	i := 0
	for ; i+4 <= n; i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < n; i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}
