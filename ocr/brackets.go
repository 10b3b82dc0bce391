package ocr

import (
	"slices"

	"tankroll/ocr/glyph"
)

// brackets are the pairs of signs that open and close.
var brackets = [...][2]rune{{'(', ')'}, {'[', ']'}, {'{', '}'}, {'<', '>'}}

// matchBrackets weighs an opening sign and the one that closes it as one pair: what
// opened as ( closes as ). prob holds the probabilities of each cell in the order of
// the alphabet.
func matchBrackets(prob [][]float64) {
	open := -1
	for k, p := range prob {
		switch r := best(p).r; {
		case isBracket(r, 0):
			open = k
		case isBracket(r, 1) && open >= 0:
			pair(prob[open], p)
			open = -1
		}
	}
}

func isBracket(r rune, side int) bool {
	return slices.ContainsFunc(brackets[:], func(b [2]rune) bool { return b[side] == r })
}

// pair shares what both cells have for brackets among the pairs that they may be.
func pair(open, close []float64) {
	var at [len(brackets)][2]int
	var both [len(brackets)]float64
	var sumOpen, sumClose, sum float64
	for i, b := range brackets {
		at[i] = [2]int{slices.Index(glyph.Alphabet, b[0]), slices.Index(glyph.Alphabet, b[1])}
		p, q := open[at[i][0]], close[at[i][1]]
		both[i] = p * q
		sumOpen, sumClose, sum = sumOpen+p, sumClose+q, sum+p*q
	}
	if sum <= 0 {
		return
	}
	for i, a := range at {
		open[a[0]], close[a[1]] = sumOpen*both[i]/sum, sumClose*both[i]/sum
	}
}
