package paper

import "testing"

// Two slips that abut in one outline are parted at the edge that shows between them, where
// other slips lie on the page; a fold across one slip, with print close by, parts nothing.
func TestParted(t *testing.T) {
	page := func(fold bool) (*finder, []Candidate) {
		s := newScene(470, 470, plainGround(150))
		column, other := rectangle(40, 30, 160, 440), rectangle(240, 30, 420, 300)
		s.slip(other, 225)
		if fold {
			s.slip(column, 225)
		} else {
			s.slip(rectangle(40, 30, 160, 235), 225)
			s.slip(rectangle(40, 235, 160, 440), 225)
		}
		s.paint(rectangle(40, 234, 160, 236), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 150 })
		f := newFinder(s.planes())
		return f, []Candidate{f.candidateOf(column), f.candidateOf(other)}
	}
	for _, c := range []struct {
		name string
		fold bool
		want int
	}{{"two slips", false, 3}, {"one with a fold", true, 2}} {
		f, chosen := page(c.fold)
		got := f.parted(chosen)
		if len(got) != c.want {
			t.Errorf("%s: %d slips, want %d: %v", c.name, len(got), c.want, got)
			continue
		}
		if !c.fold {
			if y := got[0].Quad[2].Y; y < 231 || y > 239 {
				t.Errorf("%s: cut at %.0f, the edge lies at 235", c.name, y)
			}
			if got := f.parted(chosen[:1]); len(got) != 1 {
				t.Errorf("%s: alone on the picture it is %d", c.name, len(got))
			}
		}
	}
}
