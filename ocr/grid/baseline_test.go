package grid

import (
	"math"
	"testing"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// The letters before an underline to sign on stand where they stand without it.
func TestBaselineOfUnderline(t *testing.T) {
	const base, capital = 60, 30
	draw := func(p raster.Plane, x0, y0, x1, y1 int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				p.Pix[y*p.W+x] = 1
			}
		}
	}
	for _, c := range []struct {
		name    string
		letters int
		under   bool
		want    float64
	}{{"letters", 5, false, base}, {"before an underline", 5, true, base}, {"an underline alone", 0, true, base + 10}} {
		p := raster.New(600, 120)
		for i := range c.letters {
			draw(p, 20+20*i, base-capital, 24+20*i, base)
			draw(p, 20+20*i, base-4, 32+20*i, base) // the foot of an L is no underline
		}
		if c.under {
			draw(p, 160, base+6, 560, base+10)
		}
		band := lines.Band{X0: 20, X1: 560, Y0: base - capital, Y1: base + 10}
		got, _ := Baseline(p, band, lines.Layout{Cap: capital})
		if math.Abs(got-c.want) > 1.5 {
			t.Errorf("%s: the base line is at %.1f, want %.1f", c.name, got, c.want)
		}
	}
}

// The letters of a bar of inverse print may lie anywhere in it.
func TestBaselineInABar(t *testing.T) {
	const capital = 30
	for _, base := range []int{52, 58, 64} {
		p := raster.New(400, 100)
		for y := 20; y < 70; y++ {
			for x := 20; x < 380; x++ {
				p.Pix[y*p.W+x] = 1
			}
		}
		for x := 40; x < 360; x += 20 {
			for y := base - capital; y < base; y++ {
				for k := range 5 {
					p.Pix[y*p.W+x+k] = 0
				}
			}
		}
		for _, soft := range []float64{0, 2} {
			got, _ := Baseline(p.Blur(soft), lines.Band{X0: 20, X1: 380, Y0: 20, Y1: 70, Inverse: true}, lines.Layout{Cap: capital})
			if math.Abs(got-float64(base)) > 1.5 {
				t.Errorf("soft by %g: base line at %.1f, want %d", soft, got, base)
			}
		}
	}
}
