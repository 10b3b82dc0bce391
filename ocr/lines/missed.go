package lines

import (
	"slices"

	"tankroll/ocr/raster"
)

// nearby is, for each row, how much its most inked stretch of about four
// characters is inked. A profile over the whole width cannot see a line of one
// short word beside long ones; this one sees all lines alike, but also dirt.
func nearby(p raster.Plane, cap float64) []float32 {
	w := min(max(int(3*cap), 1), max(p.W, 1))
	col := raster.New(1, p.H)
	for y := range p.H {
		row := p.Row(y)
		var sum, top float32
		for x, v := range row {
			sum += v * v
			if x >= w {
				sum -= row[x-w] * row[x-w]
			}
			top = max(top, sum)
		}
		col.Pix[y] = top / float32(w)
	}
	return col.Blur(0.05 * cap).Pix
}

const (
	// shareOfUsual is how strong a missed line must be, in a stretch of four
	// characters, against the usual line of the slip. One of two letters holds
	// half of it, one of a narrow figure that stands alone a sixth.
	shareOfUsual = 0.14
	// clearance keeps what hangs from the lines above and below from being
	// taken for one of its own, in capitals.
	clearance = 0.08
)

// missed finds the lines that the profile over the whole width passed over: in
// the gaps between those found, about one capital high and clear of both sides.
func missed(p raster.Plane, found []span, cap float64) []span {
	prof := nearby(p, cap)
	usual := usualInk(prof, found, cap)
	if usual == 0 {
		return nil
	}
	var out []span
	from := 0
	for i := range len(found) + 1 {
		to := len(prof)
		if i < len(found) {
			to = found[i].y0
		}
		out = append(out, within(prof, from, to, shareOfUsual*usual, cap)...)
		if i < len(found) {
			from = found[i].y1
		}
	}
	return out
}

// usualInk is the strength of the middle one of the lines found.
func usualInk(prof []float32, found []span, cap float64) float32 {
	var tops []float32
	for _, s := range found {
		if full(s, cap) {
			tops = append(tops, slices.Max(prof[s.y0:s.y1]))
		}
	}
	const few = 3
	if len(tops) < few {
		return 0
	}
	return raster.Quantile(tops, 0.5)
}

// within lists the runs of rows from..to that are as high as a line, stronger
// than least and clear of both ends.
func within(prof []float32, from, to int, least float32, cap float64) []span {
	clear := int(clearance*cap) + 1
	var out []span
	for y := from; y < to; y++ {
		if prof[y] <= least {
			continue
		}
		s := span{y0: y}
		for y < to && prof[y] > 0.6*least {
			s.peak = max(s.peak, prof[y])
			y++
		}
		s.y1 = y
		high := float64(s.height())
		if high > 0.6*cap && high < 1.6*cap && s.y0 >= from+clear && s.y1 <= to-clear {
			out = append(out, s)
		}
	}
	return out
}
