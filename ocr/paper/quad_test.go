package paper

import "testing"

// A quad is drawn in as well as out: sides of a box moved by less than 0 lie inside.
func TestExpanded(t *testing.T) {
	q := rectangle(10, 20, 110, 70)
	for _, d := range []float64{5, 0, -5} {
		want := rectangle(10-d, 20-d, 110+d, 70+d)
		if got := expanded(q, d); got != want {
			t.Errorf("by %v: %v, want %v", d, got, want)
		}
	}
}
