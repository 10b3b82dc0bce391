package paper

import (
	"image/color"
	"testing"
)

// Below an edge that may be a fold another slip begins where the outline jumps aside, as
// much on the left as on the right; where it bends, or but one side jumps, the slip goes on.
func TestPartedByShift(t *testing.T) {
	upper, other := rectangle(40, 30, 200, 200), rectangle(300, 30, 440, 300)
	slanted := Quad{{X: 40, Y: 200}, {X: 200, Y: 200}, {X: 212, Y: 400}, {X: 52, Y: 400}}
	for _, c := range []struct {
		name  string
		lower Quad
		want  int
	}{
		{"no jump", rectangle(40, 200, 200, 400), 2},
		{"both to the right", rectangle(44, 200, 204, 400), 3},
		{"both to the left", rectangle(36, 200, 196, 400), 3},
		{"a bend", slanted, 2},
		{"one side, a piece torn off", rectangle(44, 200, 200, 400), 2},
	} {
		s := newScene(470, 470, plainGround(190))
		s.slip(other, 225)
		s.slip(upper, 225)
		s.slip(c.lower, 225)
		s.paint(rectangle(max(upper[0].X, c.lower[0].X), 199, min(upper[1].X, c.lower[1].X), 201), func(_, _ float64, x, y int) {
			s.luma.SetGray(x, y, color.Gray{Y: 150})
		})
		whole := Quad{upper[0], upper[1], c.lower[2], c.lower[3]}
		f := newFinder(s.planes())
		if got := f.parted([]Candidate{f.candidateOf(whole), f.candidateOf(other)}); len(got) != c.want {
			t.Errorf("%s: %d slips, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}
