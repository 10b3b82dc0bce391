package ocr

import (
	"slices"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
	"tankroll/ocr/stance"
)

// stanceWidth is how much of a slip's print is looked at to tell head from foot,
// in pixels along its lines: some 150 characters.
const stanceWidth = 2200

// stance is how likely a slip stands on its feet, as package stance says of its
// fullest lines: above 0 it does.
func (r *Reader) stance(p raster.Plane, l lines.Layout) float64 {
	bands := slices.DeleteFunc(slices.Clone(l.Bands), func(b lines.Band) bool { return b.Rule })
	slices.SortStableFunc(bands, func(a, b lines.Band) int { return (b.X1 - b.X0) - (a.X1 - a.X0) })
	var set []raster.Plane
	room := stanceWidth
	for _, b := range bands {
		line := lineForStance(p, b, l)
		if room -= line.W; room < 0 {
			break
		}
		set = append(set, line)
	}
	return r.stand.Upright(set)
}

// lineForStance is the picture of a band as package stance wants it.
func lineForStance(p raster.Plane, b lines.Band, l lines.Layout) raster.Plane {
	base, cap := grid.Baseline(p, b, l)
	px := stance.Pixel * cap
	x0, y0 := float64(b.X0)-0.3*cap, base-0.5*cap-stance.H/2*px
	out := raster.New(min(int((float64(b.X1-b.X0)+0.6*cap)/px), stanceWidth/2), stance.H)
	var s raster.Sampler
	s.Columns(p, x0, px, out.W)
	for y := range out.H {
		grid.SampleRow(&s, y0+float64(y)*px, px, b.Inverse, out.Row(y))
	}
	return out
}
