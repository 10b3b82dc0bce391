package grid

import (
	"math"

	"tankroll/ocr/glyph"
	"tankroll/ocr/raster"
	"tankroll/ocr/slipnet"
)

// Cell fills out with the picture of cell k as package glyph wants it: print
// as 1 on 0. dy moves the base line down by so many capitals.
func (l Line) Cell(p raster.Plane, k int, dy float64, inverse bool, out []float32) {
	x0 := (l.Border(k)+l.Border(k+1))/2 - (0.5+glyph.Side)*l.Step
	y0 := l.Base + (dy-1-glyph.Above)*l.Cap
	sx := l.Step * (1 + 2*glyph.Side) / glyph.W
	sy := l.Cap * (1 + glyph.Above + glyph.Below) / glyph.H
	var s raster.Sampler
	s.Columns(p, x0, sx, glyph.W)
	for y := range glyph.H {
		SampleRow(&s, y0+float64(y)*sy, sy, inverse, out[y*glyph.W:(y+1)*glyph.W])
	}
}

// SampleRow fills out with a row that is sy high, from y0 on.
func SampleRow(s *raster.Sampler, y0, sy float64, inverse bool, out []float32) {
	s.Row(y0, sy, out)
	if inverse {
		for x, v := range out {
			out[x] = max(1-v, 0)
		}
	}
}

// Inked is how much print a cell's own part holds, 0 to 1 for its strongest
// pixels: a blank cell has next to none.
func Inked(cell []float32) float64 {
	sum := 0.0
	for y := 2; y < glyph.H-2; y++ {
		for x := 2; x < glyph.W-2; x++ {
			v := float64(cell[y*glyph.W+x])
			sum += v * v
		}
	}
	return math.Sqrt(sum / float64((glyph.W-4)*(glyph.H-4)))
}

// Strip is the picture of the whole line as package slipnet wants it, with one
// bare cell at each end: print as 1 on 0. dy moves the base line down by so many
// capitals, from the first cell to the last in even steps.
func (l Line) Strip(p raster.Plane, dy []float64, inverse bool) slipnet.Line {
	out := slipnet.NewLine(l.Cells + 2)
	w := out.Cells * slipnet.W
	sy := l.Cap * (1 + slipnet.Above + slipnet.Below) / slipnet.H
	tops := make([]float64, out.Cells)
	var s raster.Sampler
	for k := range out.Cells {
		left := l.Border(k - 1)
		sx := (l.Border(k) - left) / slipnet.W
		y0 := l.Base + (between(dy, (float64(k)-0.5)/float64(max(l.Cells, 1)))-1-slipnet.Above)*l.Cap
		tops[k] = y0
		s.Columns(p, left, sx, slipnet.W)
		for y := range slipnet.H {
			from := y*w + k*slipnet.W
			SampleRow(&s, y0+float64(y)*sy, sy, inverse, out.Pix[from:from+slipnet.W])
		}
	}
	if !inverse {
		l.takeOthers(out, tops, sy)
	}
	return out
}

// between reads v, whose entries each stand for an even part of 0 to 1, at t.
func between(v []float64, t float64) float64 {
	at := t*float64(len(v)) - 0.5
	i := min(max(int(math.Floor(at)), 0), len(v)-1)
	j := min(i+1, len(v)-1)
	f := min(max(at-float64(i), 0), 1)
	return v[i]*(1-f) + v[j]*f
}
