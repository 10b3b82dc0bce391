package ocr

import (
	"math"
	"slices"
	"unicode"

	"tankroll/ocr/glyph"
)

// What stands beside a character says much about it: a 1 among small letters
// is an l, an O among digits a 0. The neighbours' kinds are weighed by a chain
// over kinds of characters, which knows how words, numbers and codes are
// spelled and no word of any language or console.

// kind is a kind of character. A capital that begins a word and one within a
// word differ in what may follow.
type kind int

const (
	blank kind = iota
	small
	initial
	capital
	digit
	sign
	kinds
)

// follows holds, for every kind, how likely each kind is to come next, as
// natural logarithms against the usual case. From general knowledge of print:
// kinds change between words, seldom within.
var follows = [kinds][kinds]float64{
	//          blank small initial capital digit sign
	blank:   {0, 0, 0, never, 0, 0},
	small:   {0, 0, never, -4.5, -4, -0.5},
	initial: {-0.5, 0, never, 0, -1.5, -1},
	capital: {0, -4.5, never, 0, -2.5, -0.5},
	digit:   {0, -3.5, never, -2.5, 0, 0},
	sign:    {0, -0.5, 0, never, 0, 0},
}

// never is the weight of what cannot be.
const never = -1e9

// kindsOf lists the kinds that a character may be.
func kindsOf(r rune) []kind {
	switch {
	case r == ' ':
		return []kind{blank}
	case unicode.IsLower(r):
		return []kind{small}
	case unicode.IsUpper(r):
		return []kind{initial, capital}
	case unicode.IsDigit(r):
		return []kind{digit}
	}
	return []kind{sign}
}

// inContext weighs the characters of every cell, given as scores in the order of
// the alphabet, by their neighbours, and gives each cell's probabilities.
func inContext(scores [][]float64) [][]float64 {
	n := len(scores)
	emit := make([][kinds]float64, n)
	for k, row := range scores {
		for i, v := range row {
			for _, c := range kindsOf(glyph.Alphabet[i]) {
				emit[k][c] += v
			}
		}
	}
	before := make([][kinds]float64, n) // weight of all that may stand before, by kind
	after := make([][kinds]float64, n)
	edge := [kinds]float64{blank: 1}
	prev := edge
	for k := range n {
		for c := range kinds {
			for p := range kinds {
				before[k][c] += prev[p] * math.Exp(follows[p][c])
			}
			prev2 := before[k][c] * emit[k][c]
			after[k][c] = prev2 // kept for a moment
		}
		prev = normal(after[k])
	}
	next := [kinds]float64{}
	for c := range kinds {
		next[c] = math.Exp(follows[c][blank])
	}
	for k := n - 1; k >= 0; k-- {
		after[k] = next
		var come [kinds]float64
		for c := range kinds {
			for q := range kinds {
				come[c] += math.Exp(follows[c][q]) * emit[k][q] * after[k][q]
			}
		}
		next = normal(come)
	}
	out := make([][]float64, n)
	for k, row := range scores {
		out[k] = slices.Clone(row)
		sum := 0.0
		for i := range row {
			w := 0.0
			for _, c := range kindsOf(glyph.Alphabet[i]) {
				w += before[k][c] * after[k][c]
			}
			out[k][i] *= w
			sum += out[k][i]
		}
		for i := range row {
			out[k][i] /= max(sum, 1e-300)
		}
	}
	return out
}

func normal(v [kinds]float64) [kinds]float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	if sum > 0 {
		for i := range v {
			v[i] /= sum
		}
	}
	return v
}
