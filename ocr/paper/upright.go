package paper

import (
	"math"
	"slices"

	"tankroll/ocr/raster"
)

// Which way lines run is told by smearing print until the letters of a line
// flow together but the lines do not: brightness then changes across lines and
// hardly along them. Every part of the slip has a vote, so that one long fold
// or ring of a cup does not outshout the print.

// LineAxis compares how print on p (bright on 0) changes down and across:
// above 0 lines run across, below 0 they run down; the size, in natural
// logarithms, says how clearly. em is the height of a character within a
// factor of two.
func LineAxis(p raster.Plane, em float64) float64 {
	sum := 0.0
	for _, s := range []float64{0.18, 0.3} {
		sum += axisAt(p.Reduce(2).Blur(s*em/2), int(3*em)) / 2
	}
	return sum
}

func axisAt(p raster.Plane, block int) float64 {
	type part struct{ down, across float64 }
	var parts []part
	for y0 := 0; y0 < p.H; y0 += block {
		for x0 := 0; x0 < p.W; x0 += block {
			var a part
			for y := y0 + 1; y < min(y0+block, p.H-1); y++ {
				up, row, low := p.Row(y-1), p.Row(y), p.Row(y+1)
				for x := x0 + 1; x < min(x0+block, p.W-1); x++ {
					dx, dy := float64(row[x+1]-row[x-1]), float64(low[x]-up[x])
					a.across, a.down = a.across+dx*dx, a.down+dy*dy
				}
			}
			parts = append(parts, a)
		}
	}
	// No part counts more than a typical inked one.
	var energy []float32
	for _, a := range parts {
		if e := a.down + a.across; e > 0 {
			energy = append(energy, float32(e))
		}
	}
	cap := float64(raster.Quantile(energy, 0.7))
	down, across := 1e-9, 1e-9
	for _, a := range parts {
		e := a.down + a.across
		if e <= 0 {
			continue
		}
		w := math.Min(1, cap/e)
		down, across = down+w*a.down, across+w*a.across
	}
	return math.Log(down / across)
}

// PrintOnly returns p (bright on 0) without connected marks that are larger
// than print: folds, rings, torn edges. It is for measuring only: print that
// touches a fold is lost too. em is the height of a character within a factor
// of two.
func PrintOnly(p raster.Plane, em float64) raster.Plane {
	most := int(largestPrint * em)
	return filtered(p, func(w, h, n int) bool {
		return min(w, h) <= most && (max(w, h) <= 3*most || n*2 > w*h)
	})
}

// LettersOnly is p without marks as small as the dots of a leader, which lie
// lower than letters and would pull a line's height down. Print that is small
// pieces anyway, being faded, is kept.
func LettersOnly(p raster.Plane, em float64) raster.Plane {
	least := int(leaderDot * em)
	kept, dots := 0, 0
	out := filtered(p, func(w, h, n int) bool {
		if max(w, h) > least {
			kept += n
			return true
		}
		dots += n
		return false
	})
	if dots > kept/2 {
		return p
	}
	return out
}

// filtered wipes the connected marks that keep refuses; it is told their width,
// height and number of pixels.
func filtered(p raster.Plane, keep func(w, h, n int) bool) raster.Plane {
	const inked = 0.25
	out := raster.Plane{W: p.W, H: p.H, Pix: slices.Clone(p.Pix)}
	for _, m := range p.Marks(inked) {
		if keep(m.Box.Dx(), m.Box.Dy(), len(m.Places)) {
			continue
		}
		for _, k := range m.Places {
			out.Pix[k] = 0
		}
	}
	return out
}

const (
	// largestPrint is the height in characters beyond which a mark is not
	// print: double height letters in a bar of inverse print, and some room.
	largestPrint = 3.5
	leaderDot    = 0.25
)

func extent(part []int32, width int) (w, h int) {
	x0, y0, x1, y1 := width, int(part[0])/width, 0, 0
	for _, k := range part {
		x, y := int(k)%width, int(k)/width
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	return x1 - x0 + 1, y1 - y0 + 1
}
