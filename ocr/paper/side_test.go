package paper

import "testing"

// A side is not laid on the far edge of a line of print that runs along it.
func TestSnapBesideLine(t *testing.T) {
	s := newScene(470, 470, plainGround(228))
	const first, before = 72, 71 // the first line's place, and a side short of it
	for x := first; x < 160; x += 8 {
		s.paint(rectangle(float64(x), 70, float64(x+2), 290), func(_, _ float64, x, y int) {
			if y%9 < 6 {
				s.luma.Pix[y*s.luma.Stride+x] = 60
			}
		})
	}
	f := newFinder(s.planes())
	q := rectangle(before, 60, 170, 300)
	if moved := f.onSteps(q, [4]bool{}); moved[0].X < 73 {
		t.Fatalf("the nearest step is at %.1f: what follows tests nothing", moved[0].X)
	}
	if got := f.snapped(q); got[0].X > before+0.5 || got[3].X > before+0.5 {
		t.Errorf("the left side lies at %.1f and %.1f, the first line begins at %d", got[0].X, got[3].X, first)
	}
}

// A side that the ends of lines just stand out of is moved past them, where the ground is
// as bright as the paper; a side before dark ground is the paper's own.
func TestPastLineEnds(t *testing.T) {
	const ends = 278 // of the longest lines
	for _, c := range []struct {
		name   string
		beyond uint8
		moves  bool
	}{{"white sheet", 228, true}, {"dark ground", 170, false}} {
		s := newScene(470, 470, plainGround(228))
		s.slip(rectangle(60, 60, 300, 300), 228)
		s.paint(rectangle(ends, 0, 470, 470), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = c.beyond })
		f := newFinder(s.planes())
		q := rectangle(60, 60, ends-1, 300)
		chosen := []Candidate{f.candidateOf(q)}
		f.pastPrint(chosen)
		if got := chosen[0].Quad[1].X; (got > ends+1) != c.moves || got < ends-1 {
			t.Errorf("%s: the right side lies at %.1f, lines end at %d", c.name, got, ends)
		}
	}
}
