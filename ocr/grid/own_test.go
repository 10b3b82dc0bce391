package grid

import (
	"testing"

	"tankroll/ocr/raster"
	"tankroll/ocr/slipnet"
)

// What is wholly of the lines close above and below is no ink of a line's strip; what
// reaches there from the line itself stays, as does an underscore.
func TestStripTakesOthers(t *testing.T) {
	const cap, base = 40, 100
	l := Line{X0: 20, Step: 24, Base: base, Cap: cap, Cells: 4, Before: base - 1.35*cap, Next: base + 0.35*cap}
	fill := func(p raster.Plane, x0, x1, y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				p.Row(y)[x] = 1
			}
		}
	}
	for name, c := range map[string]struct {
		x0, x1, y0, y1 int
		stays          bool
	}{
		"a letter":                 {24, 40, base - cap, base, true},
		"a letter with a tail":     {24, 40, base - 25, base + 11, true},
		"a stroke through":         {24, 28, base - 60, base + 40, true},
		"an underscore":            {24, 40, base + 4, base + 8, true},
		"tops of the line below":   {24, 40, base + 15, base + 40, false},
		"tails of the line before": {24, 30, base - 60, base - 47, false},
	} {
		p := raster.New(160, 180)
		fill(p, c.x0, c.x1, c.y0, c.y1)
		for _, near := range []bool{true, false} {
			line := l
			if !near {
				line.Before, line.Next = 0, 0
			}
			ink := float32(0)
			strip := line.Strip(p, []float64{0}, false)
			for _, v := range strip.Pix[:strip.Cells*slipnet.W*slipnet.H] {
				ink += v
			}
			if got := ink > 0; got != (c.stays || !near) {
				t.Errorf("%s, lines near %v: ink of %.1f", name, near, ink)
			}
		}
	}
}
