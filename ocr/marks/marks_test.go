package marks

import (
	"image"
	"image/color"
	"math"
	"testing"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// sheet is a slip of 480 x 640 pixels that fills its picture: twelve lines of marks the
// size of characters, capitals capital pixels high.
const capital = 16

func sheet() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 480, 640))
	for y := range 640 {
		for x := range 480 {
			v := uint8(224 + (x*7+y*13)%5)
			img.SetRGBA(x, y, color.RGBA{v, v, v - 6, 255})
		}
	}
	for l := range 12 {
		for c := range 24 {
			if c%7 == 6 {
				continue
			}
			x, y := 60+c*15, 100+l*28
			for d := range capital {
				for w := range 3 { // an N or so: two stems and what joins them
					img.SetRGBA(x+w, y+d, color.RGBA{50, 50, 52, 255})
					img.SetRGBA(x+8+w, y+d, color.RGBA{50, 50, 52, 255})
					img.SetRGBA(x+d/2+w, y+d, color.RGBA{50, 50, 52, 255})
				}
			}
		}
	}
	return img
}

// stroke lays ink along a path of places, wide pixels wide: light is multiplied.
func stroke(img *image.RGBA, wide float64, ink [3]float64, path func(t float64) (x, y float64)) {
	on := map[image.Point]bool{}
	for i := range 4000 {
		x, y := path(float64(i) / 4000)
		for dy := -wide; dy <= wide; dy++ {
			for dx := -wide; dx <= wide; dx++ {
				if math.Hypot(dx, dy) <= wide/2 {
					on[image.Pt(int(x+dx), int(y+dy))] = true
				}
			}
		}
	}
	for p := range on {
		if !p.In(img.Rect) {
			continue
		}
		c := img.RGBAAt(p.X, p.Y)
		img.SetRGBA(p.X, p.Y, color.RGBA{uint8(float64(c.R) * ink[0]), uint8(float64(c.G) * ink[1]), uint8(float64(c.B) * ink[2]), 255})
	}
}

func ring(cx, cy, rx, ry float64) func(t float64) (x, y float64) {
	return func(t float64) (x, y float64) {
		return cx + rx*math.Cos(6.5*t), cy + ry*math.Sin(6.5*t)
	}
}

func straight(x0, y0, x1, y1 float64) func(t float64) (x, y float64) {
	return func(t float64) (x, y float64) { return x0 + (x1-x0)*t, y0 + (y1-y0)*t }
}

// stamp is a frame with bars for letters.
func stamp(img *image.RGBA, ink [3]float64, x, y, w, h float64) {
	stroke(img, 5, ink, func(t float64) (float64, float64) {
		switch side := 4 * t; {
		case side < 1:
			return x + w*side, y
		case side < 2:
			return x + w, y + h*(side-1)
		case side < 3:
			return x + w*(3-side), y + h
		default:
			return x, y + h*(4-side)
		}
	})
	for i := range 6 {
		at := x + w*(float64(i)+0.6)/6.5
		stroke(img, 6, ink, straight(at, y+h*0.25, at+6, y+h*0.75))
	}
}

var (
	blue   = [3]float64{0.2, 0.3, 0.75}
	red    = [3]float64{0.85, 0.25, 0.28}
	black  = [3]float64{0.2, 0.2, 0.21}
	violet = [3]float64{0.5, 0.28, 0.72}
	coffee = [3]float64{0.85, 0.77, 0.62}
)

var whole = [][4]record.Point{{{X: 2, Y: 2}, {X: 478, Y: 2}, {X: 478, Y: 638}, {X: 2, Y: 638}}}

// TestByColour: coloured ink is found and taken off, what else is coloured is left alone.
func TestByColour(t *testing.T) {
	for name, v := range map[string]struct {
		draw func(*image.RGBA)
		want []record.MarkKind
	}{
		"nothing":          {func(*image.RGBA) {}, nil},
		"a blue ring":      {func(m *image.RGBA) { stroke(m, 6, blue, ring(200, 192, 90, 40)) }, []record.MarkKind{record.Handwriting}},
		"a red tick":       {func(m *image.RGBA) { stroke(m, 6, red, straight(300, 460, 380, 560)) }, []record.MarkKind{record.Handwriting}},
		"a violet stamp":   {func(m *image.RGBA) { stamp(m, violet, 80, 470, 220, 90) }, []record.MarkKind{record.Stamp}},
		"ring and stamp":   {func(m *image.RGBA) { stamp(m, red, 80, 470, 220, 90); stroke(m, 6, blue, ring(200, 192, 90, 40)) }, []record.MarkKind{record.Handwriting, record.Stamp}},
		"a black ring":     {func(m *image.RGBA) { stroke(m, 6, black, ring(200, 192, 90, 40)) }, nil},
		"a cup's foot":     {func(m *image.RGBA) { stroke(m, 12, coffee, ring(240, 300, 120, 120)) }, nil},
		"a stripe":         {func(m *image.RGBA) { stroke(m, 60, red, straight(420, 100, 420, 640)) }, nil},
		"the edge of tape": {func(m *image.RGBA) { stroke(m, 4, blue, straight(20, 470, 460, 474)) }, nil},
		"a speck of blue":  {func(m *image.RGBA) { stroke(m, 6, blue, straight(300, 560, 304, 562)) }, nil},
		"a stripe, a ring": {func(m *image.RGBA) {
			stroke(m, 60, red, straight(430, 100, 430, 640))
			stroke(m, 6, blue, ring(200, 192, 90, 40))
		}, []record.MarkKind{record.Handwriting}},
	} {
		clean, img := sheet(), sheet()
		v.draw(img)
		got := ByColour(pixels.Split(img), whole)
		kinds := map[record.MarkKind]int{}
		for _, m := range got.Marks {
			kinds[m.Kind]++
		}
		for _, k := range v.want {
			kinds[k]--
		}
		if len(got.Marks) != len(v.want) || kinds[record.Handwriting] != 0 || kinds[record.Stamp] != 0 {
			t.Errorf("%s: found %+v, want %v", name, got.Marks, v.want)
			continue
		}
		if (got.Plain == nil) != (len(v.want) == 0) {
			t.Errorf("%s: a picture without marks: %v", name, got.Plain != nil)
		}
		if got.Plain == nil {
			continue
		}
		if lost, left := compare(clean, img, got.Plain); name != "a stripe, a ring" && (lost > 0.25 || left > 0.08) {
			t.Errorf("%s: %.2f of the print below ink is lost, %.2f of the ink on paper is left", name, lost, left)
		}
	}
}

// compare says which share of the dark pixels of clean below ink is bright on plain, and
// which share of the bright ones below ink is dark.
func compare(clean, inked *image.RGBA, plain *image.Gray) (lost, left float64) {
	var print, gone, paper, kept float64
	for y := range 640 {
		for x := range 480 {
			c, k := clean.RGBAAt(x, y), inked.RGBAAt(x, y)
			if c == k || int(c.G)-int(k.G) < 20 && c.R > 100 {
				continue
			}
			v := plain.GrayAt(x, y).Y
			if c.R < 100 {
				if print++; v > 170 {
					gone++
				}
			} else if paper++; v < 140 {
				kept++
			}
		}
	}
	return gone / math.Max(print, 1), kept / math.Max(paper, 1)
}

// TestByShape: black ink is told by its shape, and what is straight, small or pale is no
// mark.
func TestByShape(t *testing.T) {
	pale := [3]float64{0.75, 0.75, 0.75}
	tick := func(m *image.RGBA, ink [3]float64) {
		stroke(m, 6, ink, straight(300, 500, 330, 560))
		stroke(m, 6, ink, straight(330, 560, 390, 470))
	}
	for name, v := range map[string]struct {
		draw func(*image.RGBA)
		want []record.MarkKind
	}{
		"nothing":      {func(*image.RGBA) {}, nil},
		"a ring":       {func(m *image.RGBA) { stroke(m, 6, black, ring(200, 192, 90, 40)) }, []record.MarkKind{record.Handwriting}},
		"a tick":       {func(m *image.RGBA) { tick(m, black) }, []record.MarkKind{record.Handwriting}},
		"a stamp":      {func(m *image.RGBA) { stamp(m, black, 80, 470, 220, 90) }, []record.MarkKind{record.Stamp}},
		"a scratch":    {func(m *image.RGBA) { stroke(m, 3, black, straight(80, 90, 330, 600)) }, nil},
		"a cup's foot": {func(m *image.RGBA) { stroke(m, 12, pale, ring(240, 300, 120, 120)) }, nil},
		"a stain":      {func(m *image.RGBA) { stroke(m, 70, black, straight(300, 540, 340, 560)) }, nil},
	} {
		clean, img := sheet(), sheet()
		v.draw(img)
		luma := raster.FromGray(pixels.Split(img).Luma)
		got := ByShape(Seen{Luma: luma, Cap: capital, Level: density(224, 50)})
		if len(got.Marks) != len(v.want) || len(v.want) > 0 && got.Marks[0].Kind != v.want[0] {
			t.Errorf("%s: found %+v, want %v", name, got.Marks, v.want)
		}
		if len(v.want) == 0 && len(got.Off)+len(got.Ink) > 0 {
			t.Errorf("%s: %d pixels taken off, %d inked", name, len(got.Off), len(got.Ink))
		}
		for _, k := range got.Off {
			x, y := int(k)%480, int(k)/480
			if row := (y - 100 + 28) % 28; y > 96 && y < 410 && x > 70 && x < 400 && row > 3 && row < capital-3 && clean.RGBAAt(x, y).R < 100 {
				t.Errorf("%s: print is taken off at %d,%d", name, x, y)
				break
			}
		}
	}
}
