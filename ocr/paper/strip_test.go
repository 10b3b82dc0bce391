package paper

import (
	"testing"

	"tankroll/ocr/raster"
)

func rectangle(x0, y0, x1, y1 float64) Quad {
	return Quad{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func TestWithStripes(t *testing.T) {
	bright := raster.New(600, 500)
	for i := range bright.Pix {
		bright.Pix[i] = 200
	}
	dark := bright.Map(func(v float32) float32 { return v })
	for y := range dark.H {
		for x := 303; x < 352; x++ {
			dark.Row(y)[x] = 120
		}
	}
	slip := Candidate{Quad: rectangle(100, 50, 300, 450), print: 0.1}
	for _, c := range []struct {
		name  string
		other Candidate
		on    raster.Plane
		want  Quad
		n     int
	}{
		{"to the right", Candidate{Quad: rectangle(305, 48, 350, 452), print: 0.02}, bright, Quad{{X: 100, Y: 50}, {X: 350, Y: 48}, {X: 350, Y: 452}, {X: 100, Y: 450}}, 1},
		{"to the left, another first corner", Candidate{Quad: Quad{{X: 98, Y: 452}, {X: 60, Y: 450}, {X: 60, Y: 50}, {X: 98, Y: 48}}}, bright, Quad{{X: 60, Y: 50}, {X: 300, Y: 50}, {X: 300, Y: 450}, {X: 60, Y: 450}}, 1},
		{"a slip as wide", Candidate{Quad: rectangle(305, 50, 500, 450), print: 0.02}, bright, slip.Quad, 2},
		{"a printed one", Candidate{Quad: rectangle(305, 50, 350, 450), print: 0.1}, bright, slip.Quad, 2},
		{"a dark one with grain", Candidate{Quad: rectangle(305, 50, 350, 450), print: 0.1}, dark, rectangle(100, 50, 350, 450), 1},
		{"a shorter one", Candidate{Quad: rectangle(305, 50, 350, 300)}, bright, slip.Quad, 2},
		{"farther away", Candidate{Quad: rectangle(340, 50, 380, 450)}, bright, slip.Quad, 2},
	} {
		for _, set := range [][]Candidate{{slip, c.other}, {c.other, slip}} {
			got := (&finder{light: sumsOf(c.on)}).withStripes(set)
			found := false
			for _, g := range got {
				found = found || g.Quad == c.want
			}
			if len(got) != c.n || !found {
				t.Errorf("%s: %v", c.name, got)
			}
		}
	}
}
