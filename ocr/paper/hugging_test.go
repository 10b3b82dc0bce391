package paper

import "testing"

// On a sheet outlines that hug print or run through it are none; one with margins is kept,
// and so is one on darker ground, whose marks may be the ground's.
func TestDropPrinted(t *testing.T) {
	slip := rectangle(60, 60, 360, 400)
	for _, c := range []struct {
		name   string
		ground float64
		q      Quad
		kept   bool
	}{
		{"the slip", 228, slip, true},
		{"around its print", 228, rectangle(84, 94, 336, 366), false},
		{"through its lines", 228, Quad{{X: 60, Y: 60}, {X: 360, Y: 60}, {X: 360, Y: 260}, {X: 60, Y: 330}}, false},
		{"around print, on dark ground", 120, rectangle(62, 62, 336, 366), true},
	} {
		s := newScene(470, 470, plainGround(c.ground))
		s.slip(slip, 225)
		f := newFinder(s.planes())
		all := []Candidate{f.candidateOf(c.q)}
		all[0].Confidence = 0.9
		f.dropPrinted(all)
		if got := all[0].Confidence > 0; got != c.kept {
			t.Errorf("%s: kept is %v; marks %.2f", c.name, got, all[0].print)
		}
	}
}

// A side of a slip as white as its sheet that runs over the ends of lines is moved off them;
// one at the picture's border stays.
func TestOffPrint(t *testing.T) {
	s := newScene(470, 470, plainGround(225))
	s.slip(rectangle(60, 60, 360, 400), 225)
	f := newFinder(s.planes())
	tight := rectangle(85, 60, 360, 400) // print begins at 84
	got := f.offPrint(tight)
	if got[0].X > 82 || got[3].X > 82 {
		t.Errorf("the left side is at %.0f and %.0f, print begins at 84", got[0].X, got[3].X)
	}
	if got[1] != tight[1] || got[2] != tight[2] {
		t.Errorf("the right side has moved: %v", got)
	}
	s = newScene(470, 470, plainGround(225))
	s.slip(rectangle(-22, 60, 360, 400), 225)
	f = newFinder(s.planes())
	if q := rectangle(5, 60, 360, 400); f.offPrint(q) != q {
		t.Errorf("at the border: %v", f.offPrint(q))
	}
}
