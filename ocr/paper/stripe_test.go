package paper

import "testing"

func endOfRoll(s *scene, q Quad, coloured bool) bool {
	m, _ := NewMap(q)
	c := NewColour(s.cb, s.cr, 1)
	if !coloured {
		c = NewColour(nil, nil, 0)
	}
	found, _ := EndOfRoll(s.original(), c, m, m.H*0.8/16)
	return found
}

func TestEndOfRoll(t *testing.T) {
	tests := []struct {
		name     string
		coloured bool
		want     bool
		draw     func(s *scene)
	}{
		{"bare", true, false, func(*scene) {}},
		{"bare, grey picture", false, false, func(*scene) {}},
		{"red at the side", true, true, func(s *scene) { s.stripe(oneSlip, 0.86, 1, 0, 1, 0.65, 118, 180) }},
		{"red in the middle", true, true, func(s *scene) { s.stripe(oneSlip, 0.42, 0.58, 0.3, 1, 0.65, 118, 180) }},
		{"pale blue", true, true, func(s *scene) { s.stripe(oneSlip, 0.1, 0.25, 0.3, 1, 0.95, 150, 118) }},
		{"grey picture, side", false, true, func(s *scene) { s.stripe(oneSlip, 0, 0.15, 0.2, 1, 0.7, 128, 128) }},
		{"grey picture, middle", false, true, func(s *scene) { s.stripe(oneSlip, 0.42, 0.58, 0, 1, 0.7, 128, 128) }},
		{"grey picture kept in colours", true, true, func(s *scene) { s.stripe(oneSlip, 0.42, 0.58, 0, 1, 0.7, 128, 128) }},
		{"a shadow on toned paper", true, false, func(s *scene) {
			s.stripe(oneSlip, 0, 1, 0, 1, 1, 120, 136)
			s.stripe(oneSlip, 0.42, 0.58, 0, 1, 0.7, 120, 136)
		}},
		{"a spot", true, false, func(s *scene) { s.stripe(oneSlip, 0.4, 0.6, 0.4, 0.6, 0.6, 118, 180) }},
		{"a spot at the end", true, false, func(s *scene) { s.stripe(oneSlip, 0.4, 0.6, 0.8, 1, 0.6, 118, 180) }},
		{"a bar across", true, false, func(s *scene) { s.stripe(oneSlip, 0, 1, 0.7, 1, 0.6, 118, 180) }},
		{"a fold", false, false, func(s *scene) { s.stripe(oneSlip, 0.5, 0.515, 0, 1, 0.6, 128, 128) }},
		{"a soft shadow", false, false, func(s *scene) {
			for i := range 40 {
				s.stripe(oneSlip, 0.4+float64(i)*0.01, 1, 0, 1, 0.99, 128, 128)
			}
		}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			s := newScene(760, 820, plainGround(50))
			s.slip(oneSlip, 225)
			c.draw(s)
			if got := endOfRoll(s, oneSlip, c.coloured); got != c.want {
				t.Errorf("end of roll: %v", got)
			}
		})
	}
}

// TestGroundIsNoStripe: an outline that lets in some of the ground shows no
// stripe, whatever the ground's colour.
func TestGroundIsNoStripe(t *testing.T) {
	s := newScene(760, 820, plainGround(120))
	for i := range s.cr.Pix {
		s.cr.Pix[i] = 170
	}
	s.slip(oneSlip, 225)
	s.stripe(oneSlip, 0, 1, 0, 1, 1, 128, 128) // the paper has no colour
	loose := oneSlip
	loose[1].X, loose[2].X = loose[1].X+35, loose[2].X+35
	for _, coloured := range []bool{true, false} {
		if endOfRoll(s, loose, coloured) {
			t.Errorf("coloured %v: the ground is taken for a stripe", coloured)
		}
	}
}
