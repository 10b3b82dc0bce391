package ocr

import (
	"image"
	"slices"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// barOnly is the rows around a band of inverse print, and which is the first of them, with
// nothing but its bar: what lies beyond its edges is bare paper, which turned round would be
// print all along the line. The bar may lie askew, so its edges are looked for in every
// column; letters may reach up to them and open them, so what the columns beside say of a
// bar's edge counts more than what one says itself.
func barOnly(p raster.Plane, b lines.Band) (bar raster.Plane, top int) {
	const (
		ends   = 0.05 // of its height at its ends, which are soft
		solid  = 0.7  // ink from which a pixel is the bar's
		edge   = 0.15 // of the bar's height within which its edge lies
		beside = 0.7  // of its height, how far columns beside tell
		outer  = 0.25 // the share of them by which an edge lies further out
		slack  = 0.05 // of its height by which one column's edge may lie further in
	)
	reach := int(edge * float64(b.Height()))
	around := image.Rect(0, b.Y0-b.Height(), p.W, b.Y1+b.Height()).Intersect(image.Rect(0, 0, p.W, p.H))
	bar, top = p.Sub(around), around.Min.Y
	inset := int(ends * float64(b.Height()))
	x0, x1 := max(b.X0+inset, 0), min(b.X1-inset, p.W)
	upper, lower := b.Y0-top, b.Y1-top
	// How far inside of the outermost place of an edge it lies, by column.
	above, below := make([]float32, max(x1-x0, 0)), make([]float32, max(x1-x0, 0))
	for x := x0; x < x1; x++ {
		within := func(from, by int) float32 {
			for k := range 2 * reach {
				if y := from + k*by; y >= 0 && y < bar.H && bar.At(x, y) >= solid {
					return float32(k)
				}
			}
			return float32(2 * reach)
		}
		above[x-x0], below[x-x0] = within(upper-reach, 1), within(lower+reach-1, -1)
	}
	wide := int(beside * float64(b.Height()))
	for x := range bar.W {
		y0, y1 := bar.H, bar.H
		if x >= x0 && x < x1 {
			from, to := max(x-x0-wide, 0), min(x-x0+wide+1, len(above))
			inside := func(own []float32) int {
				q := raster.Quantile(slices.Clone(own[from:to]), outer)
				if v := own[x-x0]; v <= q+slack*float32(b.Height()) {
					return int(v)
				}
				return int(q)
			}
			y0, y1 = upper-reach+inside(above), lower+reach-inside(below)
		}
		for y := range bar.H {
			if y < y0 || y >= y1 {
				bar.Pix[y*bar.W+x] = 1
			}
		}
	}
	return bar, top
}
