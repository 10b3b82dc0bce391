package ocr

import (
	"math"
	"slices"
	"testing"

	"tankroll/ocr/glyph"
)

func TestMatchBrackets(t *testing.T) {
	cells := func(of ...map[rune]float64) (out [][]float64) {
		for _, m := range of {
			p := make([]float64, len(glyph.Alphabet))
			for r, v := range m {
				p[slices.Index(glyph.Alphabet, r)] = v
			}
			out = append(out, p)
		}
		return out
	}
	letter := map[rune]float64{'A': 0.9, '4': 0.1}
	sure, torn := map[rune]float64{'(': 0.95, '<': 0.05}, map[rune]float64{'>': 0.7, ')': 0.3}
	for name, c := range map[string]struct {
		prob [][]float64
		want string
	}{
		"closed as opened":   {cells(sure, letter, torn), "(A)"},
		"opened as closed":   {cells(map[rune]float64{'<': 0.6, '(': 0.3, 'C': 0.1}, letter, map[rune]float64{')': 1}), "(A)"},
		"never opened":       {cells(letter, torn), "A>"},
		"sure of both":       {cells(map[rune]float64{'(': 1}, map[rune]float64{'>': 1}), "(>"},
		"two after another":  {cells(sure, torn, sure, torn), "()()"},
		"closed once":        {cells(sure, torn, torn), "()>"},
		"nothing":            {nil, ""},
		"of one kind anyway": {cells(map[rune]float64{'[': 1}, map[rune]float64{']': 0.6, '1': 0.4}), "[]"},
	} {
		matchBrackets(c.prob)
		got := ""
		for _, p := range c.prob {
			got += string(best(p).r)
			sum := 0.0
			for _, v := range p {
				sum += v
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: probabilities sum to %.3f", name, sum)
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
