package parse

import (
	"math"

	"tankroll/record"
)

// Labels over their values, in columns so full that one space parts a label from the next:
//
//	3.0 PASSES 24 H SINCE MIDNIGHT
//	22              18

// edgeFullLabels marks where such labels begin: each value of the line below begins under a word,
// and the words cut there are labels. It reports whether it marked any.
func (d *doc) edgeFullLabels() bool {
	marked := false
	for i := 0; i+1 < len(d.lines); i++ {
		above, below := d.lines[i], d.lines[i+1]
		if above.rule || below.rule || below.gap || len(above.toks) < 2 || len(below.toks) < 2 || above.toks[len(above.toks)-1].number {
			continue
		}
		if at := fullLabels(above.toks, below.toks); len(at) > 0 && d.eachLabel(above.toks, at) {
			for _, j := range at {
				above.toks[j].edge = true
			}
			marked = true
		}
	}
	return marked
}

// fullLabels are the words of a line, but the first, that a cell of figures begins below, where
// at least one of them begins no cell; nil where a cell begins below no word, or is no figure.
func fullLabels(above, below []token) []int {
	const slack = 0.6 // characters
	var at []int
	narrow := false
	j := 1
	for k := 0; k < len(below); k = cellEnd(below, k) {
		if !hasDigit(below[k].text) || below[k].bar {
			return nil
		}
		if k == 0 {
			if math.Abs(below[0].col-above[0].col) > slack {
				return nil
			}
			continue
		}
		for j < len(above) && above[j].col < below[k].col-slack {
			if starts(above, j) {
				return nil // a label without a value
			}
			j++
		}
		if j == len(above) || above[j].col > below[k].col+slack {
			return nil
		}
		narrow = narrow || !starts(above, j)
		at = append(at, j)
		j++
	}
	for ; j < len(above); j++ {
		if starts(above, j) {
			return nil
		}
	}
	if !narrow {
		return nil
	}
	return at
}

// eachLabel reports whether tokens that are cut at some places are labels of several fields, the
// first behind the rate of a test or not.
func (d *doc) eachLabel(toks []token, at []int) bool {
	from := 0
	for n := 0; n <= len(at); n++ {
		to := len(toks)
		if n < len(at) {
			to = at[n]
		}
		piece := toks[from:to]
		if r, ok := d.readClass(record.LineSummary, piece, ""); ok && piece[0].number && r.used < len(piece) {
			piece = piece[r.used:]
		}
		if !d.onlyLabel(piece) {
			return false
		}
		from = to
	}
	return true
}
