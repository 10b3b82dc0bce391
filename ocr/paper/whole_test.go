package paper

import "testing"

// A strip of tape across a slip that runs off its picture is no end of it; where the
// picture's border follows with bare ground it is.
func TestRunsOff(t *testing.T) {
	for _, c := range []struct {
		name   string
		bottom float64 // of the printed paper
		want   bool
	}{{"the slip goes on", 900, true}, {"ground follows", 360, false}} {
		s := newScene(600, 700, plainGround(60))
		s.slip(Quad{{X: 150, Y: 60}, {X: 450, Y: 60}, {X: 450, Y: c.bottom}, {X: 150, Y: c.bottom}}, 225)
		p := s.planes()
		f := newFinder(p)
		part := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 350/p.Step))
		whole := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 700/p.Step))
		if got := f.runsOff(part, whole); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func (f *finder) candidateOf(q Quad) Candidate {
	return Candidate{Quad: q, area: area(q), print: f.marks.density(q, -5)}
}

// TestDropPairs: the outline around two slips side by side is none, that around the
// halves of a folded one is.
func TestDropPairs(t *testing.T) {
	for _, c := range []struct {
		name string
		gap  float64
		want bool
	}{{"two slips", 8, true}, {"one slip", 0, false}} {
		s := newScene(460, 420, plainGround(60))
		if c.want {
			s.slip(rectangle(30, 40, 220, 380), 222)
			s.slip(rectangle(220+c.gap, 40, 410+c.gap, 380), 222)
		} else {
			s.slip(rectangle(30, 40, 410, 380), 222)
		}
		f := newFinder(s.planes())
		all := []Candidate{f.candidateOf(rectangle(30, 40, 220, 380)), f.candidateOf(rectangle(220+c.gap, 40, 410+c.gap, 380)), f.candidateOf(rectangle(30, 40, 410+c.gap, 380))}
		for i := range all {
			all[i].Confidence = 0.9
		}
		f.dropPairs(all)
		if got := all[2].Confidence == 0; got != c.want {
			t.Errorf("%s: dropped %v", c.name, got)
		}
	}
}
