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
	out := p
	if sx > 0.2 {
		out = out.rows(sx)
	}
	if sy > 0.2 {
		out = out.columns(sy)
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
		dst := out.Row(y)
		for x := range dst {
			var s float32
			for i, w := range k {
				s += w * padded[x+i]
			}
			dst[x] = s
		}
	}
	return out
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

func (p Plane) columns(sigma float64) Plane {
	if sigma >= wideSigma {
		r := boxRadius(sigma)
		return boxColumns(boxColumns(boxColumns(p, r), r), r)
	}
	k := kernel(sigma)
	r := len(k) / 2
	out := New(p.W, p.H)
	for y := range p.H {
		dst := out.Row(y)
		for i, w := range k {
			for x, v := range p.Row(min(max(y+i-r, 0), p.H-1)) {
				dst[x] += w * v
			}
		}
	}
	return out
}

func boxColumns(p Plane, r int) Plane {
	out := New(p.W, p.H)
	sums := make([]float64, p.W)
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
		if y-r-1 >= 0 {
			for x, v := range p.Row(y - r - 1) {
				sums[x] -= float64(v)
			}
		}
		n := float64(min(y+r, p.H-1) - max(y-r, 0) + 1)
		for x, s := range sums {
			out.Pix[y*p.W+x] = float32(s / n)
		}
	}
	return out
}

// Max replaces each sample by the greatest within rx columns and ry rows.
func (p Plane) Max(rx, ry int) Plane {
	return p.extreme(rx, ry, func(a, b float32) bool { return a >= b })
}

// Min replaces each sample by the least within rx columns and ry rows.
func (p Plane) Min(rx, ry int) Plane {
	return p.extreme(rx, ry, func(a, b float32) bool { return a <= b })
}

// Close fills dark marks that are narrower than 2rx+1 or lower than 2ry+1.
func (p Plane) Close(rx, ry int) Plane { return p.Max(rx, ry).Min(rx, ry) }

func (p Plane) extreme(rx, ry int, better func(a, b float32) bool) Plane {
	out := p
	if rx > 0 {
		next := New(p.W, p.H)
		for y := range p.H {
			slide(out.Row(y), next.Row(y), rx, better)
		}
		out = next
	}
	if ry > 0 {
		next := New(p.W, p.H)
		col, res := make([]float32, p.H), make([]float32, p.H)
		for x := range p.W {
			for y := range col {
				col[y] = out.Pix[y*p.W+x]
			}
			slide(col, res, ry, better)
			for y, v := range res {
				next.Pix[y*p.W+x] = v
			}
		}
		out = next
	}
	return out
}

// slide writes the best of each window of 2r+1 samples, keeping candidates in
// order so that each is looked at twice at most.
func slide(src, dst []float32, r int, better func(a, b float32) bool) {
	n := len(src)
	queue := make([]int, 0, 2*r+2)
	next := 0
	for x := range n {
		for ; next < n && next <= x+r; next++ {
			for len(queue) > 0 && better(src[next], src[queue[len(queue)-1]]) {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, next)
		}
		for queue[0] < x-r {
			queue = queue[1:]
		}
		dst[x] = src[queue[0]]
	}
}
