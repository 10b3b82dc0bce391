package lines

import (
	"math"
	"math/cmplx"
	"slices"

	"tankroll/ocr/raster"
)

// Print is monospaced: letters of one line start at multiples of one width.
// The columns between letters are bare, so the ink of a line's columns swings
// with that width, and so does every other line's.

// measureCell finds the character width from all bands: the period, between
// 0.4 and 1.5 capitals, at which columns repeat best.
func measureCell(p raster.Plane, bands []Band, cap float64) float64 {
	lo, hi := 0.42*cap, 1.45*cap
	const steps = 240
	power := make([]float64, steps)
	measured := false
	for _, b := range bands {
		if b.Rule || b.Inverse {
			continue
		}
		cols := columns(p, b.Y0, b.Y1)[b.X0:b.X1]
		if float64(len(cols)) < 4*cap {
			continue
		}
		sig := gaps(cols)
		if !slices.ContainsFunc(sig, func(v float64) bool { return v != 0 }) {
			continue
		}
		measured = true
		for i := range power {
			power[i] += toneEnergy(sig, period(i, steps, lo, hi))
		}
	}
	if !measured {
		return 0.7 * cap
	}
	best := 0
	for i := range power {
		if power[i] > power[best] {
			best = i
		}
	}
	return period(best, steps, lo, hi)
}

func period(i, steps int, lo, hi float64) float64 {
	return lo * math.Pow(hi/lo, float64(i)/float64(steps-1))
}

// gaps turns column ink into a signal that is high between letters: it looks
// at whether a column is bare, not at how black it is.
func gaps(cols []float32) []float64 {
	out := make([]float64, len(cols))
	sum := 0.0
	for i, v := range cols {
		out[i] = math.Exp(-12 * float64(v))
		sum += out[i]
	}
	// Where there is no print, there is no gap: long bare stretches are level.
	run := 0
	for i := 0; i <= len(out); i++ {
		if i < len(out) && out[i] > 0.8 {
			run++
			continue
		}
		if run > 12 {
			for k := i - run; k < i; k++ {
				out[k] = -1 // marked
			}
		}
		run = 0
	}
	n := 0.0
	sum = 0
	for _, v := range out {
		if v >= 0 {
			sum, n = sum+v, n+1
		}
	}
	for i, v := range out {
		if v < 0 {
			out[i] = 0
		} else {
			out[i] = v - sum/max(n, 1)
		}
	}
	return out
}

// toneEnergy is the energy of sig at one period, gathered over windows of
// about ten periods so that a slow change of width does not wash it out.
func toneEnergy(sig []float64, period float64) float64 {
	win := min(int(10*period), len(sig))
	e := 0.0
	turn := cmplx.Rect(1, 2*math.Pi/period)
	for x0 := 0; x0+win <= len(sig); x0 += max(win/2, 1) {
		var z complex128
		at := complex(1, 0)
		for _, v := range sig[x0 : x0+win] {
			z += complex(v, 0) * at
			at *= turn
		}
		e += (real(z)*real(z) + imag(z)*imag(z)) / float64(win)
	}
	return e
}
