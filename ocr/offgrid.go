package ocr

import (
	"math"
	"unicode"

	"tankroll/ocr/recognise"
)

// Print of letters of their own widths can be in step with a grid by chance: some
// cell or other holds each of its letters. The recognizer knows nothing of cells.
// Where it reads surely what the cells read as something else, or have no place for,
// and the cells themselves are none too sure, there is no grid. Of 24 slips of the
// fit part, faded and ghost, 0.15 of the characters were so contradicted at most, and
// cells read at 0.97 or more; of 22 legible receipts drawn in fixed faces the same
// holds but for one (0.21, 0.954); of 22 in proportional faces 0.205 or more were
// contradicted, and cells read at 0.913 at most. What a sure cell holds may be called the
// same wrong name all over a slip, as a 0 with a slash a 6; that is one contradiction.
const (
	surelySeen       = 0.8  // confidence from which the recognizer's symbol counts
	mostContradicted = 0.18 // share of them
	surelyOnGrid     = 0.94 // geometric mean of the likeliest characters' probabilities
	readsLoose       = 0.6  // mean confidence of the recognizer's words from which they are better than wrong cells
	fewSeen          = 20   // symbols too few to tell by
)

// offGrid is whether what the recognizer reads shows that the lines' cells are not
// where their characters are.
func offGrid(cells []cellLine, words [][]recognise.Word) bool {
	seen, same, again := 0, 0, 0
	swapped := map[[2]rune]bool{}
	sure, marks := 0.0, 0.0
	conf, letters := 0.0, 0.0
	for i, line := range cells {
		if line.ruled() {
			continue
		}
		for _, w := range words[i] {
			for _, s := range w.Symbols {
				if s.Confidence >= surelySeen {
					seen++
				}
				conf, letters = conf+w.Confidence, letters+1
			}
		}
		for k, s := range alignSymbols(line, words[i]) {
			c := line.cells[k]
			r, p := c.top()
			switch {
			case !s.ok || s.conf < surelySeen:
			case s.r == r:
				same++
			case p >= surelyOnGrid && swapped[[2]rune{r, s.r}]:
				again++
			default:
				swapped[[2]rune{r, s.r}] = true
			}
			if c.prob != nil && c.inked >= clearInk {
				sure, marks = sure+math.Log(p+0.01), marks+1
			}
		}
	}
	seen -= again
	return seen >= fewSeen && float64(seen-same) > mostContradicted*float64(seen) &&
		sure < marks*math.Log(surelyOnGrid) && conf > readsLoose*letters
}

// ruled is whether a line is mostly one mark that is neither letter nor figure:
// rules and leaders, which the recognizer reads as anything.
func (l cellLine) ruled() bool {
	count := map[rune]int{}
	all, most := 0, 0
	for _, c := range l.cells {
		r, _ := c.top()
		if c.prob == nil || r == ' ' {
			continue
		}
		all++
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			count[r]++
			most = max(most, count[r])
		}
	}
	return 2*most > all
}
