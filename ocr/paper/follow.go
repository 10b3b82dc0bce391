package paper

import (
	"math"

	"tankroll/ocr/raster"
)

// stripProfiles sums each strip's rows and takes away what is broader than a
// line, so that only lines correlate.
func stripProfiles(p raster.Plane, pitch float64) [strips][]float32 {
	var out [strips][]float32
	for s := range out {
		x0, x1 := s*p.W/strips, (s+1)*p.W/strips
		col := raster.New(1, p.H)
		for y := range p.H {
			var sum float32
			for _, v := range p.Row(y)[x0:x1] {
				sum += v
			}
			col.Pix[y] = sum / float32(max(x1-x0, 1))
		}
		// Letters differ in where they are heavy; smoothed to one hump a line
		// they do not.
		fine, broad := col.Blur(0.17*pitch), col.Blur(0.8*pitch)
		for y := range fine.Pix {
			fine.Pix[y] -= broad.Pix[y]
		}
		out[s] = fine.Pix
	}
	return out
}

// bestShift is by how many rows b lies below a within y0..y1, and how much
// that may be trusted: 0 when there is nothing to follow.
// Shifts within reach of near are tried.
func bestShift(a, b []float32, y0, y1, near, reach int) (shift, weight float64) {
	corr := make([]float64, 2*reach+1)
	var ea, eb float64
	for y := y0; y < y1; y++ {
		ea += float64(a[y]) * float64(a[y])
		if k := y + near; k >= 0 && k < len(b) {
			eb += float64(b[k]) * float64(b[k])
		}
	}
	norm := math.Sqrt(ea * eb)
	if norm < 1e-9 {
		return 0, 0
	}
	best := 0
	for i := range corr {
		d := near + i - reach
		for y := max(y0, -d); y < min(y1, len(b)-d); y++ {
			corr[i] += float64(a[y]) * float64(b[y+d])
		}
		if corr[i] > corr[best] {
			best = i
		}
	}
	c := corr[best] / norm
	const trusted = 0.45 // unrelated strips of print reach about 0.3
	if c < trusted || best == 0 || best == len(corr)-1 {
		return 0, 0
	}
	l, m, r := corr[best-1], corr[best], corr[best+1]
	frac := 0.0
	if d := l - 2*m + r; d < 0 {
		frac = 0.5 * (l - r) / d
	}
	return float64(near+best-reach) + frac, c * c * math.Sqrt(norm/float64(y1-y0))
}

// measurePitch is the distance of lines in pixels, from strips so narrow that
// slanting lines stay apart: the distance at which the strips' rows are again
// like themselves. em is the height of a character within a factor
// of two.
func measurePitch(p raster.Plane, em float64) float64 {
	lo, hi := int(0.7*em), int(4*em)
	corr := make([]float64, hi+1)
	for s := range 2 * strips {
		x0, x1 := s*p.W/(2*strips), (s+1)*p.W/(2*strips)
		col := raster.New(1, p.H)
		for y := range p.H {
			for _, v := range p.Row(y)[x0:x1] {
				col.Pix[y] += v
			}
		}
		fine, broad := col.Blur(0.12*em), col.Blur(1.2*em)
		for y := range fine.Pix {
			fine.Pix[y] -= broad.Pix[y]
		}
		for d := range corr {
			for y := 0; y+d < p.H; y++ {
				corr[d] += float64(fine.Pix[y]) * float64(fine.Pix[y+d])
			}
		}
	}
	// Rows are like themselves at every multiple of the pitch, and unlike half
	// way between: a multiple of the pitch fails the second.
	best, bestScore := 1.4*em, 0.0
	for d := lo; d < hi/2; d++ {
		score := 0.0
		for m := 1; m <= 3 && m*d <= hi; m++ {
			score += (corr[m*d] - corr[m*d-d/2]) / float64(m+1)
		}
		if score > bestScore {
			best, bestScore = float64(d), score
		}
	}
	return best
}
