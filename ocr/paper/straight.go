package paper

import (
	"math"

	"tankroll/ocr/raster"
)

// MeasureSkew finds by how many degrees clockwise the lines of print on p fall
// from level, within most degrees. p holds print as bright on 0. The clarity
// is how strongly lines stand out at that angle: it compares pictures of the
// same print.
func MeasureSkew(p raster.Plane, most float64) (degrees, clarity float64) {
	small := p
	for small.W > 500 {
		small = small.Reduce(2)
	}
	score := func(a float64) float64 { return lineClarity(small, math.Tan(a*math.Pi/180)) }
	best, bestScore := 0.0, -1.0
	for a := -most; a <= most+1e-9; a += 0.5 {
		if s := score(a); s > bestScore {
			best, bestScore = a, s
		}
	}
	for step := 0.25; step > 0.02; step /= 2 {
		for _, a := range []float64{best - step, best + step} {
			if s := score(a); s > bestScore {
				best, bestScore = a, s
			}
		}
	}
	return best, bestScore
}

// MeasureLean finds by how many degrees clockwise what should stand upright leans
// on p where lines are level, within most degrees: strokes of letters and columns
// of characters. An outline with a corner missed does that. It is 0 where nothing
// stands out more leaning than upright.
func MeasureLean(p raster.Plane, most float64) float64 {
	small := p
	for small.H > 1000 {
		small = small.Reduce(2)
	}
	turned := small.Quarter(1)
	score := func(a float64) float64 { return lineClarity(turned, math.Tan(a*math.Pi/180)) }
	upright := score(0)
	best, bestScore := 0.0, upright
	for a := -most; a <= most+1e-9; a += 0.25 {
		if s := score(a); s > bestScore {
			best, bestScore = a, s
		}
	}
	const clearer = 1.15
	if bestScore < clearer*upright {
		return 0
	}
	return best
}

// lineClarity is the energy of the differences between neighbouring rows'
// sums, taken along lines of the given slope.
func lineClarity(p raster.Plane, slope float64) float64 {
	sums := make([]float32, p.H)
	for x := 0; x < p.W; x += 2 {
		fall := slope * (float64(x) - float64(p.W)/2)
		shift := int(math.Round(fall))
		// Weights of the quadratic B-spline: they smooth alike wherever between
		// two rows a place falls. Whole rows, or weights of two, would leave
		// level lines the sharpest, and a small skew unseen.
		t := float32(fall - float64(shift))
		up, here, low := 0.5*(0.5-t)*(0.5-t), 0.75-t*t, 0.5*(0.5+t)*(0.5+t)
		for y := max(0, 1-shift); y < min(p.H, p.H-1-shift); y++ {
			k := (y+shift)*p.W + x
			sums[y] += up*p.Pix[k-p.W] + here*p.Pix[k] + low*p.Pix[k+p.W]
		}
	}
	var e float64
	for y := 1; y < p.H; y++ {
		d := float64(sums[y] - sums[y-1])
		e += d * d
	}
	// Per row and column, so that lying and standing compare.
	return e / float64(p.H) / float64(p.W) / float64(p.W)
}

// Skewed turns the flat slip within its map so that lines that fell by
// degrees lie level.
func (m Map) Skewed(degrees float64) Map {
	t := degrees * math.Pi / 180
	c, s := math.Cos(t), math.Sin(t)
	return m.relaid(func(x, y float64) (float64, float64) {
		dx, dy := x-m.W/2, y-m.H/2
		return m.W/2 + c*dx - s*dy, m.H/2 + s*dx + c*dy
	})
}

// Leaned shears the flat slip within its map so that what leant by degrees
// stands, and level lines stay level.
func (m Map) Leaned(degrees float64) Map {
	t := math.Tan(degrees * math.Pi / 180)
	return m.relaid(func(x, y float64) (float64, float64) { return x - t*(y-m.H/2), y })
}

// relaid is the map without a bend whose flat corners lie where from says that they lay on
// m. Quad stays: the paper's corners have not moved.
func (m Map) relaid(from func(x, y float64) (float64, float64)) Map {
	var q Quad
	for i, f := range [4][2]float64{{0, 0}, {m.W, 0}, {m.W, m.H}, {0, m.H}} {
		q[i].X, q[i].Y = m.h.apply(from(f[0], f[1]))
	}
	hm, ok := fit(m.W, m.H, q)
	if !ok {
		return m
	}
	return Map{W: m.W, H: m.H, Quad: m.Quad, h: hm}
}
