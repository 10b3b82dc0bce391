package grid

import (
	"math"
	"testing"
)

// A line whose bare columns lie within its letters takes its borders from the lines around;
// one among lines that are bent alike keeps its bend, and one with too few lines around
// what it has.
func TestAgree(t *testing.T) {
	const cells, step = 20, 12.0
	// line is bare at the borders, moved by a share of a cell, to a depth.
	line := func(y, beside, depth float64) (*wave, Line) {
		gaps := make([]float64, cells*step+40)
		for x := range gaps {
			at := (float64(x) - 10 - beside*step) / step
			gaps[x] = 0.5 + depth/2*math.Cos(2*math.Pi*at)
		}
		w := &wave{gaps: gaps, origin: 10, from: 10, extent: cells * step, y: y}
		l := Line{X0: 10, Step: step, Cells: cells}
		l.follow(gaps, nil)
		return w, l
	}
	for _, c := range []struct {
		name   string
		others []float64 // how far beside their place the others are bare
		own    float64
		depth  float64 // of the line in question
		want   float64
	}{
		{"letters that touch", []float64{0, 0, 0, 0}, 0.4, 0.2, 0},
		{"bent alike", []float64{0.25, 0.25, 0.25, 0.25}, 0.25, 0.2, 0.25},
		{"one of them is astray", []float64{0, 0.4, 0, 0}, 0.4, 0.2, 0},
		{"plainly elsewhere", []float64{0, 0, 0, 0}, 0.2, 1, 0.2},
		{"too few", []float64{0, 0}, 0.4, 0.2, 0.4},
	} {
		var all []Line
		laid := laid{shared: shared{width: step}}
		add := func(beside, depth float64) {
			w, l := line(float64(len(all))/10, beside, depth)
			laid.waves, all = append(laid.waves, w), append(all, l)
		}
		for _, o := range c.others[:len(c.others)/2] {
			add(o, 1)
		}
		at := len(all)
		add(c.own, c.depth)
		for _, o := range c.others[len(c.others)/2:] {
			add(o, 1)
		}
		agree(all, laid)
		const k = cells / 2
		if got := (all[at].Border(k) - 10 - k*step) / step; math.Abs(got-c.want) > 0.1 {
			t.Errorf("%s: the border lies %.2f cells beside its place, want %.2f", c.name, got, c.want)
		}
	}
}
