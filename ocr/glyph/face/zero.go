package face

import "math"

// ZeroMark is what tells a zero from the letter, at x, y from the pen: 1 on the
// mark and 0 beside it. form is 0 for none, 1 for a slash, 2 for a dot, 3 for a
// back slash.
func ZeroMark(form int, l *Letter, x, y float64) float64 {
	cx, cy := float64(l.X)+float64(l.W)/2, float64(l.Y)+float64(l.H)/2
	u, v := (x-cx)/float64(l.W)*2, (y-cy)/float64(l.H)*2 // -1 to 1 over the zero
	switch form {
	case 1, 3:
		if form == 3 {
			u = -u
		}
		if math.Abs(u) < 0.8 && math.Abs(v+u*0.75) < 0.25 {
			return 1
		}
	case 2:
		if math.Abs(u) < 0.24 && math.Abs(v) < 0.2 {
			return 1
		}
	}
	return 0
}
