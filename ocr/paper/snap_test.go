package paper

import "testing"

// TestSnapped: an outline that is some pixels off comes to lie on the paper's edge,
// and one with no edge near stays.
func TestSnapped(t *testing.T) {
	slip := rectangle(60, 50, 260, 350)
	s := newScene(320, 400, plainGround(120))
	s.slip(slip, 220)
	f := newFinder(s.planes())
	near(t, f.snapped(rectangle(57, 53, 262, 347)), slip, 1)
	far := rectangle(20, 20, 300, 380)
	near(t, f.snapped(far), far, 0.01)
}
