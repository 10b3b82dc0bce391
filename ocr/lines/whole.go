package lines

import "tankroll/ocr/raster"

// wholeLetters puts runs together whose strokes go on from one into the next: of
// a line of double height the profile may see the few tall letters' tops apart
// from the rest. Rules and lines that merely lie close do not share their strokes.
func wholeLetters(p raster.Plane, s []span, cap float64) []span {
	const (
		gap     = 0.12 // in capitals
		tallest = 2.7  // of double height, with tails
		part    = 0.8  // one of the two is less high than a line
		shared  = 0.6  // of the columns inked in the less high of the two
	)
	var out []span
	for _, r := range s {
		n := len(out) - 1
		if n < 0 {
			out = append(out, r)
			continue
		}
		last := out[n]
		low := min(float64(last.height()), float64(r.height()))
		whole := float64(r.y1 - last.y0)
		if float64(r.y0-last.y1) <= gap*cap && low < part*cap && whole > 1.4*cap && whole < tallest*cap &&
			(strokesShared(p, last.y1, r.y0, last.height() < r.height()) > shared || sparse(p, last, cap)) {
			out[n].y1, out[n].peak = r.y1, max(last.peak, r.peak)
			continue
		}
		out = append(out, r)
	}
	return out
}

// strokesShared is the share of columns inked right above row y0 that are inked
// right below row y1 too, or the other way round.
func strokesShared(p raster.Plane, y0, y1 int, down bool) float64 {
	const by = 3
	from, to := max(y0-by, 0), min(y1+by, p.H-1)
	if !down {
		from, to = to, from
	}
	both, one := 0, 0
	for x := range p.W {
		if p.At(x, from) > 0.4 {
			one++
			if max(p.At(x-1, to), p.At(x, to), p.At(x+1, to)) > 0.4 {
				both++
			}
		}
	}
	return float64(both) / float64(max(one, 1))
}

// sparse tells the tops of a few tall letters from a rule: they leave most of
// their width bare.
func sparse(p raster.Plane, s span, cap float64) bool {
	const most = 0.35
	cols := strong(p, s.y0, s.y1)
	x0, x1 := extent(cols, cap)
	inked := 0
	for _, v := range cols[x0:x1] {
		if v > 0.15 {
			inked++
		}
	}
	return float64(s.height()) < 0.5*cap && float64(inked) < most*float64(x1-x0)
}
