package paper

import "testing"

// Two slips on their sides that lie one below the other keep a margin at the ends of their
// lines and are two papers; one whose lines a strip parts is one.
func TestEndsKeepMargins(t *testing.T) {
	s := newScene(470, 470, plainGround(190))
	upper, lower := rectangle(40, 30, 260, 200), rectangle(40, 201, 260, 371)
	s.slip(sideways(upper), 225)
	s.slip(sideways(lower), 225)
	f := newFinder(s.planes())
	if f.printGoesOn(upper, 2, lower, 0) {
		t.Error("the lines of two slips are one slip's")
	}
	s = newScene(470, 470, plainGround(190))
	s.slip(sideways(rectangle(40, 30, 260, 371)), 225)
	f = newFinder(s.planes())
	if !f.printGoesOn(upper, 2, lower, 0) {
		t.Error("lines that go on across a fold are two slips'")
	}
}
