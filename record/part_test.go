package record

import (
	"math"
	"testing"
)

// TestAcross: a box takes the full width of its slip, whichever way that lies;
// where no corners are known, or none that can be, it stays.
func TestAcross(t *testing.T) {
	b := Box{X: 300, Y: 200, W: 50, H: 20, Part: 1}
	square := [4]Point{{110, 90}, {500, 100}, {490, 900}, {100, 890}}
	for _, c := range []struct {
		name string
		part Part
		want Box
	}{
		{"upright", Part{Corners: square}, Box{X: 100, Y: 200, W: 400, H: 20, Part: 1}},
		{"on its head", Part{Corners: square, Turn: 180}, Box{X: 100, Y: 200, W: 400, H: 20, Part: 1}},
		{"on its side", Part{Corners: square, Turn: 270}, Box{X: 300, Y: 90, W: 50, H: 810, Part: 1}},
		{"no corners", Part{}, b},
		{"no numbers", Part{Corners: [4]Point{{math.NaN(), 1}, {2, 3}, {4, math.NaN()}, {5, 6}}}, b},
		{"beyond any picture", Part{Corners: [4]Point{{0, 0}, {1e300, 0}, {1e300, 9}, {0, 9}}}, b},
	} {
		if got := c.part.Across(b); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
