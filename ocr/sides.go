package ocr

import (
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// A stripe down one side of the roll, or the ground where the outline takes in
// some of it, lies beside the print as marks that do not care for lines: they are in
// the gaps between lines as much as on the lines. Lines would seem to reach to them
// and the print to be on no grid.
const (
	// offPrint is how many times the ink above and below it a line has where
	// it is print and not such a mark.
	offPrint = 3
	// plainShare is the share of the usual line's ink that print holds in a stretch
	// of one capital.
	plainShare = 0.3
	// markInk is the ink, squared, from which a place between lines is marked.
	markInk = 0.01
	// markedPlaces is how many such places there must be.
	markedPlaces = 6
	// edgeShare is the share of the slip's width from which on a line from side to side is no
	// print, which leaves margins, but the torn end of the paper, a fold or a rule.
	edgeShare = 0.9
	// mostSide is the share of the slip's width that may go on either side.
	mostSide = 0.35
)

// takeSides wipes off p, capitals cap high, the sides that hold marks and no lines,
// and says whether there were any.
func takeSides(p raster.Plane, bands []lines.Band, cap float64) bool {
	if len(bands) < 3 {
		return false
	}
	w := int(cap)
	n := p.W / w
	onLine, between := columnsOfInk(p, bands, w, n)
	usual := usualInk(onLine)
	if usual == 0 {
		return false
	}
	edge := make([]bool, len(bands))
	for i := range bands {
		inked := 0
		for _, v := range onLine[i] {
			if v > plainShare*usual {
				inked++
			}
		}
		edge[i] = float64(inked) > edgeShare*float64(n) && min(onLine[i][0], onLine[i][n-1]) > plainShare*usual
	}
	// at is window k counted from the left or from the right edge.
	any := false
	for _, fromRight := range []bool{false, true} {
		marked, clearTo := 0, 0
		for k := range int(mostSide * float64(n)) {
			at := k
			if fromRight {
				at = n - 1 - k
			}
			here, print := 0, false
			for i := range bands {
				above, below := between[i][at], between[i+1][at]
				if !edge[i] && onLine[i][at] > plainShare*usual && onLine[i][at] > offPrint*(above+below)/2 {
					print = true
					break
				}
				if below > markInk {
					here++
				}
			}
			if print {
				break
			}
			if here > 0 {
				marked, clearTo = marked+here, k+1
			}
		}
		if marked < markedPlaces {
			continue
		}
		any = true
		x0, x1 := 0, clearTo*w
		if fromRight {
			x0, x1 = (n-clearTo)*w, p.W
		}
		for y := range p.H {
			clear(p.Row(y)[x0:x1])
		}
	}
	return any
}

// columnsOfInk is the mean squared ink of stretches w wide: of every band, and of
// the gaps above the first, between each two and below the last, as far as a
// capital from the next band.
func columnsOfInk(p raster.Plane, bands []lines.Band, w, n int) (onLine, between [][]float32) {
	ink := func(y0, y1 int) []float32 {
		out := make([]float32, n)
		y0, y1 = max(y0, 0), min(y1, p.H)
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			for k := range out {
				for _, v := range row[k*w : (k+1)*w] {
					out[k] += v * v
				}
			}
		}
		for k := range out {
			out[k] /= float32(max(y1-y0, 1) * w)
		}
		return out
	}
	for i, b := range bands {
		y0 := b.Y0 - w
		if i > 0 {
			y0 = max(y0, bands[i-1].Y1)
		}
		between = append(between, ink(y0, b.Y0))
		onLine = append(onLine, ink(b.Y0, b.Y1))
	}
	last := bands[len(bands)-1].Y1
	return onLine, append(between, ink(last, last+w))
}

// usualInk is the middle of all stretches that hold ink.
func usualInk(onLine [][]float32) float32 {
	var all []float32
	for _, l := range onLine {
		for _, v := range l {
			if v > 2*markInk {
				all = append(all, v)
			}
		}
	}
	return raster.Quantile(all, 0.5)
}
