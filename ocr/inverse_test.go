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
