package ocr

import (
	"testing"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// Beyond a bar of inverse print, which may lie askew, all is as dark as the bar; its
// letters stay.
func TestBarOnly(t *testing.T) {
	const w, h, top, bottom = 120, 60, 20, 44
	p := raster.New(w, h)
	askew := func(x int) int { return x / 60 } // falls by a pixel
	for x := range w {
		for y := top + askew(x); y < bottom+askew(x); y++ {
			p.Pix[y*w+x] = 1
		}
	}
	for y := 27; y < 38; y++ { // a letter
		p.Pix[y*w+50] = 0
	}
	out, first := barOnly(p, lines.Band{X0: 0, X1: w, Y0: top, Y1: bottom, Inverse: true})
	for y := range h {
		for x := range w {
			want := float32(1)
			if x == 50 && y >= 27 && y < 38 {
				want = 0
			}
			if got := out.At(x, y-first); y >= top-8 && y < bottom+8 && got != want {
				t.Fatalf("%d,%d is %v, want %v", x, y, got, want)
			}
		}
	}
	if p.At(0, 0) != 0 {
		t.Error("the plane itself was changed")
	}
}

// Letters may reach up to the edge of a bar and open it: they stay, and what lies beyond its
// soft ends is dark too.
func TestBarOnlyKeepsLettersAtItsEdge(t *testing.T) {
	const w, h, top, bottom = 160, 60, 20, 44
	p := raster.New(w, h)
	for x := 10; x < 150; x++ {
		for y := top; y < bottom; y++ {
			p.Pix[y*w+x] = 1
			if x == 10 || x == 149 {
				p.Pix[y*w+x] = 0.5
			}
		}
	}
	for x := 20; x < 140; x += 12 { // strokes from the upper edge on
		for y := top; y < 38; y++ {
			p.Pix[y*w+x], p.Pix[y*w+x+1] = 0, 0
		}
	}
	out, first := barOnly(p, lines.Band{X0: 10, X1: 150, Y0: top, Y1: bottom, Inverse: true})
	for x := range w {
		for y := top + 1; y < bottom; y++ {
			stroke := x >= 20 && x < 140 && (x-20)%12 < 2 && y < 38
			if got := out.At(x, y-first); (got == 0) != stroke || got != 0 && got != 1 {
				t.Fatalf("%d,%d is %v, a stroke: %v", x, y, got, stroke)
			}
		}
	}
}
