package paper

import (
	"math"

	"tankroll/ocr/raster"
)

// Bend is how far the printed lines lie below their straight place, in flat
// units, on a coarse grid over the slip; between the knots it is smooth.
type Bend struct {
	nx, ny int
	dy     []float64
}

// at is the bend at u, v: 0 to 1 across and down the slip.
func (b Bend) at(u, v float64) float64 {
	if len(b.dy) == 0 {
		return 0
	}
	x := math.Min(math.Max(u*float64(b.nx-1), 0), float64(b.nx-1))
	y := math.Min(math.Max(v*float64(b.ny-1), 0), float64(b.ny-1))
	x0, y0 := min(int(x), max(b.nx-2, 0)), min(int(y), max(b.ny-2, 0))
	fx, fy := x-float64(x0), y-float64(y0)
	x1, y1 := min(x0+1, b.nx-1), min(y0+1, b.ny-1)
	top := b.dy[y0*b.nx+x0]*(1-fx) + b.dy[y0*b.nx+x1]*fx
	bottom := b.dy[y1*b.nx+x0]*(1-fx) + b.dy[y1*b.nx+x1]*fx
	return top*(1-fy) + bottom*fy
}

// Most is the greatest bend in flat units.
func (b Bend) Most() float64 {
	m := 0.0
	for _, d := range b.dy {
		m = max(m, math.Abs(d))
	}
	return m
}

// strips is how many upright strips the slip is cut into to follow its lines.
const strips = 14

// MeasureBend follows the lines of print on p (bright on 0, nearly level) from
// strip to strip and returns how they bend, in units of 1/scale pixels, and
// the share of the slip that had lines to follow. em is the height of a
// character in pixels, within a factor of two.
func MeasureBend(p raster.Plane, em, scale float64) (Bend, float64) {
	pitch := measurePitch(p, em)
	profiles := stripProfiles(p, pitch)
	// First from neighbour to neighbour, where lines cannot be mistaken; what
	// that gives leads to the same line farther away, where it tells more.
	c, share := followLines(profiles, p.H, pitch, []int{1, 2, 3}, curve{}, 0.38)
	if share == 0 {
		return Bend{}, 0
	}
	if fine, s := followLines(profiles, p.H, pitch, []int{1, 2, 3, 5, 8}, c, 0.3); s > 0 {
		c, share = fine, s
	}
	b := Bend{nx: 17, ny: 17, dy: make([]float64, 17*17)}
	for j := range b.ny {
		for i := range b.nx {
			u, v := float64(i)/16, float64(j)/16
			b.dy[j*b.nx+i] = (c.at(u, v) - c.at(0.5, v)) / scale
		}
	}
	if rowClarity(p, b, scale) < 1.01*rowClarity(p, Bend{}, scale) {
		return Bend{}, 0
	}
	return b, share
}

// followLines measures by how much lines fall between strips that lie gaps
// apart, near what guess says, and fits a curve to it. The share is how many
// of the tries found lines.
func followLines(profiles [strips][]float32, h int, pitch float64, gaps []int, guess curve, reach float64) (curve, float64) {
	window := int(5 * pitch)
	var eq equations
	seen, tried := 0.0, 0.0
	for _, gap := range gaps {
		for s := 0; s+gap < strips; s++ {
			for y := 0; y < h; y += max(window/2, 1) {
				y1 := min(y+window, h)
				u0, u1 := (float64(s)+0.5)/strips, (float64(s+gap)+0.5)/strips
				v := float64(y+y1) / 2 / float64(h)
				near := int(math.Round(guess.at(u1, v) - guess.at(u0, v)))
				tried++
				shift, weight := bestShift(profiles[s], profiles[s+gap], y, y1, near, max(int(reach*pitch), 2))
				if weight > 0 {
					seen++
					eq.add(u0, u1, v, shift, weight)
				}
			}
		}
	}
	if seen < 4 {
		return curve{}, 0
	}
	return eq.solve(), seen / tried
}

// rowClarity is the energy of the differences between neighbouring rows' sums
// when p is straightened by b.
func rowClarity(p raster.Plane, b Bend, scale float64) float64 {
	sums := make([]float64, p.H)
	for x := 0; x < p.W; x += 3 {
		for y := range p.H {
			d := b.at(float64(x)/float64(p.W), float64(y)/float64(p.H)) * scale
			sums[y] += float64(p.At(x, y+int(math.Round(d))))
		}
	}
	var e float64
	for y := 1; y < p.H; y++ {
		d := sums[y] - sums[y-1]
		e += d * d
	}
	return e
}
