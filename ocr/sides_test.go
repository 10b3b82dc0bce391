package ocr

import (
	"testing"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
)

// sided is a slip of ten lines, long reaching to its right side in one of them, with a
// mottled stripe down its right side or without.
func sided(stripe bool) (raster.Plane, []lines.Band) {
	const cap, pitch = 30, 50
	p := raster.New(900, 10*pitch+40)
	var bands []lines.Band
	for i := range 10 {
		y0, x1 := 30+i*pitch, 500
		if i == 4 {
			x1 = 760
		}
		for y := y0; y < y0+cap; y++ {
			for x := 40; x < x1; x++ {
				if x%20 < 6 {
					p.Row(y)[x] = 1
				}
			}
		}
		bands = append(bands, lines.Band{X0: 40, X1: 900, Y0: y0, Y1: y0 + cap})
	}
	if stripe {
		for y := range p.H {
			for x := 800; x < 870; x++ {
				p.Row(y)[x] = 0.15 + 0.2*float32((x/9+y/7)%3)/2
			}
		}
	}
	return p, bands
}

func TestTakeSides(t *testing.T) {
	ink := func(p raster.Plane, x0, x1 int) (sum float32) {
		for y := range p.H {
			for _, v := range p.Row(y)[x0:x1] {
				sum += v
			}
		}
		return sum
	}
	plain, bands := sided(false)
	before := ink(plain, 0, plain.W)
	if takeSides(plain, bands, 30) || ink(plain, 0, plain.W) != before {
		t.Error("something was taken off a slip without marks at its sides")
	}
	striped, bands := sided(true)
	if !takeSides(striped, bands, 30) {
		t.Error("the stripe was not seen")
	}
	if s := ink(striped, 800, 900); s != 0 {
		t.Errorf("the stripe kept ink of %.0f", s)
	}
	if s := ink(striped, 0, 780); s != before {
		t.Errorf("the lines have ink of %.0f, had %.0f", s, before)
	}
}

// A torn end of the paper, from side to side, is no line on the stripe.
func TestTakeSidesTornEnd(t *testing.T) {
	p, bands := sided(true)
	last := lines.Band{X0: 0, X1: 900, Y0: p.H - 20, Y1: p.H}
	for y := last.Y0; y < last.Y1; y++ {
		for x := range p.W {
			p.Row(y)[x] = 0.8
		}
	}
	if !takeSides(p, append(bands, last), 30) {
		t.Error("the stripe was taken for print")
	}
}

// Where a line crosses the stripe it stays.
func TestTakeSidesLeavesPrintOnStripe(t *testing.T) {
	p, bands := sided(true)
	for y := bands[6].Y0; y < bands[6].Y1; y++ {
		for x := 40; x < 860; x++ {
			if x%20 < 6 {
				p.Row(y)[x] = 1
			}
		}
	}
	takeSides(p, bands, 30)
	sum := float32(0)
	for y := bands[6].Y0; y < bands[6].Y1; y++ {
		for _, v := range p.Row(y)[800:840] {
			sum += v
		}
	}
	if sum < 300 {
		t.Errorf("print on the stripe kept ink of %.0f", sum)
	}
}
