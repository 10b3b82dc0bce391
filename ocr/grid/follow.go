package grid

import "math"

// Paper that curls towards the camera stretches a line here and there, by more
// than half a cell over its length. The borders may therefore drift from their
// even places, a little from each to the next.
const (
	driftStep = 1.0 / 24 // of a cell
	side      = 10       // steps that a border may lie beside its even place
	states    = 2*side + 1
	stiffness = 30 // bareness that a drift of one cell from one border to the next costs, squared
)

// follow lets the borders drift to where the line is barest: the cheapest path
// through the drifts, border by border. told, unless nil, is where other lines say that
// they lie, in pixels; of some nothing is said, which is NaN.
func (l *Line) follow(gaps []float64, told []float64) {
	n := l.Cells + 1
	if n < 3 {
		return
	}
	best := make([][states]float64, n)
	from := make([][states]int8, n)
	for k := range n {
		for s := range states {
			x := l.X0 + (float64(k)+float64(s-side)*driftStep)*l.Step
			gain := at(gaps, x) - 0.5*at(gaps, x+0.5*l.Step)
			if told != nil && !math.IsNaN(told[k]) {
				beside := (x - told[k]) / l.Step
				gain -= pull * beside * beside
			}
			if k == 0 {
				best[k][s] = gain - 0.01*math.Abs(float64(s-side))
				continue
			}
			top, arg := math.Inf(-1), 0
			for d := -2; d <= 2; d++ {
				o := s + d
				if o < 0 || o >= states {
					continue
				}
				step := float64(d) * driftStep
				if v := best[k-1][o] - stiffness*step*step; v > top {
					top, arg = v, o
				}
			}
			best[k][s], from[k][s] = top+gain, int8(arg)
		}
	}
	s := side
	for i := range states {
		if best[n-1][i] > best[n-1][s]+1e-9 {
			s = i
		}
	}
	l.off = make([]float64, n)
	for k := n - 1; k >= 0; k-- {
		l.off[k] = float64(s-side) * driftStep * l.Step
		s = int(from[k][s])
	}
}
