package ocr

import (
	"strings"

	"tankroll/ocr/wordlist"
)

// longestWord bounds the runs of cells that words are looked for in.
const longestWord = 24

// inWords weighs the characters of a line, given as probabilities in the order of the
// alphabet, by the words that they make.
func inWords(list *wordlist.List, probs [][]float64) {
	parts := func(row []float64) bool { return strings.ContainsRune(wordlist.Parting, best(row).r) }
	for k := 0; k < len(probs); k++ {
		from := k
		for k < len(probs) && !parts(probs[k]) {
			k++
		}
		if n := k - from; n > 0 && n <= longestWord {
			list.Weigh(probs[from:k])
		}
	}
}
