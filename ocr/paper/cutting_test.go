package paper

import "testing"

// An outline of sides of two slips that cuts through the print of one is none where the
// outline of that slip is about as sure.
func TestDropCutting(t *testing.T) {
	upper, lower := rectangle(40, 40, 360, 200), rectangle(40, 210, 240, 440)
	s := newScene(470, 470, plainGround(200))
	s.slip(upper, 225)
	s.slip(lower, 225)
	f := newFinder(s.planes())
	of := func(q Quad, confidence float64) Candidate {
		c := f.candidateOf(q)
		c.Confidence = confidence
		return c
	}
	both := rectangle(40, 40, 240, 440)
	for _, x := range []struct {
		name string
		all  []Candidate
		kept []bool
	}{
		{"beside the whole slip", []Candidate{of(both, 0.6), of(upper, 0.5)}, []bool{false, true}},
		{"beside a faint one", []Candidate{of(both, 0.6), of(upper, 0.3)}, []bool{true, true}},
		{"beside one that cuts as well", []Candidate{of(both, 0.6), of(rectangle(40, 40, 300, 200), 0.5)}, []bool{true, true}},
		{"beside the other slip", []Candidate{of(both, 0.6), of(lower, 0.5)}, []bool{true, true}},
	} {
		f.dropCutting(x.all)
		for i, c := range x.all {
			if (c.Confidence > 0) != x.kept[i] {
				t.Errorf("%s: outline %d has confidence %v", x.name, i, c.Confidence)
			}
		}
	}
}
