package ink

import (
	"math"
	"slices"
	"testing"

	"tankroll/ocr/raster"
)

// ring and blot are the densities of what a cup and a drop leave on a sheet.
func ring(r, width, density float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		off := math.Abs(math.Hypot(x-sheetW/2, y-sheetH/2) - r)
		return density / (1 + math.Exp((off-width/2)/0.9))
	}
}

func blot(r, density float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		return density / (1 + math.Exp((math.Hypot(x-sheetW/2, y-sheetH/2)-r)/2))
	}
}

// Rings and blots come off print: beside it they leave nothing that looks like print, and
// what lies under them keeps its density. Where a ring is darker than faded print, or as
// narrow as bold letters' strokes are broad, its rim takes more of them with it; evened, it
// is print still.
func TestTakeStains(t *testing.T) {
	fresh, faded, bold := sheet{print: 1.2, pen: 4, grain: 1}, sheet{print: 0.4, pen: 4, grain: 1}, sheet{print: 1.2, pen: 6, grain: 1}
	for _, c := range []struct {
		name  string
		clean sheet
		dirt  func(x, y float64) float64
		least float64 // of the density of print under it
	}{
		{"fresh print, ring", fresh, ring(180, 20, 0.3), 0.7},
		{"fresh print, dark ring", fresh, ring(180, 20, 0.5), 0.7},
		{"fresh print, blot", fresh, blot(130, 0.5), 0.7},
		{"faded print, ring", faded, ring(180, 20, 0.3), 0.7},
		{"faded print, blot as dark", faded, blot(130, 0.4), 0.7},
		{"bold print, blot", bold, blot(130, 0.5), 0.7},
		{"faded print, darker ring", faded, ring(180, 20, 0.5), 0.6},
		{"bold print, dark ring", bold, ring(180, 20, 0.5), 0.6},
	} {
		level := Lift(c.clean.draw(), sheetEm).Level
		s := c.clean
		s.dirt = c.dirt
		d := Lift(s.draw(), sheetEm)
		under := func(x, y float64) bool { return c.dirt(x, y) > 0.02 }
		print, dirt := s.seen(d, level, under)
		if print < c.least || print > 1.3 {
			t.Errorf("%s: print under it is %.2f of print, want %v to 1.3", c.name, print, c.least)
		}
		if dirt > 0.1 {
			t.Errorf("%s: %.2f of the paper under it looks like print", c.name, dirt)
		}
		even, _ := s.seen(Density{Plane: d.Even(sheetEm)}, 1, under)
		if even < 0.8 {
			t.Errorf("%s: print under it is %.2f of print when evened", c.name, even)
		}
		beside, left := s.seen(d, level, func(x, y float64) bool { return c.dirt(x, y) < 0.01 })
		if beside < 0.9 || beside > 1.1 || left > 0.01 {
			t.Errorf("%s: print beside it is %.2f of print, %.2f of the paper looks like print", c.name, beside, left)
		}
		t.Logf("%s: print under it %.2f of print, evened %.2f, beside it %.2f; %.3f of the paper looks like print", c.name, print, even, beside, dirt)
	}
}

// Of a sheet without stains nothing is taken: fresh, faded and bold print, bars of inverse
// print and rules stay to the bit.
func TestTakeStainsOfCleanSheet(t *testing.T) {
	bar := func(x, y float64) float64 {
		if x > 100 && x < 600 && (y > 330 && y < 380 && (int(x)%24 > 4 || y < 340 || y > 370) || y > 450 && y < 456) {
			return 1.2
		}
		return 0
	}
	for name, s := range map[string]sheet{
		"fresh": {print: 1.2, pen: 4, grain: 1}, "faded": {print: 0.3, pen: 4, grain: 2}, "bold": {print: 1.2, pen: 6, grain: 1},
		"bars and rules": {print: 1.2, pen: 4, grain: 1, dirt: bar},
	} {
		luma := s.draw()
		paper, tall := paperOf(luma, sheetEm)
		d, table := Density{Plane: raster.New(luma.W, luma.H)}, logTable()
		for i, v := range luma.Pix {
			d.Pix[i] = table.log(paper.Pix[i]) - table.log(v)
		}
		d.settle(sheetEm)
		was := slices.Clone(d.Pix)
		d.takeStains(sheetEm, tall)
		if !slices.Equal(was, d.Pix) {
			t.Errorf("%s: something was taken off", name)
		}
	}
}
