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

// The bend is a polynomial: up to powersX in x and powersY-1 in y. Paper that was
// rolled or folded once is within it; crumpled paper is not, quite.
const (
	powersX = 4
	powersY = 3
	strips  = 14
)

// MeasureBend follows the lines of print on p (bright on 0, nearly level) from
// strip to strip and returns how they bend, in units of 1/scale pixels, and
// the share of the slip that had lines to follow.
func MeasureBend(p raster.Plane, pitch, scale float64) (Bend, float64) {
	profiles := stripProfiles(p, pitch)
	window, reach := int(5*pitch), max(int(0.38*pitch), 2)
	var eq equations
	seen, tried := 0.0, 0.0
	for gap := 1; gap <= 3; gap++ {
		for s := 0; s+gap < strips; s++ {
			for y := 0; y < p.H; y += window / 2 {
				tried++
				shift, weight := bestShift(profiles[s], profiles[s+gap], y, min(y+window, p.H), reach)
				if weight <= 0 {
					continue
				}
				seen++
				u := (float64(s) + float64(gap+1)/2) / strips
				v := (float64(y) + float64(min(window, p.H-y))/2) / float64(p.H)
				// A slope from strips farther apart is finer by their distance.
				eq.add(u, v, shift*strips/float64(gap), weight*float64(gap*gap))
			}
		}
	}
	if seen < 4 {
		return Bend{}, 0
	}
	c := eq.solve()
	b := Bend{nx: 17, ny: 17, dy: make([]float64, 17*17)}
	for j := range b.ny {
		for i := range b.nx {
			u, v := float64(i)/16, float64(j)/16
			b.dy[j*b.nx+i] = (value(c, u, v) - value(c, 0.5, v)) / scale
		}
	}
	if rowClarity(p, b, scale) < 1.01*rowClarity(p, Bend{}, scale) {
		return Bend{}, 0
	}
	return b, seen / max(tried, 1)
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
func bestShift(a, b []float32, y0, y1, reach int) (shift, weight float64) {
	corr := make([]float64, 2*reach+1)
	var ea, eb float64
	for y := y0; y < y1; y++ {
		ea += float64(a[y]) * float64(a[y])
		eb += float64(b[y]) * float64(b[y])
	}
	norm := math.Sqrt(ea * eb)
	if norm < 1e-9 {
		return 0, 0
	}
	best := 0
	for i := range corr {
		d := i - reach
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
	return float64(best-reach) + frac, c * c * math.Sqrt(norm/float64(y1-y0))
}

// value is the polynomial's height at u, v.
func value(c [powersX * powersY]float64, u, v float64) float64 {
	sum, k := 0.0, 0
	u, v = 2*u-1, 2*v-1
	for i := 1; i <= powersX; i++ {
		for j := range powersY {
			sum += c[k] * math.Pow(u, float64(i)) * math.Pow(v, float64(j))
			k++
		}
	}
	return sum
}

// equations collects slopes d(dy)/du for a weighted least-squares fit.
type equations struct {
	a [powersX * powersY][powersX * powersY]float64
	b [powersX * powersY]float64
	w float64
}

func (e *equations) add(u, v, slope, weight float64) {
	var row [powersX * powersY]float64
	u, v = 2*u-1, 2*v-1
	k := 0
	for i := 1; i <= powersX; i++ {
		for j := range powersY {
			row[k] = 2 * float64(i) * math.Pow(u, float64(i-1)) * math.Pow(v, float64(j))
			k++
		}
	}
	for i := range row {
		for j := range row {
			e.a[i][j] += weight * row[i] * row[j]
		}
		e.b[i] += weight * row[i] * slope
	}
	e.w += weight
}

// solve pulls weakly towards 0 so that what no line tells stays flat, the
// higher the power the more.
func (e *equations) solve() [powersX * powersY]float64 {
	const n = powersX * powersY
	a, b := e.a, e.b
	for i := range n {
		power := float64(i/powersY + i%powersY)
		a[i][i] += e.w * 0.002 * (1 + power*power)
	}
	for c := range n {
		for r := c + 1; r < n; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k < n; k++ {
				a[r][k] -= f * a[c][k]
			}
			b[r] -= f * b[c]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= a[i][k] * b[k]
		}
		b[i] /= a[i][i]
	}
	return b
}
