package score

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
)

// Example is one thing of which it is known whether it was right, with what spoke
// for it.
type Example struct {
	Level    string // where it was seen
	Features []float64
	Right    bool
}

// Logistic is the probability that a weighted sum of features stands for.
func Logistic(weights, features []float64) float64 {
	sum := 0.0
	for i, f := range features {
		sum += weights[i] * f
	}
	return 1 / (1 + math.Exp(-sum))
}

// decay draws weights towards 0 as much as one example would; it keeps those of
// features that nothing is known about at 0.
const decay = 1

// FitLogistic finds the weights of the features with which Logistic says how often
// such an example is right: logistic regression by Newton's method, with a little
// decay. All examples have n features.
func FitLogistic(all []Example, n int) []float64 {
	const steps, enough = 100, 1e-9
	w := make([]float64, n)
	for range steps {
		most := 0.0
		for i, v := range newtonStep(all, w) {
			w[i] += v
			most = max(most, math.Abs(v))
		}
		if most < enough {
			break
		}
	}
	return w
}

func newtonStep(all []Example, w []float64) []float64 {
	n := len(w)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
		a[i][i], a[i][n] = decay, -decay*w[i]
	}
	for _, e := range all {
		p := Logistic(w, e.Features)
		off := -p
		if e.Right {
			off = 1 - p
		}
		for i, x := range e.Features {
			for j, y := range e.Features {
				a[i][j] += p * (1 - p) * x * y
			}
			a[i][n] += off * x
		}
	}
	return solve(a)
}

// solve solves a linear system, its right side last in each row, by Gauss's
// elimination. It changes a.
func solve(a [][]float64) []float64 {
	n := len(a)
	for c := range n {
		p := c
		for r := c; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		a[c], a[p] = a[p], a[c]
		for r := range n {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k <= n; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = a[i][n] / a[i][i]
	}
	return x
}

// Reliabilities is how far what weights say can be relied on, over all examples and
// by level.
func Reliabilities(all []Example, weights []float64) (whole Reliability, levels map[string]Reliability) {
	levels = map[string]Reliability{}
	for _, e := range all {
		p := Logistic(weights, e.Features)
		whole.Add(p, e.Right)
		l := levels[e.Level]
		l.Add(p, e.Right)
		levels[e.Level] = l
	}
	return whole, levels
}

// PrintReliability writes ten bins of what weights say of examples, and how far it is off
// at each level.
func PrintReliability(w io.Writer, all []Example, weights []float64) {
	whole, levels := Reliabilities(all, weights)
	for _, b := range whole {
		if b.N > 0 {
			fmt.Fprintf(w, "  %7d  said %.4f  right %.4f\n", b.N, b.MeanSaid(), b.Share())
		}
	}
	fmt.Fprintf(w, "  off by %.4f", whole.Error())
	for _, l := range slices.Sorted(maps.Keys(levels)) {
		fmt.Fprintf(w, "  %s %.4f", l, levels[l].Error())
	}
	fmt.Fprintln(w)
}
