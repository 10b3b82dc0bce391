package paper

import (
	"image/color"
	"math"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// A side a little short of the picture's border goes there where the paper does,
// and stays where ground lies between.
func TestToBorder(t *testing.T) {
	for _, c := range []struct {
		name   string
		bottom float64 // of the paper
		want   float64 // of the outline, which was found to end at 800
	}{{"runs off", 900, 820}, {"ends", 802, 800}} {
		s := newScene(600, 820, plainGround(50))
		paper := Quad{{X: 150, Y: 60}, {X: 450, Y: 60}, {X: 450, Y: c.bottom}, {X: 150, Y: c.bottom}}
		s.paint(paper, func(_, _ float64, x, y int) { s.luma.SetGray(x, y, color.Gray{Y: byteOf(225 + 2*s.rng.NormFloat64())}) })
		p := s.planes()
		f := newFinder(p)
		at := func(x, y float64) record.Point { return record.Point{X: x / p.Step, Y: y / p.Step} }
		got := f.toBorder(Quad{at(150, 60), at(450, 60), at(450, 800), at(150, 800)})
		for _, i := range []int{2, 3} {
			if math.Abs(got[i].Y*p.Step-c.want) > 2 {
				t.Errorf("%s: corner %d at %.1f, want %.1f", c.name, i, got[i].Y*p.Step, c.want)
			}
		}
		if math.Abs(got[0].Y*p.Step-60) > 1e-6 || math.Abs(got[3].X*p.Step-150) > 1 {
			t.Errorf("%s: other sides moved: %v", c.name, got)
		}
	}
}

// TestMeeting: a side that ends a little short of the border is taken there; one that
// nearly runs along it stays, since it meets it far beside the picture.
func TestMeeting(t *testing.T) {
	f := &finder{closed: raster.New(64, 3)}
	foot := border{at: 3}
	for _, c := range []struct{ from, p, want record.Point }{
		{record.Point{X: 10, Y: 0}, record.Point{X: 12, Y: 2}, record.Point{X: 13, Y: 3}},
		{record.Point{X: 26, Y: 0}, record.Point{X: 0, Y: 1.52}, record.Point{X: 0, Y: 1.52}},
	} {
		if got := f.meeting(foot, c.from, c.p); math.Hypot(got.X-c.want.X, got.Y-c.want.Y) > 1e-9 {
			t.Errorf("from %v by %v the border is met at %v, want %v", c.from, c.p, got, c.want)
		}
	}
}
