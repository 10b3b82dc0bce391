package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// unadorn drops the strokes around a name, as in --- TANK 1 ---, and the stroke before
// an entry of a list: they are no values that are missing.
func (c *cutter) unadorn() {
	adorned, first := false, ""
	if len(c.out) > 0 {
		first = c.out[0].text
	}
	for len(c.out) > 1 && strings.Trim(c.out[0].text, "-=~_+") == "" && c.out[1].col-c.out[0].end < wideGap && !c.out[1].bar && (len(c.out[0].text) > 1 || !figuresOnly(c.out[1].text)) {
		adorned = len(c.out[0].text) > 1 || first == "~" || first == "="
		c.out[1].col = c.out[0].col // the line begins there
		c.out = c.out[1:]
	}
	if adorned {
		c.unadornWithin(first)
	}
	for n := len(c.out); adorned && n > 1 && strings.Trim(c.out[n-1].text, "-=~_+") == ""; n-- {
		c.out = c.out[:n-1]
	}
}

// unadornWithin drops the marks that close a title before other words: *** TESTS *** 0.2 GPH.
func (c *cutter) unadornWithin(mark string) {
	for i, t := range c.out {
		if t.text == mark && i > 0 && i+1 < len(c.out) {
			c.out = append(c.out[:i:i], c.out[i+1:]...)
			return
		}
	}
}

// adorned reports whether marks stand around the words of a line, as around a title:
// << SENSORS >>.
func adorned(words []record.Word) bool {
	n := len(words)
	if n == 0 {
		return false
	}
	first, last := words[0].Text, words[n-1].Text
	marks := func(s string) bool { return strings.Trim(s, "<>[]{}^!*=-~#+|") == "" }
	if marks(first) && len(first) > 1 && slices.ContainsFunc(words[1:], func(w record.Word) bool { return w.Text == first }) {
		return true
	}
	if marks(first) && marks(last) && n > 2 {
		return first != "-" && first != "+" && first != "|"
	}
	if first == ">" && n > 1 {
		return !slices.ContainsFunc(words, func(w record.Word) bool { return strings.ContainsAny(w.Text, ":=.0123456789") })
	}
	return (first[0] == '=' || first[0] == '<' || first[0] == '*') && strings.IndexByte("=>*", last[len(last)-1]) >= 0 && len(first) > 1 && len(last) > 1 && !hasDigit(last)
}

// nameApart cuts the product from the number of its tank or line: TANK 1/REGULAR, or
// 1-REGULAR and 1/REGULAR where a cell begins with it.
func (c *cutter) nameApart() {
	c.bracketApart()
	c.productApart()
	for i := 1; i < len(c.out) && i < 3; i++ {
		t := c.out[i]
		number, name, ok := strings.Cut(t.text, "/")
		if !ok || !plainDigits(strings.TrimLeft(number, "#"), 1, 2) || len(name) < 2 || !isLetter(name[0]) || identPrefixes[c.out[0].norm] == "" && !c.device(c.out[0].norm) && i == 1 {
			continue
		}
		a, b := t, t
		share := (t.end - t.col) / float64(len(t.text))
		a.text, a.norm, a.delim, a.stop, a.shut, a.end = number, number, 0, 0, false, t.col+share*float64(len(number))
		b.text, b.norm, b.fused, b.open, b.edge, b.col = name, strings.ToLower(name), true, false, true, a.end+share
		c.out = slices.Concat(c.out[:i], []token{a, b}, c.out[i+1:])
		return
	}
}

// productApart is nameApart for a number with a letter or no word before it, and for other
// marks: 1-REGULAR, T1/REGULAR, TANK 1(REGULAR).
func (c *cutter) productApart() {
	const marks = "-/(,*_;=>"
	for i := 0; i < len(c.out); i++ {
		t := c.out[i]
		at := strings.IndexAny(t.text, marks)
		if at < 1 || at > 8 || !isDigit(rune(t.text[at-1])) || strings.Trim(t.text[at:], marks) == "" {
			continue
		}
		head, name := t.text[:at], strings.TrimLeft(t.text[at:], marks)
		prefix, number, _, ok := splitIdent(head)
		if !isLetter(name[0]) || !ok || len(number) > 2 || prefix != "" && identPrefixes[prefix] == "" {
			continue
		}
		behind := prefix == "" && i > 0 && (identPrefixes[c.out[i-1].norm] != "" || c.device(c.out[i-1].norm))
		if i > 0 && !behind && t.col-c.out[i-1].end < wideGap {
			continue
		}
		whole := name
		for j := i + 1; j < len(c.out) && c.out[j].col-c.out[j-1].end < wideGap; j++ {
			whole += " " + c.out[j].text
		}
		if _, cost, ok := c.lex.GradeOf(strings.Trim(whole, ")>*_:")); !ok || cost > 0 {
			continue
		}
		a, b := t, t
		share := (t.end - t.col) / float64(len(t.text))
		a.text, a.norm, a.delim, a.stop, a.shut, a.number, a.end = head, strings.ToLower(head), 0, 0, false, prefix == "", t.col+share*float64(at)
		if prefix == "" && !behind {
			a.delim = ':'
		}
		b.text, b.norm, b.fused, b.open, b.col = name, strings.ToLower(name), true, false, t.end-share*float64(len(name))
		c.out = slices.Concat(c.out[:i], []token{a, b}, c.out[i+1:])
	}
}

// device reports whether a word is one for equipment.
func (c *cutter) device(word string) bool {
	code, cost, ok := c.lex.Lookup(lexicon.Device, word)
	return ok && cost == 0 && (code == "tank" || code == "line")
}

// strokesPart is how many strokes on a slip, with a space on either side, part what is
// said: TANK 1 / VOLUME 12 / WATER 0. A few may stand between a number and a name or a
// date and a time.
const strokesPart = 4

// markStrokes makes stops of such strokes.
func markStrokes(lines []line) {
	parts := func(toks []token, i int) bool {
		return toks[i].text == "/" && i > 1 && i+1 < len(toks) && !(figuresOnly(toks[i-1].text) && figuresOnly(toks[i+1].text)) || toks[i].text == "/" && i > 0 && i+1 == len(toks)
	}
	n := 0
	for _, l := range lines {
		for i := range l.toks {
			if parts(l.toks, i) {
				n++
			}
		}
	}
	if n < strokesPart {
		return
	}
	for k := range lines {
		toks := lines[k].toks
		var out []token
		for i, t := range toks {
			if parts(toks, i) && len(out) > 0 {
				out[len(out)-1].stop = ';'
				continue
			}
			t.edge = t.edge || len(out) > 0 && out[len(out)-1].stop == ';'
			if n := len(out); n > 0 && i > 0 && toks[i-1].text == "/" && out[n-1].stop == ';' {
				t.gap = t.col - out[n-1].end
			}
			out = append(out, t)
		}
		lines[k].toks = out
	}
}

// unbar takes away the bar between a date and its time of day, when it is the only one of
// its line: it parts no columns.
func (c *cutter) unbar() {
	at, bars := 0, 0
	for i, t := range c.out {
		if t.bar {
			at, bars = i, bars+1
		}
	}
	if bars != 1 || at == 0 {
		return
	}
	before, after := c.out[at-1], c.out[at]
	clock := func(t token) bool {
		_, n := value.ParseClock([]string{t.text})
		return n > 0 && strings.ContainsAny(t.text, ":.h")
	}
	dated := func(t token) bool { return strings.ContainsAny(t.text, "0123456789/") || len(t.text) >= 3 }
	if clock(after) && dated(before) && hasDigit(before.text) || (clock(before) || isHalf(before)) && dated(after) {
		c.out[at].bar = false
	}
}

// markBars makes stops of bars that part what is said in a run and stand below each other
// in no two lines: they are no columns.
func markBars(lines []line) {
	const fewest = 3 // lines with bars
	n, columns := 0, 0
	var above []float64
	for _, l := range lines {
		var cols []float64
		for _, t := range l.toks {
			if t.bar {
				cols = append(cols, t.col)
			}
		}
		if len(cols) == 0 {
			continue
		}
		if n++; slices.ContainsFunc(cols, func(c float64) bool {
			return slices.ContainsFunc(above, func(o float64) bool { return math.Abs(c-o) < alignSlack })
		}) {
			columns++
		}
		above = cols
	}
	if n < fewest || columns*4 > n {
		return
	}
	var last *token
	for k := range lines {
		for i := range lines[k].toks {
			t := &lines[k].toks[i]
			if t.bar && last != nil {
				last.stop, t.bar = ';', false
				t.edge = i > 0
			}
			last = t
		}
	}
}
