package ink

import (
	"math/rand/v2"
	"testing"

	"tankroll/ocr/raster"
)

// Print in a dark, mottled stripe is lifted off it as from bare paper, up to its edges, and
// the stripe leaves no marks of its own.
func TestPrintOnStripe(t *testing.T) {
	const em, w, h = 24, 480, 480
	const from, to = 200, 296 // the stripe
	p := raster.New(w, h)
	rng := rand.New(rand.NewPCG(5, 6))
	mottle := raster.New(w/12, h/12)
	for i := range mottle.Pix {
		mottle.Pix[i] = float32(rng.NormFloat64()) * 0.08
	}
	mottle = mottle.Resize(w, h)
	// Bold letters: two strokes with a bar between them.
	stroke := func(x, y int) bool {
		u, v := x%14, y%36
		return v < 18 && (u < 4 || u >= 7 && u < 11 || u < 11 && v >= 7 && v < 11) && y > 30 && y < h-30 && x > 30 && x < w-30
	}
	for y := range h {
		for x := range w {
			v := float32(232)
			if x >= from && x < to {
				v = 140 * (1 + mottle.At(x, y))
			}
			if stroke(x, y) {
				v *= 0.4
			}
			p.Pix[y*w+x] = v
		}
	}
	d := Lift(p.Blur(0.7), em)
	// of is the mean of print, and how much of the paper beside it looks like faint print.
	of := func(x0, x1 int) (print, dirt float64) {
		var prints, marked, papers float64
		for y := 40; y < h-40; y++ {
			for x := x0; x < x1; x++ {
				v := float64(d.At(x, y)) / d.Level
				switch {
				case stroke(x-1, y) && stroke(x+1, y) && stroke(x, y-1) && stroke(x, y+1):
					print, prints = print+v, prints+1
				case y%36 > 22 && y%36 < 32:
					if papers++; v > 0.12 {
						marked++
					}
				}
			}
		}
		return print / prints, marked / papers
	}
	for _, part := range []struct {
		name   string
		x0, x1 int
	}{{"on bare paper", 60, 150}, {"before the stripe", from - 14, from}, {"at its edge", from, from + 14}, {"in its middle", from + 30, to - 30}, {"at its other edge", to - 14, to}, {"after it", to, to + 14}} {
		print, dirt := of(part.x0, part.x1)
		t.Logf("%s %.2f %.2f", part.name, print, dirt)
		if print < 0.7 || print > 1.3 {
			t.Errorf("print %s is %.2f of print", part.name, print)
		}
		if dirt > 0.1 {
			t.Errorf("%.2f of the paper %s looks like print", dirt, part.name)
		}
	}
}
