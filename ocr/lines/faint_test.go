package lines

import (
	"testing"

	"tankroll/ocr/raster"
)

// Print that fades towards the left is followed to where it begins; specks of dirt
// left of a line, in the rows around it as well, are not.
func TestReachFaint(t *testing.T) {
	const cap = 30
	p := raster.New(700, 300)
	bar := func(x, y0, y1 int, v float32) {
		for y := y0; y < y1; y++ {
			for i := range 6 {
				p.Row(y)[x+i] = v
			}
		}
	}
	for i, fades := range []bool{false, true, false} {
		for x := 40; x < 600; x += 20 {
			v := float32(1)
			if fades && x < 200 {
				v = 0.12 + 0.88*float32(x-40)/160
			}
			if i == 2 && x < 140 {
				continue
			}
			bar(x, 40+i*80, 40+i*80+cap, v)
		}
	}
	for x := 40; x < 130; x += 11 {
		bar(x, 180, 250, 0.2) // dirt
	}
	bands := []Band{{X0: 40, X1: 586, Y0: 40, Y1: 70}, {X0: 100, X1: 586, Y0: 120, Y1: 150}, {X0: 140, X1: 586, Y0: 200, Y1: 230}}
	reachFaint(p, bands, cap)
	for i, want := range []int{40, 40, 140} {
		if d := bands[i].X0 - want; d < -4 || d > 4 {
			t.Errorf("line %d begins at %d, want %d", i, bands[i].X0, want)
		}
		if bands[i].X1 != 586 {
			t.Errorf("line %d ends at %d, want 586", i, bands[i].X1)
		}
	}
}
