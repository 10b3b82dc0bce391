package lines

import (
	"math"

	"tankroll/ocr/raster"
)

// describe measures one run's columns and kind; it is false for specks. lo and hi
// are where the runs above and below end.
func describe(p raster.Plane, s span, lo, hi int, l Layout) (Band, bool) {
	b := Band{Y0: s.y0, Y1: s.y1}
	x0, x1 := extent(strong(p, b.Y0, b.Y1), l.Cap)
	if x1-x0 < int(0.25*l.Cap) {
		return Band{}, false
	}
	cols := columns(p, b.Y0, b.Y1)
	if r0, r1, ok := barAlone(cols, x0, x1, b.Height()); ok {
		x0, x1 = r0, r1
	}
	b.X0, b.X1 = x0, x1
	h := float64(b.Height())
	fill := mean(cols[x0:x1])
	b.Inverse = fill > leastFill && h > 0.8*l.Cap && float64(x1-x0) > 2*h && isBar(p, b, fill)
	switch {
	case b.Inverse:
	case h <= 0.5*l.Cap:
		// Of a short line among long ones the profile may show some rows only: of a row
		// of Ls the feet, whose rows hold seven times the ink of the others.
		if y0, y1 := reach(p, b, lo, hi, 0.1, l.Cap); float64(y1-y0) > 0.6*l.Cap {
			b.Y0, b.Y1 = reach(p, Band{X0: b.X0, X1: b.X1, Y0: y0, Y1: y1}, lo, hi, 0.02, l.Cap)
		}
	case fill < 0.55:
		b.Y0, b.Y1 = reach(p, b, lo, hi, 0.02, l.Cap)
	}
	h = float64(b.Height())
	switch {
	case b.Inverse:
	case h < 0.5*l.Cap:
		if float64(x1-x0) < 3*l.Cap {
			return Band{}, false // dust, or the tail of a torn line
		}
		b.Rule = true
	case h < 0.85*l.Cap && likeMarks(p, b, l.Cap):
		b.Rule = true
	}
	b.Tall = !b.Rule && !b.Inverse && h > 1.7*l.Cap
	return b, true
}

// leastFill is the share of a bar of inverse print that is dark: broad letters close together
// leave less than half of it, where a fold or fading takes some more.
const leastFill = 0.42

// barAlone is the bar of inverse print among columns x0..x1 of a band h high, where
// all else there is slight beside it: what a ring or a fold adds to a title's end.
func barAlone(cols []float32, x0, x1, h int) (from, to int, ok bool) {
	const (
		inked  = 0.45 // of a bar's columns, letters included, over a stretch as long as it is high
		slight = 0.1  // of the bar's ink
	)
	around := raster.Plane{W: x1 - x0, H: 1, Pix: cols[x0:x1]}.BlurXY(0.4*float64(h), 0).Pix
	for x := 0; x < len(around); x++ {
		start := x
		for x < len(around) && around[x] > inked {
			x++
		}
		if x-start > to-from {
			from, to = start, x
		}
	}
	from, to = x0+from, x0+to
	// At its ends the stretch was half beside the bar.
	for from < to && cols[from] < inked {
		from++
	}
	for from < to && cols[to-1] < inked {
		to--
	}
	bar := mean(cols[from:to]) * float64(to-from)
	rest := mean(cols[x0:x1])*float64(x1-x0) - bar
	return from, to, to-from > 2*h && rest < slight*bar
}

// isBar tells a bar with bare letters in it from bold print: its upper and lower edges are
// inked from end to end, though on other rows where it lies askew. Letters may reach up to
// one of them and open it: no other print is as dark as a bar then is.
func isBar(p raster.Plane, b Band, fill float64) bool {
	const (
		inked = 0.6
		share = 0.92 // of the columns
		dense = 0.6
	)
	edge := max(b.Height()/5, 2)
	dark := func(y0, y1 int) bool {
		n := 0
		for x := b.X0; x < b.X1; x++ {
			for y := y0; y < y1; y++ {
				if p.At(x, y) > inked {
					n++
					break
				}
			}
		}
		return float64(n) > share*float64(b.X1-b.X0)
	}
	upper, lower := dark(b.Y0, b.Y0+edge), dark(b.Y1-edge, b.Y1)
	return upper && lower || fill > dense && (upper || lower)
}

// holdsLetters tells the tall letters of a line, in rows beyond its band, from a
// stain that crosses to the next line: they hold a good share of the ink of the
// band's strongest row, or some of it in more than one place.
func holdsLetters(p raster.Plane, b Band, y0, y1 int, peak float32, cap float64) bool {
	if y1 <= y0 {
		return false
	}
	cols := strong(p, y0, y1)[b.X0:b.X1]
	ink := mean(cols)
	if ink >= 0.06*float64(peak) {
		return true
	}
	places, last := 0, math.Inf(-1)
	for x, v := range cols {
		if v < 0.2 {
			continue
		}
		if float64(x)-last > 0.5*cap {
			places++
		}
		last = float64(x)
	}
	return places > 1 && ink >= 0.02*float64(peak)
}

// reach is how far a band's print reaches up and down, between lo and hi, as far
// as rows hold a share of its strongest row: a few tall letters among small ones
// hold too little ink to be seen in a profile over the whole paper.
func reach(p raster.Plane, b Band, lo, hi int, share float32, cap float64) (y0, y1 int) {
	row := func(y int) float32 {
		var n float32
		for _, v := range p.Row(y)[b.X0:b.X1] {
			n += v * v
		}
		return n / float32(b.X1-b.X0)
	}
	var peak float32
	for y := b.Y0; y < b.Y1; y++ {
		peak = max(peak, row(y))
	}
	y0, y1 = b.Y0, b.Y1
	lo, hi = max(lo, b.Y0-int(1.3*cap)), min(hi, b.Y1+int(0.7*cap))
	barest := peak
	for y := lo; y < hi; y++ {
		barest = min(barest, row(y))
	}
	least := max(share*peak, 2*barest+0.002)
	grow := func(y, step, end int) int {
		from := y
		for y != end && row(min(y, y+step)) > least {
			y += step
		}
		if !holdsLetters(p, b, min(from, y), max(from, y), peak, cap) {
			return from
		}
		return y
	}
	return grow(y0, -1, lo), grow(y1, 1, hi)
}

// columns is the mean ink of each column within rows y0..y1.
func columns(p raster.Plane, y0, y1 int) []float32 {
	return meanOfRows(p, y0, y1, func(v float32) float32 { return v })
}

// strong is columns with each pixel squared: strokes count in full, the grain of
// paper and what a stripe or stain leaves hardly.
func strong(p raster.Plane, y0, y1 int) []float32 {
	return meanOfRows(p, y0, y1, func(v float32) float32 { return v * v })
}

func meanOfRows(p raster.Plane, y0, y1 int, of func(float32) float32) []float32 {
	out := make([]float32, p.W)
	for y := y0; y < y1; y++ {
		for x, v := range p.Row(y) {
			out[x] += of(v)
		}
	}
	n := 1 / float32(max(y1-y0, 1))
	for x := range out {
		out[x] *= n
	}
	return out
}

// extent is from the first to the last column with print. A mark that stands
// alone, three capitals or more from its neighbour and slimmer than a letter,
// is dirt.
func extent(cols []float32, cap float64) (x0, x1 int) {
	t := 0.022 + 0.1*float32(mean(cols))
	type run struct{ x0, x1 int }
	var all []run
	for x := 0; x < len(cols); x++ {
		if cols[x] < t {
			continue
		}
		r := run{x, x + 1}
		for r.x1 < len(cols) && float64(r.x1-x) < 0.6*cap {
			if cols[r.x1] >= t {
				x = r.x1
			}
			r.x1++
		}
		r.x1 = x + 1
		all = append(all, r)
	}
	slim := func(r run) bool { return float64(r.x1-r.x0) < 0.25*cap }
	for len(all) > 1 && slim(all[0]) && float64(all[1].x0-all[0].x1) > 3*cap {
		all = all[1:]
	}
	for n := len(all) - 1; n > 0 && slim(all[n]) && float64(all[n].x0-all[n-1].x1) > 3*cap; n-- {
		all = all[:n]
	}
	if len(all) == 0 {
		return 0, 0
	}
	return all[0].x0, all[len(all)-1].x1
}

func mean(v []float32) float64 {
	var s float64
	for _, x := range v {
		s += float64(x)
	}
	return s / math.Max(float64(len(v)), 1)
}
