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

// sideways is q with its top at the right: what is drawn on it lies on its side.
func sideways(q Quad) Quad { return Quad{q[1], q[2], q[3], q[0]} }

// Slips side by side in one outline are parted where brightness steps all along the edge,
// a column of one slip where a fold runs is not. Slips below each other are parted at a
// fainter edge where lines run the other way below it.
func TestPartedByStepAndTurn(t *testing.T) {
	line := func(s *scene, q Quad) {
		s.paint(q, func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 150 })
	}
	other := rectangle(300, 30, 440, 300)
	for _, c := range []struct {
		name  string
		whole Quad
		draw  func(s *scene)
		want  int
	}{
		{"two slips, one whiter", rectangle(40, 30, 246, 300), func(s *scene) {
			s.slip(rectangle(40, 30, 143, 300), 225)
			s.slip(rectangle(143, 30, 246, 300), 212)
		}, 3},
		{"one slip with a fold between its columns", rectangle(40, 30, 246, 300), func(s *scene) {
			s.slip(rectangle(40, 30, 143, 300), 225)
			s.slip(rectangle(143, 30, 246, 300), 225)
			line(s, rectangle(142, 30, 144, 300))
		}, 2},
		{"one on its side below another", rectangle(40, 30, 200, 400), func(s *scene) {
			s.slip(rectangle(40, 30, 200, 200), 225)
			s.slip(sideways(rectangle(40, 200, 200, 400)), 225)
			line(s, rectangle(40, 199, 200, 201))
		}, 3},
		{"one slip with a fold", rectangle(40, 30, 200, 400), func(s *scene) {
			s.slip(rectangle(40, 30, 200, 200), 225)
			s.slip(rectangle(40, 200, 200, 400), 225)
			line(s, rectangle(40, 199, 200, 201))
		}, 2},
	} {
		s := newScene(470, 470, plainGround(190))
		s.slip(other, 225)
		c.draw(s)
		f := newFinder(s.planes())
		if got := f.parted([]Candidate{f.candidateOf(c.whole), f.candidateOf(other)}); len(got) != c.want {
			t.Errorf("%s: %d slips, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}

// Two blocks of print on a white sheet, of which one lies on its side, are two slips;
// two that lie alike may be parts of one.
func TestTwoUnseen(t *testing.T) {
	for want, below := range map[int]func(Quad) Quad{2: sideways, 0: func(q Quad) Quad { return q }} {
		s := newScene(470, 470, plainGround(228))
		s.slip(rectangle(60, 30, 260, 210), 228)
		s.slip(below(rectangle(60, 240, 260, 440)), 228)
		f := newFinder(s.planes())
		vague := f.candidateOf(rectangle(40, 20, 300, 450))
		vague.Confidence = 0.4
		if got := f.unseen([]Candidate{vague}); len(got) != want {
			t.Errorf("%d slips, want %d: %v", len(got), want, got)
		}
	}
}

// Of a slip alone on its picture another one is cut off where it is a small part of a sheet
// as white and a step shows; a fold, or a slip on other ground, is left whole.
func TestPartedAlone(t *testing.T) {
	column := rectangle(40, 30, 160, 440)
	for _, c := range []struct {
		name          string
		ground, lower float64
		fold          bool
		want          int
	}{
		{"two slips on a sheet", 228, 210, false, 2},
		{"a fold across one", 228, 225, true, 1},
		{"on a dark ground", 120, 210, false, 1},
	} {
		s := newScene(470, 470, plainGround(c.ground))
		s.slip(rectangle(40, 30, 160, 235), 225)
		s.slip(rectangle(40, 235, 160, 440), c.lower)
		if c.fold {
			s.paint(rectangle(40, 234, 160, 236), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 190 })
		}
		f := newFinder(s.planes())
		if got := f.parted([]Candidate{f.candidateOf(column)}); len(got) != c.want {
			t.Errorf("%s: %d slips, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}
