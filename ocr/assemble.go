package ocr

import (
	"cmp"
	"image"
	"math"
	"slices"
	"strings"

	"tankroll/ocr/glyph"
	"tankroll/ocr/lines"
	"tankroll/ocr/oneface"
	"tankroll/ocr/recognise"
	"tankroll/record"
)

// mix says how much each of the two readings counts.
type mix struct {
	cell   float64 // exponent on the cell's probability
	symbol float64 // added, in natural logarithms, for the recognizer's symbol when it is fully sure
	floor  float64 // probability granted to any character
}

// Signs that printouts seldom hold, and how likely each is against any other character. A
// bracket with corners is a round one on most heads that print it.
const (
	seldomSigns = "<>{}~^`\\|@$;?_"
	seldom      = 0.1
)

// defaultMix was fitted on the fit part of the fixtures, for the highest word F1: of 200 slips,
// 96 of them in faces that no network was taught, 845 words are lost or invented, 880 with
// the recognizer weighed nearly twice as much, 855 to 1,100 with others.
var defaultMix = mix{cell: 1, symbol: 1.75, floor: 0.0015}

// char is one printed character after both readings.
type char struct {
	r     rune
	prob  float64
	next  rune // the likeliest other reading
	nextP float64
	evidence
	figure evidence // the same once it is known that a figure stands there
}

// weigh puts the two readings of a cell together: a score for every character
// of the alphabet.
func (m mix) weigh(c cell, s symbolAt) []float64 {
	score := make([]float64, len(glyph.Alphabet))
	for i, r := range glyph.Alphabet {
		p := c.of(r)
		if c.prob == nil && i > 0 {
			p = 0.001
		}
		v := math.Pow(p+m.floor, m.cell)
		if s.ok && s.r == r {
			v *= math.Exp(m.symbol * s.conf)
		}
		if strings.ContainsRune(seldomSigns, r) {
			v *= seldom
		}
		score[i] = v
	}
	return score
}

// best picks the likeliest character and the next.
func best(prob []float64) char {
	one, two := 0, 1
	if prob[1] > prob[0] {
		one, two = 1, 0
	}
	for i := 2; i < len(prob); i++ {
		switch {
		case prob[i] > prob[one]:
			one, two = i, one
		case prob[i] > prob[two]:
			two = i
		}
	}
	return char{r: glyph.Alphabet[one], prob: prob[one], next: glyph.Alphabet[two], nextP: prob[two]}
}

// assemble makes the lines of a slip of their readings. cells is nil when the
// print is on no grid.
func (r *Reader) assemble(u upright, words [][]recognise.Word, cells []cellLine, limit image.Point, t *trace) []record.Line {
	place := func(x0, y0, x1, y1 float64) record.Box {
		return u.m.Box(x0/u.scale, y0/u.scale, x1/u.scale, y1/u.scale, limit)
	}
	out := []record.Line{}
	syms := make([][]symbolAt, len(cells))
	for i, c := range cells {
		syms[i] = alignSymbols(c, words[i])
	}
	holdTogether(cells, syms)
	var told cellTable
	probs := make([][][]float64, len(cells))
	for i, c := range cells {
		if len(c.cells) > 0 && !c.dull() {
			probs[i] = r.inLine(c, syms[i])
		}
	}
	oneface.Settle(r.list, glyph.Alphabet, probs)
	above := -1 // the band of the line above
	texts := 0  // lines that are no rules
	for i, b := range u.layout.Bands {
		line := record.Line{Rule: b.Rule, Inverse: b.Inverse, Tall: b.Tall, Wide: b.Wide,
			Box: place(float64(b.X0), float64(b.Y0), float64(b.X1), float64(b.Y1))}
		switch {
		case b.Rule:
		case cells != nil && len(cells[i].cells) > 0:
			if cells[i].dull() {
				continue
			}
			line.Wide = cells[i].Wide
			chars := r.chars(cells[i], syms[i], probs[i], u.legible)
			line.Words = r.gridWords(cells[i], chars, u, b, place)
			if t != nil {
				told.line(len(out)+1, cells[i], syms[i], chars, line.Words)
			}
		default:
			line.Words = r.looseWords(words[i], u, b, place)
		}
		if isRule(line.Words) {
			line.Rule, line.Words = true, nil
		}
		if len(line.Words) > 0 || line.Rule {
			line.Apart = above >= 0 && emptyBetween(u.layout.Bands[above], b, u.layout.Pitch)
			out, above = append(out, line), i
			if !line.Rule {
				u.written.note(u, texts, float64(b.X0), float64(b.Y0), float64(b.X1), float64(b.Y1))
				texts++
			}
		}
	}
	t.text("cells", told.String())
	return out
}

// emptyBetween is whether there is room for an empty line between two lines of such
// a pitch. The middles of neighbours are one pitch apart, those of lines of double
// height half a pitch more; an underline stands at the foot of its line.
func emptyBetween(above, below lines.Band, pitch float64) bool {
	const normal, half = 1.6, 0.5
	room := float64(below.Y0+below.Y1-above.Y0-above.Y1) / 2 / pitch
	for _, b := range []lines.Band{above, below} {
		if b.Tall {
			room -= half
		}
	}
	return pitch > 0 && room > normal
}

// inLine is how likely each character is in each cell of a line, by both readings and by the
// kinds of characters beside it.
func (r *Reader) inLine(c cellLine, syms []symbolAt) [][]float64 {
	scores := make([][]float64, len(c.cells))
	for k := range scores {
		scores[k] = r.mix.weigh(c.cells[k], syms[k])
	}
	return inContext(scores)
}

// chars are a line's characters, a cell each, of what inLine says of them.
func (r *Reader) chars(c cellLine, syms []symbolAt, probs [][]float64, legible float64) []char {
	chars := make([]char, len(c.cells))
	for run := range r.list.Runs(probs) {
		r.list.Weigh(run)
	}
	matchBrackets(probs)
	for k, p := range probs {
		chars[k] = best(p)
		chars[k].evidence = witnessed(chars[k], c.cells[k], syms[k], legible)
		chars[k].figure = amongFigures(chars[k], p, c.cells[k], syms[k])
	}
	noPrint(chars)
	return chars
}

// gridWords cuts a line's characters into words at blank cells.
func (r *Reader) gridWords(c cellLine, chars []char, u upright, b lines.Band, place func(x0, y0, x1, y1 float64) record.Box) []record.Word {
	l := u.layout
	var out []record.Word
	for _, at := range wordsIn(chars) {
		w := spell(chars[at.from:at.to])
		if r.opts.Letters {
			w.Letters = letterTrust(chars[at.from:at.to])
		}
		x0, x1 := c.Border(at.from), c.Border(at.to)
		y0, y1 := min(float64(b.Y0), c.Base-c.Cap), max(float64(b.Y1), c.Base)
		w.Box = place(x0, y0, x1, y1)
		u.written.doubt(&w, u, x0, y0, x1, y1)
		w.Col, w.Width = (x0-l.Left)/l.Cell, (x1-x0)/l.Cell
		if r.testOnlyWord != nil {
			r.testOnlyWord(w, chars[at.from:at.to])
		}
		out = append(out, w)
	}
	return out
}

// wordAt is where a word stands among the characters of its line.
type wordAt struct{ from, to int }

// wordsIn parts a line at its bare cells.
func wordsIn(chars []char) []wordAt {
	var out []wordAt
	for k := 0; k < len(chars); k++ {
		from := k
		for k < len(chars) && chars[k].r != ' ' {
			k++
		}
		if k > from {
			out = append(out, wordAt{from, k})
		}
	}
	return out
}

// witnessed gathers the evidence for a character.
func witnessed(ch char, c cell, s symbolAt, legible float64) evidence {
	e := evidence{mixed: ch.prob, own: c.of(ch.r), alone: c.byItself(ch.r), conf: s.conf, legible: legible, alike: strings.ContainsRune(alikes, ch.r)}
	switch {
	case !s.ok:
	case s.r == ch.r:
		e.symbol = agrees
	default:
		e.symbol = differs
	}
	return e
}

// figures are what numbers, dates and times are printed with.
const figures = "0123456789.,:/+-()"

// amongFigures is the evidence for a character once it is known that it is a
// figure: the other readings that are none, and the recognizer's when it is
// none, no longer speak against it.
func amongFigures(ch char, prob []float64, c cell, s symbolAt) evidence {
	e := ch.evidence
	all, own, alone := 0.0, 0.0, 0.0
	for i, r := range glyph.Alphabet {
		if strings.ContainsRune(figures, r) {
			all += prob[i]
			own += c.of(r)
			alone += c.byItself(r)
		}
	}
	if !strings.ContainsRune(figures, ch.r) || all == 0 || own == 0 {
		return e
	}
	e.mixed, e.own, e.alone = e.mixed/all, e.own/own, e.alone/max(alone, 1e-9)
	if s.ok && !strings.ContainsRune(figures, s.r) {
		e.symbol, e.conf = silent, 0
	}
	return e
}

// figureTrust is the trust in a word once it is known to be all figures; 0 when
// it is not.
func figureTrust(chars []char) float64 {
	product := 1.0
	for _, c := range chars {
		if !strings.ContainsRune(figures, c.r) {
			return 0
		}
		product *= c.figure.trust()
	}
	return wordTrust(product)
}

// spell makes a word of its characters. Its confidence is that of all of them
// being right; the other readings change one character each.
func spell(chars []char) record.Word {
	text := make([]rune, len(chars))
	product := 1.0
	for i, c := range chars {
		text[i] = c.r
		product *= c.trust()
	}
	w := record.Word{Text: string(text), Confidence: wordTrust(product), AsFigures: figureTrust(chars)}
	for i, c := range chars {
		if c.nextP < leastAlternative || c.next == ' ' {
			continue
		}
		other := slices.Clone(text)
		other[i] = c.next
		// What is taken from this reading is shared by how likely the others are.
		conf := (1 - c.trust()) * c.nextP / max(1-c.prob, 0.01)
		w.Alternatives = append(w.Alternatives, record.Alternative{Text: string(other), Confidence: min(conf, w.Confidence)})
	}
	slices.SortFunc(w.Alternatives, func(a, b record.Alternative) int { return cmp.Compare(b.Confidence, a.Confidence) })
	w.Alternatives = w.Alternatives[:min(len(w.Alternatives), mostAlternatives)]
	return w
}

const (
	leastAlternative = 0.003
	mostAlternatives = 6
)

// looseWords takes the recognizer's words as they are.
func (r *Reader) looseWords(seen []recognise.Word, u upright, b lines.Band, place func(x0, y0, x1, y1 float64) record.Box) []record.Word {
	l := u.layout
	var out []record.Word
	for _, w := range seen {
		text := []rune(w.Text)
		for i, r := range text {
			text[i] = plainRune(r)
		}
		x0, x1 := float64(w.Box.Min.X), float64(w.Box.Max.X)
		word := record.Word{Text: string(text), Confidence: w.Confidence * looseTrust,
			Col: (x0 - l.Left) / l.Cell, Width: (x1 - x0) / l.Cell,
			Box: place(x0, float64(b.Y0), x1, float64(b.Y1))}
		if r.opts.Letters {
			word.Letters = looseLetterTrust(w)
		}
		if r.testOnlyLoose != nil {
			r.testOnlyLoose(word, w)
		}
		u.written.doubt(&word, u, x0, float64(b.Y0), x1, float64(b.Y1))
		out = append(out, word)
	}
	return out
}

// looseTrust scales the recognizer's confidence where no second reading backs
// it.
const looseTrust = 0.8

// isRule tells a line of one repeated mark, such as =====.
func isRule(words []record.Word) bool {
	n, mark := 0, rune(0)
	for _, w := range words {
		for _, r := range w.Text {
			switch {
			case r != '-' && r != '=' && r != '*' && r != '_' && r != '~' && r != '.' && r != '#':
				return false
			case mark == 0:
				mark = r
			}
			n++
		}
	}
	return n >= 4
}
