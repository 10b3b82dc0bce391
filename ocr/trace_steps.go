package ocr

import (
	"image"
	"image/color"
	"image/draw"
	"slices"

	"tankroll/ocr/ink"
	"tankroll/ocr/raster"
)

// lifting is what shows the steps of lifting print off its paper.
func (t *trace) lifting() ink.Seen {
	if t == nil {
		return ink.Seen{}
	}
	return ink.Seen{
		Paper:  func(luma raster.Plane) { t.plane("paper", luma, 0, 255) },
		Stains: func(density raster.Plane) { t.plane("stains-off", density, densest, 0) },
	}
}

// densest is the density that is shown black: stains are fainter than fresh print, which
// has about 1.
const densest = 0.3

// relaid writes what lies where a slip is taken to lie now.
func (t *trace) relaid(name string, original raster.Pyramid, v view) {
	if t != nil {
		t.plane(name, v.m.Flatten(original, v.scale), 0, 255)
	}
}

// copied is p as it is before a step that changes it; nothing where nobody looks.
func (t *trace) copied(p raster.Plane) raster.Plane {
	if t == nil {
		return raster.Plane{}
	}
	p.Pix = slices.Clone(p.Pix)
	return p
}

// taken draws the print that is left, and in red what a step has taken off it; nothing
// where it took nothing. It returns what is left for the next step.
func (t *trace) taken(name string, before, left raster.Plane) raster.Plane {
	if t == nil || slices.Equal(before.Pix, left.Pix) {
		return before
	}
	img := inColour(left)
	for i, v := range before.Pix {
		if off := v - left.Pix[i]; off > 0 {
			c := img.RGBAAt(i%left.W, i/left.W)
			pale := 1 - min(off, 1)
			c.R, c.G, c.B = max(c.R, 200), uint8(float32(c.G)*pale), uint8(float32(c.B)*pale)
			img.SetRGBA(i%left.W, i/left.W, c)
		}
	}
	t.image(name, img)
	return t.copied(left)
}

// layout frames the lines of a slip: those of print in green, bars of inverse print in
// violet, rules in blue, and on them their leaders in red.
func (t *trace) layout(name string, u upright) {
	if t == nil {
		return
	}
	img := inColour(u.even)
	for _, b := range u.layout.Bands {
		at := image.Rect(b.X0, b.Y0, b.X1, b.Y1)
		switch {
		case b.Rule:
			frame(img, at, color.RGBA{0, 0, 255, 255})
			continue
		case b.Inverse:
			frame(img, at, color.RGBA{140, 0, 190, 255})
			continue
		}
		frame(img, at, color.RGBA{0, 160, 0, 255})
		s := cutStrip(u.view, b, u.layout, 1)
		for _, l := range s.led {
			frame(img, image.Rect(s.x0+l.X0, b.Y0, s.x0+l.X1, b.Y1), color.RGBA{255, 0, 0, 255})
		}
	}
	t.image(name, img)
}

// inColour is print, 1 on 0, black on white, to be drawn on.
func inColour(p raster.Plane) *image.RGBA {
	g := p.Gray(1.3, 0)
	img := image.NewRGBA(g.Rect)
	draw.Draw(img, g.Rect, g, image.Point{}, draw.Src)
	return img
}

// frame draws the outline of a rectangle.
func frame(img *image.RGBA, r image.Rectangle, c color.RGBA) {
	for x := r.Min.X; x < r.Max.X; x++ {
		img.SetRGBA(x, r.Min.Y, c)
		img.SetRGBA(x, r.Max.Y-1, c)
	}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		img.SetRGBA(r.Min.X, y, c)
		img.SetRGBA(r.Max.X-1, y, c)
	}
}
