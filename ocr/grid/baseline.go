package grid

import (
	"math"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// Baseline finds the row on which the letters of a band stand and the height
// of its capitals: the sharpest fall of ink to bare rows in the lower half, the
// sharpest rise in the upper.
func Baseline(p raster.Plane, b lines.Band, l lines.Layout) (base, cap float64) {
	cap = l.Cap
	if b.Tall {
		cap *= 2
	}
	pad := int(0.3 * cap)
	y0, y1 := max(b.Y0-pad, 0), min(b.Y1+pad, p.H)
	col := raster.New(1, y1-y0)
	if b.Inverse {
		barRows(p, b, y0, col.Pix)
	} else {
		flat := strokesAlong(p, b, y0, y1, cap)
		for y := y0; y < y1; y++ {
			var s float32
			for x, v := range p.Row(y)[b.X0:b.X1] {
				if !flat[x] {
					s += v
				}
			}
			col.Pix[y-y0] = s
		}
	}
	prof := col.Blur(0.04 * cap).Pix
	// Both edges at once: a fall at the base line and a rise a capital above.
	best, bestV := float64(b.Y1), math.Inf(-1)
	for y := int(0.7 * cap); y < len(prof)-1; y++ {
		top := y - int(cap+0.5)
		v := float64(prof[y-1] - prof[min(y+1, len(prof)-1)])
		if top >= 1 && top+1 < len(prof) {
			v += 0.8 * float64(prof[top+1]-prof[top-1])
		}
		if v > bestV {
			best, bestV = float64(y0+y)+0.5, v
		}
	}
	return best, cap
}

// barRows fills rows, from row y0 on, with how much of each row of a bar of inverse print is
// its letters. Beyond the bar's edges, which are as soft as all print, rows are as those within.
func barRows(p raster.Plane, b lines.Band, y0 int, rows []float32) {
	const inset = 0.05 // of the bar's height at its ends
	in := int(inset * float64(b.Height()))
	x0, x1 := b.X0+in, max(b.X1-in, b.X0+in)
	for i := range rows {
		for _, v := range p.Row(y0 + i)[x0:x1] {
			rows[i] += max(1-v, 0)
		}
	}
	half := float32(x1-x0) / 2
	within := func(from, by, end int) int {
		at := from
		for at != end && rows[at] > half {
			at += by
		}
		for at != end && rows[at+by] < rows[at] {
			at += by
		}
		return at
	}
	upper, lower := within(0, 1, len(rows)-1), within(len(rows)-1, -1, 0)
	for i := range rows {
		switch {
		case i < upper:
			rows[i] = rows[upper]
		case i > lower:
			rows[i] = rows[lower]
		}
	}
}

// strokesAlong tells the columns of a band, from its first on, in which there is nothing but
// a stroke along the line that is longer than a letter: the underline to sign on is darker
// than the letters before it, and no letter stands on it. Of a line of nothing else none is
// told.
func strokesAlong(p raster.Plane, b lines.Band, y0, y1 int, cap float64) []bool {
	const (
		inked   = 0.4
		highest = 0.3 // of a stroke, in capitals
		longest = 1.5 // that one of a letter is, in capitals
		between = 0.3 // two of them, at most, in capitals
	)
	thin := make([]bool, b.X1-b.X0)
	bare := make([]bool, b.X1-b.X0)
	for x := range thin {
		top, foot := y1, y0
		for y := y0; y < y1; y++ {
			if p.Row(y)[b.X0+x] > inked {
				top, foot = min(top, y), max(foot, y+1)
			}
		}
		bare[x], thin[x] = foot <= top, foot > top && float64(foot-top) < highest*cap
	}
	out := make([]bool, len(thin))
	letters := false
	for x := 0; x < len(thin); x++ {
		if !thin[x] {
			letters = letters || !bare[x]
			continue
		}
		from, last := x, x
		for x < len(thin) && (thin[x] || bare[x]) && float64(x-last) <= between*cap {
			if thin[x] {
				last = x
			}
			x++
		}
		x = last
		if float64(last-from) > longest*cap {
			for k := from; k <= last; k++ {
				out[k] = true
			}
		}
	}
	if !letters {
		clear(out)
	}
	return out
}
