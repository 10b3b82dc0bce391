package ocr

import (
	"image"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// barOnly is the rows around a band of inverse print, and which is the first of them, with
// nothing but its bar: what lies beyond its edges is bare paper, which turned round would be
// print all along the line. The bar may lie askew, so its edge is looked for in every column.
func barOnly(p raster.Plane, b lines.Band) (bar raster.Plane, top int) {
	const (
		solid = 0.7  // ink from which a pixel is the bar's
		edge  = 0.15 // of the bar's height within which its edge lies
	)
	reach := int(edge * float64(b.Height()))
	around := image.Rect(0, b.Y0-b.Height(), p.W, b.Y1+b.Height()).Intersect(image.Rect(0, 0, p.W, p.H))
	bar, top = p.Sub(around), around.Min.Y
	upper, lower := b.Y0-top, b.Y1-top
	for x := range bar.W {
		for y := 0; y < upper+reach; y++ {
			if y >= upper-reach && bar.At(x, y) >= solid {
				break
			}
			bar.Pix[y*bar.W+x] = 1
		}
		for y := bar.H - 1; y >= lower-reach; y-- {
			if y < lower+reach && bar.At(x, y) >= solid {
				break
			}
			bar.Pix[y*bar.W+x] = 1
		}
	}
	return bar, top
}
