package gemm

import (
	"math"
	"math/rand/v2"
	"testing"
)

func filled(rng *rand.Rand, n, w, step int) Matrix {
	m := Matrix{N: n, W: w, Step: step, V: make([]float32, n*step)}
	for i := range m.V {
		m.V[i] = float32(rng.NormFloat64())
	}
	return m
}

func TestAdd(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		n, k, w := 1+rng.IntN(20), 1+rng.IntN(40), 1+rng.IntN(50)
		a, b, m := filled(rng, n, k, k+rng.IntN(3)), filled(rng, k, w, w+rng.IntN(3)), filled(rng, n, w, w)
		want := make([]float64, n*w)
		for i := range n {
			for j := range w {
				want[i*w+j] = float64(m.V[i*w+j])
				for l := range k {
					want[i*w+j] += float64(a.V[i*a.Step+l]) * float64(b.V[l*b.Step+j])
				}
			}
		}
		m.Add(a, b)
		for i, v := range want {
			if math.Abs(v-float64(m.V[i])) > 1e-4 {
				t.Fatalf("%d x %d x %d: number %d is %v, want %v", n, k, w, i, m.V[i], v)
			}
		}
	}
}

func TestShares(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for w := 1; w < 40; w++ {
		m := filled(rng, 3, w, w+2)
		for i := range m.V {
			m.V[i] *= 20
		}
		m.V[0] = -500 // so little that it is nothing
		before := append([]float32{}, m.V...)
		m.Shares()
		for i := range m.N {
			sum, most := 0.0, math.Inf(-1)
			for j := range w {
				most = max(most, float64(before[i*m.Step+j]))
			}
			for j := range w {
				sum += math.Exp(float64(before[i*m.Step+j]) - most)
			}
			for j := range w {
				want := math.Exp(float64(before[i*m.Step+j])-most) / sum
				if got := float64(m.V[i*m.Step+j]); math.Abs(got-want) > 2e-5 {
					t.Fatalf("%d wide, row %d: share %d is %v, want %v", w, i, j, got, want)
				}
			}
			for j := w; j < m.Step; j++ {
				if m.V[i*m.Step+j] != before[i*m.Step+j] {
					t.Fatalf("%d wide: what lies between rows was changed", w)
				}
			}
		}
	}
	Matrix{}.Shares()
}
