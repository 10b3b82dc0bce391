package lines

import (
	"slices"

	"tankroll/ocr/raster"
)

// A thermal head or paper that fades towards one side leaves the ends of lines below
// what counts as print elsewhere on the slip. Beside print that is faint itself less
// is asked for.
const (
	faintStep  = 0.7   // of a capital: what is looked at together
	faintGap   = 2     // bare steps on end that are passed over: a space
	faintShare = 0.2   // of the ink of the print next to it
	faintOver  = 3     // times the ink of the rows above and below, which dirt has too
	leastFaint = 0.003 // ink, squared
)

// reachFaint lengthens the bands whose print goes on more faintly, within the columns
// that the slip's lines take up.
func reachFaint(p raster.Plane, bands []Band, cap float64) {
	left, right := p.W, 0
	for _, b := range bands {
		if !b.Rule {
			left, right = min(left, b.X0), max(right, b.X1)
		}
	}
	for i, b := range bands {
		if b.Rule || b.Inverse {
			continue
		}
		lo, hi := b.Y0-int(0.5*cap), b.Y1+int(0.5*cap)
		if i > 0 {
			lo = max(lo, bands[i-1].Y1)
		}
		if i+1 < len(bands) {
			hi = min(hi, bands[i+1].Y0)
		}
		lo, hi = min(max(lo, 0), b.Y0), max(min(hi, p.H), b.Y1)
		on, above, below := strong(p, b.Y0, b.Y1), strong(p, lo, b.Y0), strong(p, b.Y1, hi)
		off := make([]float32, p.W)
		for x := range off {
			off[x] = max(above[x], below[x])
		}
		bands[i].X0 = faintEnd(on, off, b.X0, left, cap)
		slices.Reverse(on)
		slices.Reverse(off)
		bands[i].X1 = p.W - faintEnd(on, off, p.W-b.X1, p.W-right, cap)
	}
}

// faintEnd is where print that begins at x0 really begins, not left of left. on is the
// ink of its columns, off that of the rows above and below.
func faintEnd(on, off []float32, x0, left int, cap float64) int {
	step := max(int(faintStep*cap), 1)
	next := mean(on[x0:min(x0+2*step, len(on))])
	out := x0
	for x, bare := x0, 0; x-step >= left-step/2 && x-step >= 0 && bare <= faintGap; x -= step {
		ink := mean(on[x-step : x])
		if ink < max(faintShare*next, faintOver*mean(off[x-step:x]), leastFaint) {
			bare++
			continue
		}
		bare, next, out = 0, ink, x-step
		for out < x && float64(on[out]) < ink/4 {
			out++
		}
	}
	return out
}
