package raster

import "math"

// Blur smooths with an approximation of a Gaussian of the given standard
// deviation in pixels: exact weights when it is small, three box averages when
// it is 2.5 or wider. Boxes have whole radii, so the deviation of a wide one is
// within a sixth of what is asked for, the nearer the wider.
func (p Plane) Blur(sigma float64) Plane {
	return p.BlurXY(sigma, sigma)
}

// BlurXY smooths by a different amount along and across rows.
func (p Plane) BlurXY(sx, sy float64) Plane {
	const least = 0.2
	out := p
	switch {
	case sx > least:
		out = p.rows(sx)
	case sy > least:
		out = p.clone()
	}
	if sy > least {
		out.blurColumns(sy)
	}
	return out
}

func kernel(sigma float64) []float32 {
	r := int(math.Ceil(2.5 * sigma))
	k := make([]float32, 2*r+1)
	var sum float32
	for i := range k {
		d := float64(i - r)
		k[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	return k
}

// wideSigma is where three running sums become cheaper than weights.
const wideSigma = 2.5

func (p Plane) rows(sigma float64) Plane {
	out := New(p.W, p.H)
	if sigma >= wideSigma {
		r := boxRadius(sigma)
		buf := make([]float32, p.W)
		for y := range p.H {
			boxRow(p.Row(y), out.Row(y), r)
			boxRow(out.Row(y), buf, r)
			boxRow(buf, out.Row(y), r)
		}
		return out
	}
	k := kernel(sigma)
	r := len(k) / 2
	padded := make([]float32, p.W+2*r)
	for y := range p.H {
		src := p.Row(y)
		for i := range r {
			padded[i], padded[p.W+r+i] = src[0], src[p.W-1]
		}
		copy(padded[r:], src)
		weigh(k, padded, out.Row(y))
	}
	return out
}

// weigh fills dst with the sums of as many samples of src as k has weights, four
// at a time.
func weigh(k, src, dst []float32) {
	x := 0
	for ; x+4 <= len(dst); x += 4 {
		part := src[x : x+len(k)+3]
		var s0, s1, s2, s3 float32
		a, b, c := part[0], part[1], part[2]
		part = part[3:]
		for i, w := range k {
			d := part[i]
			s0, s1, s2, s3 = s0+w*a, s1+w*b, s2+w*c, s3+w*d
			a, b, c = b, c, d
		}
		dst[x], dst[x+1], dst[x+2], dst[x+3] = s0, s1, s2, s3
	}
	for ; x < len(dst); x++ {
		var s float32
		for i, w := range k {
			s += w * src[x+i]
		}
		dst[x] = s
	}
}

func boxRadius(sigma float64) int {
	return max(1, int(math.Round((math.Sqrt(4*sigma*sigma+1)-1)/2)))
}

// boxRow averages src over 2r+1 samples; ends take what there is.
func boxRow(src, dst []float32, r int) {
	n := len(src)
	var sum float64
	for i := 0; i < min(r, n); i++ {
		sum += float64(src[i])
	}
	for x := range n {
		if x+r < n {
			sum += float64(src[x+r])
		}
		if x-r-1 >= 0 {
			sum -= float64(src[x-r-1])
		}
		dst[x] = float32(sum / float64(min(x+r, n-1)-max(x-r, 0)+1))
	}
}

// blurColumns smooths down the columns, in place: rows that were written over are
// kept as long as they are needed.
func (p Plane) blurColumns(sigma float64) {
	if sigma >= wideSigma {
		r := boxRadius(sigma)
		for range 3 {
			p.boxColumns(r)
		}
		return
	}
	k := kernel(sigma)
	r := len(k) / 2
	was, dst := New(p.W, r+1), make([]float32, p.W)
	for y := range p.H {
		row := func(i int) []float32 {
			at := min(max(y+i-r, 0), p.H-1)
			if at < y {
				return was.Row(at % was.H)[:len(dst)]
			}
			return p.Row(at)[:len(dst)]
		}
		clear(dst)
		i := 0
		for ; i+3 <= len(k); i += 3 { // k has an odd number of weights, 3 at least
			a, b, c := row(i), row(i+1), row(i+2)
			wa, wb, wc := k[i], k[i+1], k[i+2]
			for x, v := range dst {
				dst[x] = v + wa*a[x] + wb*b[x] + wc*c[x]
			}
		}
		for ; i < len(k); i++ {
			a, w := row(i), k[i]
			for x := range dst {
				dst[x] += w * a[x]
			}
		}
		copy(was.Row(y%was.H), p.Row(y))
		copy(p.Row(y), dst)
	}
}

// boxColumns averages over 2r+1 rows, in place.
func (p Plane) boxColumns(r int) {
	was, sums := New(p.W, r+1), make([]float64, p.W)
	for y := 0; y < min(r, p.H); y++ {
		for x, v := range p.Row(y) {
			sums[x] += float64(v)
		}
	}
	for y := range p.H {
		if y+r < p.H {
			for x, v := range p.Row(y + r) {
				sums[x] += float64(v)
			}
		}
		old := was.Row(y % was.H)
		if y-r-1 >= 0 {
			for x, v := range old {
				sums[x] -= float64(v)
			}
		}
		dst := p.Row(y)
		copy(old, dst)
		n := float64(min(y+r, p.H-1) - max(y-r, 0) + 1)
		for x, s := range sums[:len(dst)] {
			dst[x] = float32(s / n)
		}
	}
}
