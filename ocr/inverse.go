package ocr

import (
	"image"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// barOnly is the plane with nothing but the bar of inverse print of a band: what lies
// beyond its edges is bare paper, which turned round would be print all along the line.
// The bar may lie askew, so its edge is looked for in every column.
func barOnly(p raster.Plane, b lines.Band) raster.Plane {
	const (
		solid = 0.7  // ink from which a pixel is the bar's
		edge  = 0.15 // of the bar's height within which its edge lies
	)
	reach := int(edge * float64(b.Height()))
	around := image.Rect(0, b.Y0-b.Height(), p.W, b.Y1+b.Height()).Intersect(image.Rect(0, 0, p.W, p.H))
	out := raster.Plane{W: p.W, H: p.H, Pix: append([]float32(nil), p.Pix...)}
	for x := range p.W {
		for y := around.Min.Y; y < b.Y0+reach; y++ {
			if y >= b.Y0-reach && p.At(x, y) >= solid {
				break
			}
			out.Pix[y*p.W+x] = 1
		}
		for y := around.Max.Y - 1; y >= b.Y1-reach; y-- {
			if y < b.Y1+reach && p.At(x, y) >= solid {
				break
			}
			out.Pix[y*p.W+x] = 1
		}
	}
	return out
}
