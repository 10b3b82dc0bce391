package paper

import "tankroll/ocr/raster"

// sums holds for every row of a plane the sum of what lies left of each column, so
// that a sum over an outline takes one look at either end of a row. Hundreds of
// outlines are judged by what is in and around them.
type sums struct {
	w, h int
	left []float64 // w+1 a row
}

func sumsOf(p raster.Plane) sums {
	s := sums{p.W, p.H, make([]float64, (p.W+1)*p.H)}
	for y := range p.H {
		to, sum := s.left[y*(p.W+1):], 0.0
		for x, v := range p.Row(y) {
			sum += float64(v)
			to[x+1] = sum
		}
	}
	return s
}

// total is the sum of all.
func (s sums) total() float64 {
	sum := 0.0
	for y := range s.h {
		sum += s.left[(y+1)*(s.w+1)-1]
	}
	return sum
}

// inside is the sum within q, whose left and right sides are moved out by grow
// pixels, and the number of pixels there.
func (s sums) inside(q Quad, grow int) (sum, n float64) {
	y0, y1 := rowsOf(q)
	for y := max(int(y0), 0); y < min(int(y1)+1, s.h); y++ {
		l, r := cutRow(q, float64(y)+0.5)
		if r <= l {
			continue
		}
		x0, x1 := max(int(l)-grow, 0), min(int(r)+grow, s.w)
		if x0 >= x1 {
			continue
		}
		row := s.left[y*(s.w+1):]
		sum, n = sum+row[x1]-row[x0], n+float64(x1-x0)
	}
	return sum, n
}

// density is the mean of what inside adds up.
func (s sums) density(q Quad, grow int) float64 {
	sum, n := s.inside(q, grow)
	return sum / max(n, 1)
}

// ring is the mean in a band right outside of q.
func (s sums) ring(q Quad) float64 {
	const from, to = 4, 11
	s1, n1 := s.inside(expanded(q, to), 0)
	s0, n0 := s.inside(expanded(q, from), 0)
	if n1 <= n0 {
		return 0 // at the picture's border nothing may be left
	}
	return max(s1-s0, 0) / (n1 - n0)
}
