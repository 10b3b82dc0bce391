package ocr

import (
	"math"
	"slices"

	"tankroll/ocr/alike"
	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/raster"
	"tankroll/ocr/slipnet"
)

// cellLine is what one line reads as, cell by cell.
type cellLine struct {
	grid.Line
	cells []cell
}

// cell is one character cell: how likely each character of the alphabet is. One
// without ink has no probabilities.
type cell struct {
	pix   []float32 // its picture, as package alike takes it
	net   []float32 // how likely each character is to the network that sees the whole slip
	prob  []float32 // the same once the slip's cells have been held against each other
	alone []float32 // seen by itself
	inked float64
}

const (
	// blankInk is the ink below which a cell is bare without asking: the
	// faintest hyphens of small type hold 0.05.
	blankInk = 0.03
	// clearInk is the ink from which a cell surely holds a mark.
	clearInk = 0.12
)

// bare is whether a cell holds no ink worth asking about.
func (c cell) bare() bool { return c.inked < blankInk }

// top is the likeliest character and its probability.
func (c cell) top() (rune, float64) {
	if c.prob == nil {
		return ' ', 1
	}
	return topOf(c.prob)
}

// topOf is the likeliest character of the alphabet.
func topOf(prob []float32) (rune, float64) {
	best := glyph.Likeliest(prob)
	return glyph.Alphabet[best], float64(prob[best])
}

// of is the probability of r, seen with the whole slip.
func (c cell) of(r rune) float64 { return probOf(c.prob, r) }

// byItself is the probability of r, seen alone.
func (c cell) byItself(r rune) float64 { return probOf(c.alone, r) }

func probOf(prob []float32, r rune) float64 {
	i := slices.Index(glyph.Alphabet, r)
	switch {
	case i < 0:
		return 0
	case prob == nil:
		if i == 0 {
			return 1
		}
		return 0
	}
	return float64(prob[i])
}

// leastLineSure is the mean sureness from which a line's cells hold print; the
// faintest lines of ghosts are at 0.6, folds and tape at 0.3.
const leastLineSure = 0.45

// leastLineClear is the mean sureness, of the network that reads a slip's cells together,
// from which a line of leastClearCells or more is print. Of 5,600 lines of 96 slips in
// faces that it was not taught and in others, ghosts among them, none was below 0.78; of 28 marks that
// had been taken for lines, such as folds, tape and stains, 13 were below 0.72.
const (
	leastLineClear  = 0.72
	leastClearCells = 4
)

// dull is whether a line's cells hold marks but no print.
func (l cellLine) dull() bool {
	sum, n := 0.0, 0
	clear, seen := 0.0, 0
	for _, c := range l.cells {
		if c.net != nil {
			clear, seen = clear+float64(slices.Max(c.net)), seen+1
		}
		if c.prob == nil {
			continue
		}
		if r, p := c.top(); r != ' ' {
			sum, n = sum+math.Log(p+0.01), n+1
		}
	}
	return n == 0 || math.Exp(sum/float64(n)) < leastLineSure || seen >= leastClearCells && clear < leastLineClear*float64(seen)
}

// readCells reads the slip on its own grid; nil when its print is on none.
func (r *Reader) readCells(u upright) []cellLine {
	if u.grid == nil {
		return nil
	}
	pass := glyph.NewPass()
	out := make([]cellLine, len(u.grid))
	by := missedBases(u.grid, u.layout)
	lookers, tops := make([]*looker, len(u.grid)), make([]int, len(u.grid))
	var off []float32 // by how many capitals base lines lie beside where all agree they are
	for i, g := range u.grid {
		if g.Cells <= 0 || g.Cells > maxCells {
			continue
		}
		p, b := u.even, u.layout.Bands[i]
		if b.Inverse {
			p, tops[i] = barOnly(p, b)
		}
		g.Before, g.Next = between(u.grid, i)
		g.Base -= float64(tops[i])
		lookers[i] = r.newLooker(p, g, b.Inverse, pass)
		if by[i].agree {
			off = append(off, float32(lookers[i].settlePart(0, g.Cells, 0, by[i].missed, 0)-by[i].missed))
		}
	}
	usual := float64(raster.Quantile(off, 0.5))
	var which []int
	var strips []slipnet.Line
	for i, l := range lookers {
		if l == nil {
			continue
		}
		by[i].missed += usual
		var s slipnet.Line
		out[i], s = l.lines(by[i])
		out[i].Base += float64(tops[i])
		if out[i].bare() {
			continue
		}
		which, strips = append(which, i), append(strips, s)
	}
	for i, read := range r.whole.Read(strips) {
		line := out[which[i]]
		for k := range line.cells {
			if !line.cells[k].bare() {
				at := k + 1 // after the bare cell at the line's beginning
				line.cells[k].pix, line.cells[k].net = strips[i].Cell(at), read[at]
			}
		}
	}
	holdTogether(out, nil)
	return out
}

// between is the base line of the line above line i, and where the capitals of the one below begin; 0
// where there is none.
func between(set []grid.Line, i int) (before, next float64) {
	for _, l := range set[i+1:] {
		if l.Cells > 0 {
			next = l.Base - l.Cap
			break
		}
	}
	for k := i - 1; k >= 0 && before == 0; k-- {
		if set[k].Cells > 0 {
			before = set[k].Base
		}
	}
	return before, next
}

// holdTogether holds a slip's cells against each other. syms is what the recognizer
// takes them for, nil before that is known: what a character looks like is then shown
// by the cells that both take for it, for what one of them gets wrong it gets wrong
// all over a slip.
func holdTogether(lines []cellLine, syms [][]symbolAt) {
	var inked []*cell
	var seen []alike.Cell
	for i, l := range lines {
		for k := range l.cells {
			if c := &l.cells[k]; c.net != nil {
				says := 0
				if syms != nil {
					says = max(syms[i][k].at, 0)
				}
				inked = append(inked, c)
				seen = append(seen, alike.Cell{Pix: c.pix, Prob: c.net, Lone: c.alone, Says: says})
			}
		}
	}
	for i, prob := range alike.Weigh(seen) {
		inked[i].prob = prob
	}
	alignBars(lines)
}

// maxCells bounds a line: no roll prints more than 64 columns, a strip of two
// slips side by side would hold twice that.
const maxCells = 160

// bare is whether no cell of the line holds ink.
func (l cellLine) bare() bool {
	return !slices.ContainsFunc(l.cells, func(c cell) bool { return !c.bare() })
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}
