package grid

import (
	"math"
	"math/cmplx"

	"tankroll/ocr/lines"
)

// wave is the swing of one line's bareness.
type wave struct {
	gaps   []float64 // bareness of every column
	swing  []float64 // bareness around its own average, 0 outside of the print
	origin float64   // x from which phases count
	from   float64   // where the print begins
	extent float64   // how far it reaches
	y      float64   // middle of the line, -0.5 at the top of the slip to 0.5 at its foot
	norm   float64   // what a wave fully in step sums to
}

func newWave(gaps []float64, b lines.Band, l lines.Layout, height float64) *wave {
	w := &wave{gaps: gaps, origin: l.Left, from: float64(b.X0), extent: float64(b.X1 - b.X0),
		y: float64(b.Y0+b.Y1)/2/height - 0.5, swing: make([]float64, len(gaps))}
	// The average of just one cell, moving along: long bare stretches and the
	// blackness of the line drop out.
	half := int(l.Cell / 2)
	sum := make([]float64, len(gaps)+1)
	for i, v := range gaps {
		sum[i+1] = sum[i] + v
	}
	x0, x1 := max(b.X0-half, 0), min(b.X1+half, len(gaps))
	for x := x0; x < x1; x++ {
		lo, hi := max(x-half, 0), min(x+half+1, len(gaps))
		w.swing[x] = gaps[x] - (sum[hi]-sum[lo])/float64(hi-lo)
		w.norm += math.Abs(w.swing[x])
	}
	// A swing that is all at borders and middles sums to about this share.
	w.norm *= 0.75
	return w
}

// tone sums the swing at one step: its size says how much of it has that step,
// its angle where the bare columns lie, counted from the origin.
func (w *wave) tone(step float64) complex128 {
	if w.norm == 0 {
		return 0
	}
	turn := cmplx.Exp(complex(0, -2*math.Pi/step))
	x0 := max(int(w.from-step), 0)
	x1 := min(int(w.from+w.extent+step), len(w.swing))
	at := cmplx.Exp(complex(0, -2*math.Pi*(float64(x0)-w.origin)/step))
	var z complex128
	for x := x0; x < x1; x++ {
		z += complex(w.swing[x], 0) * at
		at *= turn
	}
	return z / complex(w.norm, 0)
}

// inStep is how far the swing has its bare columns at x0 + k*step, -1 to 1; z is
// its tone at that step.
func (w *wave) inStep(z complex128, step, x0 float64) float64 {
	return real(z * cmplx.Exp(complex(0, 2*math.Pi*(x0-w.origin)/step)))
}

// shared is one grid for all lines: at height y its borders lie at origin +
// phase + slant*y + k*step(y).
type shared struct{ phase, slant, width, growth float64 }

func (g shared) step(y float64) float64 { return g.width * (1 + g.growth*y) }

// How far the search reaches. The measured cell is good to a few percent; what
// perspective is left after flattening changes it by less than that.
const (
	widthReach  = 0.05   // share of the cell
	widthStep   = 0.0008 // half a cell over 60 columns is 0.008
	growthReach = 0.016
	growthStep  = 0.002
	slantReach  = 0.8 // cells over the height of the slip
	slantStep   = 0.05
)

// together finds the shared grid, how far all lines are in step with it and how
// much of their swing it explains, both 0 to 1.
func together(waves []*wave, cell float64) (best shared, inStep, strength float64) {
	var set []*wave
	var weights []float64
	total, all := 0.0, 0.0
	for _, w := range waves {
		if w == nil || w.norm == 0 {
			continue
		}
		set = append(set, w)
		n := math.Sqrt(min(w.extent/cell, 40))
		weights = append(weights, n)
		all += n
	}
	if len(set) == 0 {
		return shared{width: cell}, 0, 0
	}
	reach := widthReach + growthReach/2
	n := int(math.Ceil(reach / widthStep))
	tones := make([][]complex128, len(set))
	sizes := make([][]float64, len(set)) // of the tones, weighed
	for i, w := range set {
		tones[i], sizes[i] = make([]complex128, 2*n+1), make([]float64, 2*n+1)
		own := 0.0
		for k := range tones[i] {
			tones[i][k] = w.tone(cell * (1 + widthStep*float64(k-n)))
			size := cmplx.Abs(tones[i][k])
			own, sizes[i][k] = max(own, size), size*weights[i]
		}
		total += own * weights[i]
	}
	if total == 0 {
		return shared{width: cell}, 0, 0
	}
	var slants []float64
	var turns [][]complex128 // by slant and line
	for slant := -slantReach; slant <= slantReach+1e-9; slant += slantStep {
		row := make([]complex128, len(set))
		for i, w := range set {
			row[i] = cmplx.Rect(weights[i], 2*math.Pi*slant*w.y)
		}
		slants, turns = append(slants, slant), append(turns, row)
	}
	bestV := -1.0
	row := make([]complex128, len(set))
	reached := int(math.Round(widthReach / widthStep))
	for c := -reached; c <= reached; c++ {
		width := cell * (1 + widthStep*float64(c))
		for growth := -growthReach; growth <= growthReach+1e-9; growth += growthStep {
			most := 1e-9 // what all lines in step would sum to
			for i, w := range set {
				k := c + int(math.Round(growth*w.y/widthStep)) + n
				row[i] = tones[i][k]
				most += sizes[i][k]
			}
			if most < bestV {
				continue // no slant can bring more
			}
			for s, slant := range slants {
				var z complex128
				for i, v := range row {
					z += v * turns[s][i]
				}
				// Near a tie the plainest grid wins.
				v := cmplx.Abs(z) * (1 - 0.02*math.Abs(growth)/growthReach - 0.02*math.Abs(slant)/slantReach)
				if v > bestV {
					bestV = v
					best = shared{phase: -cmplx.Phase(z) / (2 * math.Pi) * width, slant: slant * width, width: width, growth: growth}
				}
			}
		}
	}
	return best, bestV / total, bestV / all
}
