package ink

import (
	"image"

	"tankroll/ocr/raster"
)

// Rise is how steeply print rises from its paper: the steepest changes of
// density over so many pixels, as a share of how dark the print is there. Each
// of the places, squares about a character in size where print is expected, has
// one vote, so that neither the bare part of a slip nor one sharp edge on it
// counts. Of the two directions the softer one is taken: a hand that moves
// blurs along its way only. It is 0 when no place holds print.
func (d Density) Rise(pixels int, places []image.Rectangle) float64 {
	// printed is the share of the print's level from which a place holds print:
	// low, since a stain as dark as fresh print sets the level of a faded slip.
	const printed = 0.25
	floor := float32(max(printed*d.Level, 4*d.Noise))
	var across, down, part []float32
	whole := image.Rect(0, 0, d.W-pixels, d.H-pixels)
	for _, r := range places {
		if r = r.Intersect(whole); r.Empty() {
			continue
		}
		part = part[:0]
		for y := r.Min.Y; y < r.Max.Y; y += 2 {
			part = append(part, d.Row(y)[r.Min.X:r.Max.X]...)
		}
		dark := raster.Quantile(part, steepest)
		if dark < floor {
			continue
		}
		across = append(across, d.steepness(r, image.Pt(pixels, 0), part)/dark)
		down = append(down, d.steepness(r, image.Pt(0, pixels), part)/dark)
	}
	return float64(min(raster.Quantile(across, 0.5), raster.Quantile(down, 0.5)))
}

// steepest is the quantile of a place's changes, and of its density, that is
// taken for the greatest: the greatest itself is grain.
const steepest = 0.97

// steepness is how much the density of a place changes over step where it
// changes most. buf is room to work in.
func (d Density) steepness(r image.Rectangle, step image.Point, buf []float32) float32 {
	buf = buf[:0]
	for y := r.Min.Y; y < r.Max.Y; y += 2 {
		a := d.Row(y)[r.Min.X:r.Max.X]
		b := d.Row(y + step.Y)[r.Min.X+step.X : r.Max.X+step.X]
		for i, v := range a {
			s := b[i] - v
			buf = append(buf, max(s, -s))
		}
	}
	return raster.Quantile(buf, steepest)
}
