package ocr

import (
	"math"
	"slices"
	"unicode"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
	"tankroll/ocr/recognise"
)

// Bold letters touch, and an L is bare on its right: a word's cells may lie up to half a
// cell beside its letters, and then read surely as others. Where the recognizer, which
// knows no cells, reads a word surely and the cells below say something else, the cells
// are laid so that its letters can be seen in them, and the slip's cells are read again.
// Only the place is taken from it: what stands there is again for both to say.
const (
	anchorSure  = 0.7 // of the recognizer, in a word
	anchorLeast = 2   // letters of a word
	// Figures are taken for each other too easily for one of them to say anything: a word
	// with some has this many characters, and cells are well laid from this share on on
	// which both agree.
	anchorFigures = 3
	anchorAgree   = 0.7
	anchorSeen    = 0.5 // how surely its letters must be seen in cells laid anew, as their geometric mean
	anchorBetter  = 1.5 // times as surely as in those that were there
	// The places tried, in cells, and the widths, as shares.
	anchorStep, anchorSide   = 0.1, 4
	anchorWider, anchorWides = 0.02, 2
)

// anchor lays cells anew below words that only the recognizer reads, and reports
// whether it did.
func (r *Reader) anchor(u *upright, cells []cellLine, words [][]recognise.Word) bool {
	moved := false
	pass := glyph.NewPass()
	u.grid = slices.Clone(u.grid)
	for i, line := range cells {
		if len(line.cells) == 0 || u.layout.Bands[i].Inverse {
			continue
		}
		for _, w := range words[i] {
			if at, ok := r.relay(u, line, w, pass); ok {
				u.grid[i] = u.grid[i].Placed(at.first, at.borders)
				moved = true
			}
		}
	}
	return moved
}

// relaid are the borders of a word's cells, from cell first of its line on.
type relaid struct {
	first   int
	borders []float64
}

// relay finds cells below a word in which its letters are seen, where those of its line
// show others.
func (r *Reader) relay(u *upright, line cellLine, w recognise.Word, pass *glyph.Pass) (relaid, bool) {
	text, centre := lettersOf(w)
	n := len(text)
	if w.Confidence < anchorSure || n < anchorLeast {
		return relaid{}, false
	}
	first := int(math.Round(line.CellAt(centre) - float64(n)/2))
	if first < 0 || first+n > len(line.cells) {
		return relaid{}, false
	}
	agree := 0
	for k, c := range text {
		if top, _ := line.cells[first+k].top(); oneLetter(top, c) {
			agree++
		}
	}
	if agree == n || hasFigure(text) && (n < anchorFigures || float64(agree) >= anchorAgree*float64(n)) {
		return relaid{}, false
	}
	best, bestV := grid.Line{}, max(math.Log(anchorSeen), r.seen(u, line.Line, first, text, pass)+math.Log(anchorBetter))
	for wide := -anchorWides; wide <= anchorWides; wide++ {
		step := line.Step * (1 + anchorWider*float64(wide))
		for side := -anchorSide; side <= anchorSide; side++ {
			g := grid.Line{X0: centre - float64(n)/2*step + anchorStep*float64(side)*step, Step: step, Base: line.Base, Cap: line.Cap, Cells: n}
			if v := r.seen(u, g, 0, text, pass); v > bestV {
				best, bestV = g, v
			}
		}
	}
	if best.Cells == 0 {
		return relaid{}, false
	}
	out := relaid{first: first}
	for k := range n + 1 {
		out.borders = append(out.borders, best.Border(k))
	}
	return out, true
}

// seen is how surely letters are seen in the cells of a line from first on, as the mean
// logarithm of their probability.
func (r *Reader) seen(u *upright, g grid.Line, first int, text []rune, pass *glyph.Pass) float64 {
	sum := 0.0
	for k, c := range text {
		g.Cell(u.even, first+k, 0, false, pass.In)
		sum += math.Log(probOf(r.net.Weigh(pass), c) + 0.01)
	}
	return sum / float64(len(text))
}

// oneLetter is whether a cell and the recognizer do not show that the cell lies beside its
// letter: they say the same one, be it large or small, or one of them says a mark. A slash
// is what a cell shows of the side of an A.
func oneLetter(cell, said rune) bool {
	return cell == said || unicode.ToLower(cell) == unicode.ToLower(said) || unicode.IsPunct(cell) && cell != '/' || unicode.IsPunct(said)
}

// hasFigure is whether a word has figures.
func hasFigure(text []rune) bool { return slices.ContainsFunc(text, unicode.IsDigit) }

// lettersOf are the characters of a word and the middle of it.
func lettersOf(w recognise.Word) (text []rune, centre float64) {
	for _, s := range w.Symbols {
		for _, c := range s.Text {
			text = append(text, plainRune(c))
		}
	}
	return text, float64(w.Box.Min.X+w.Box.Max.X) / 2
}
