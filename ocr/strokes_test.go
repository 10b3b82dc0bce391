package ocr

import (
	"testing"

	"tankroll/ocr/raster"
)

// A mark that runs down the slip goes, leaning or not; print and the bars of a
// table stay.
func TestTakeStrokes(t *testing.T) {
	const cap, pitch = 30, 44
	p := raster.New(400, 12*pitch)
	for y := range p.H {
		for x := range 4 {
			p.Row(y)[300+y/80+x] = 0.8 // leans by one in eighty
		}
		if y%pitch < 38 { // bars of a table, higher than letters, and a letter
			for x := range 4 {
				p.Row(y)[60+x] = 1
			}
		}
		if y%pitch < cap {
			for x := range 4 {
				p.Row(y)[100+x] = 1
			}
		}
	}
	takeStrokes(p, cap)
	sum := func(x0, x1 int) (s float32) {
		for y := range p.H {
			for _, v := range p.Row(y)[x0:x1] {
				s += v
			}
		}
		return s
	}
	if s := sum(290, 320); s > 0.03*0.8*4*float32(p.H) {
		t.Errorf("the mark kept ink of %.0f", s)
	}
	if s := sum(60, 64); s != 12*38*4 {
		t.Errorf("bars have ink of %.0f, had %d", s, 12*38*4)
	}
	if s := sum(100, 104); s != 12*cap*4 {
		t.Errorf("letters have ink of %.0f, had %d", s, 12*cap*4)
	}
}
