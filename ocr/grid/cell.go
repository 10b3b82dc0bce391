package grid

import (
	"math"

	"tankroll/ocr/glyph"
	"tankroll/ocr/raster"
)

// Cell fills out with the picture of cell k as package glyph wants it: print
// as 1 on 0. dy moves the base line down by so many capitals.
func (l Line) Cell(p raster.Plane, k int, dy float64, inverse bool, out []float32) {
	x0 := (l.Border(k)+l.Border(k+1))/2 - (0.5+glyph.Side)*l.Step
	y0 := l.Base + (dy-1-glyph.Above)*l.Cap
	sx := l.Step * (1 + 2*glyph.Side) / glyph.W
	sy := l.Cap * (1 + glyph.Above + glyph.Below) / glyph.H
	for y := range glyph.H {
		ya, yb := y0+(float64(y)+0.25)*sy-0.5, y0+(float64(y)+0.75)*sy-0.5
		for x := range glyph.W {
			xa, xb := x0+(float64(x)+0.25)*sx-0.5, x0+(float64(x)+0.75)*sx-0.5
			v := (p.Bilinear(xa, ya) + p.Bilinear(xb, ya) + p.Bilinear(xa, yb) + p.Bilinear(xb, yb)) / 4
			if inverse {
				v = max(1-v, 0)
			}
			out[y*glyph.W+x] = v
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
