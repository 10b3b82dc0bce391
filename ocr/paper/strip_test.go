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

// A strip far darker than the paper, out of the picture on its other side, is ground where
// it has more marks than print, or none; one with marks as print has may be a stripe.
func TestGroundStrip(t *testing.T) {
	const w, h = 400, 300
	paper, strip := rectangle(40, 20, 360, 240), rectangle(42, 242, 358, 297)
	for _, c := range []struct {
		name   string
		strip  Quad
		light  float32 // of the strip; 200 is the paper's
		marks  int     // one pixel in so many is a mark on the strip; one in 8 on the paper
		ground bool
	}{
		{"grain", strip, 110, 3, true},
		{"bare", strip, 110, 0, true},
		{"a printed stripe", strip, 110, 8, false},
		{"as bright", strip, 180, 3, false},
		{"within the picture", rectangle(42, 242, 358, 280), 110, 3, false},
	} {
		closed, print := raster.New(w, h), raster.New(w, h)
		for i := range closed.Pix {
			closed.Pix[i] = 200
			every := 8
			if i/w >= 241 {
				closed.Pix[i], every = c.light, c.marks
			}
			if every > 0 && (i%w+i/w)%every == 0 {
				print.Pix[i] = 1
			}
		}
		f := &finder{closed: closed, print: print, light: sumsOf(closed), marks: sumsOf(print)}
		for _, pair := range [][2]Quad{{paper, c.strip}, {c.strip, paper}} {
			if got := f.groundStrip(pair[0], pair[1]); got != c.ground {
				t.Errorf("%s: %v", c.name, got)
			}
		}
	}
}
