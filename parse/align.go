package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
)

// A column whose text fills it leaves one space only before the next. Where
// lines of one form begin a cell at one place, a word of another such line that
// begins there begins a cell too.
const (
	alignReach = 12   // lines up and down that may show the column
	alignSlack = 0.25 // character cells
	alignLeast = 2    // lines that show it
)

// markAligned marks the tokens that begin cells by standing where those of the
// lines around them do.
func (d *doc) markAligned() {
	for i := range d.lines {
		toks := d.lines[i].toks
		for j := 1; j < len(toks); j++ {
			if t := toks[j]; !starts(toks, j) && !t.fused && t.gap > 0.5 && toks[j-1].delim == 0 && (d.alignedAt(i, j) || d.headingAt(i, j) || d.thingAgain(toks, j)) {
				d.lines[i].toks[j].edge = true
			}
		}
	}
}

// alignedAt reports whether lines of the form of line i begin a cell where its
// token j stands.
func (d *doc) alignedAt(i, j int) bool {
	toks := d.lines[i].toks
	n := 0
	for _, step := range []int{-1, 1} {
		for k := i + step; k >= 0 && k < len(d.lines) && k >= i-alignReach && k <= i+alignReach; k += step {
			other := d.lines[k].toks
			if !sameForm(toks, other) {
				break
			}
			if cellAt(other, toks[j].col) {
				n++
			}
		}
	}
	return n >= alignLeast
}

// headingAt reports whether token j of line i begins a heading that leaves one space only
// behind the unit of the heading before it: a value of the next line begins there behind a
// wide gap, and cells of other lines around them do.
//
//	PRODUCT, MM     WATER, MM     FULL, %
//	853             6             42.6
//	LEAK RATE, L/H  THRESHOLD, L/H
//	-0.16           0.38
func (d *doc) headingAt(i, j int) bool {
	toks := d.lines[i].toks
	if i+1 >= len(d.lines) || !d.isUnit(toks[j-1]) || d.littleWord(toks[j-1]) || !d.spelt(toks[j], lexicon.Part) {
		return false
	}
	below := d.lines[i+1].toks
	if !cellAt(below, toks[j].col) || !hasFigures(below) || d.isHeading(below) || !d.isHeading(toks) || d.onePhrase(toks, j) {
		return false
	}
	if d.cellsAlike(toks, below) {
		return true
	}
	n := 0
	for k := max(0, i-alignReach); k < min(len(d.lines), i+alignReach); k++ {
		if k != i && cellAt(d.lines[k].toks, toks[j].col) {
			n++
		}
	}
	return n >= alignLeast
}

// cellsAlike reports whether each of several cells of a line begins where a word of the line
// above does that begins a cell or stands behind a unit, and none of that line's cells is left.
func (d *doc) cellsAlike(above, below []token) bool {
	const several = 3
	mayBegin := map[int]bool{}
	for j := range above {
		mayBegin[j] = starts(above, j) || d.isUnit(above[j-1]) && !d.littleWord(above[j-1])
	}
	all := cells(below)
	found := 0
	for j := range above {
		if mayBegin[j] && slices.ContainsFunc(all, func(c []token) bool { return math.Abs(c[0].col-above[j].col) < alignSlack }) {
			found++
		} else if starts(above, j) {
			return false
		}
	}
	return len(all) >= several && found == len(all)
}

// onePhrase reports whether the tokens on both sides of token j are words of one phrase.
func (d *doc) onePhrase(toks []token, j int) bool {
	for from := max(0, j-maxPhraseWords+1); from < j; from++ {
		for to := j + 1; to <= min(len(toks), from+maxPhraseWords); to++ {
			for _, h := range d.find(toks[from:to]) {
				if h.Cost == 0 && !crosses(toks[from:to], to-from) {
					return true
				}
			}
		}
	}
	return false
}

// thingAgain reports whether token j names another thing of a line that holds nothing but the
// same word, each time with a number: TANK 1 TANK 2 TANK 3.
func (d *doc) thingAgain(toks []token, j int) bool {
	if len(toks)%2 != 0 || j%2 != 0 || toks[j].norm != toks[0].norm || !d.isDevice(toks[j]) {
		return false
	}
	for i, t := range toks {
		if i%2 == 0 && t.norm != toks[0].norm || i%2 == 1 && !plainDigits(t.text, 1, 2) {
			return false
		}
	}
	return true
}

// sameForm reports whether two lines begin alike: with a name of equipment or a date and
// time at one place.
func sameForm(a, b []token) bool {
	if len(a) < 3 || len(b) < 2 || math.Abs(a[0].col-b[0].col) > alignSlack {
		return false
	}
	p, _, _, ok := a[0].ident()
	q, _, _, too := b[0].ident()
	named := ok && too && p == q
	return (named || likeFigures(a[0].text, b[0].text) && likeFigures(a[1].text, b[1].text)) && math.Abs(a[1].col-b[1].col) < alignSlack
}

// cellAt reports whether a cell that is set off by a wide gap begins at a place.
func cellAt(toks []token, col float64) bool {
	for j := 1; j < len(toks); j++ {
		if toks[j].gap >= wideGap && math.Abs(toks[j].col-col) < alignSlack {
			return true
		}
	}
	return false
}

// likeFigures reports whether two words are figures with the same marks, or letters, among
// them: 01DEC99 and 24NOV99.
func likeFigures(a, b string) bool {
	if len(a) != len(b) || len(a) < 4 {
		return false
	}
	figures := 0
	for i := range len(a) {
		x, y := a[i] >= '0' && a[i] <= '9', b[i] >= '0' && b[i] <= '9'
		if x != y || !x && isLetter(a[i]) != isLetter(b[i]) {
			return false
		}
		if x {
			figures++
		}
	}
	return figures >= 3
}
