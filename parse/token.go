package parse

import (
	"math"
	"strings"
	"unicode"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// Limits on one slip. A roll prints up to 64 characters a line and no report
// is longer than a few hundred lines; what goes beyond is left unread, so that
// no input can make the grammar slow.
const (
	MaxLines     = 600 // lines of one slip
	maxLineWords = 40  // words of one line
	maxTokens    = 48  // tokens of one line
	maxWordRunes = 48  // characters of one word
)

// wideGap is the space, in character cells, that parts two cells of a line. A
// single space parts words; measured columns are uncertain by about half.
const wideGap = 1.6

// token is a word or part of a word without the marks around it.
type token struct {
	text    string  // as printed, without marks
	shown   string  // as printed, where text is not
	norm    string  // in lower case
	col     float64 // left edge in character cells
	end     float64 // right edge
	gap     float64 // space before it
	delim   byte    // what follows it: ':' '=' '.' for leaders '|' for a bar, 0 for nothing
	stop    byte    // a full stop, comma or semicolon that follows, or 0
	bar     bool    // a bar stands before it
	paren   bool    // in brackets, or at their beginning or end
	open    bool    // a bracket opens before it
	shut    bool    // a bracket closes behind it
	prose   bool    // part of a paragraph
	fused   bool    // printed in one word with the token before
	blank   bool    // strokes only: no value
	conf    float64
	figures float64 // conf once it is known that figures stand here; 0 when unknown
	alts    []string
	box     record.Box
	line    int
	at      int  // its place among all tokens of the slip
	number  bool // reads as a number
}

// line is a printed line as tokens.
type line struct {
	toks []token
	rule bool
	wide bool
	far  bool // inverse or tall: set apart by the printer
	head bool // says something of the site or the printing only
}

// tokenize cuts a slip into tokens.
func tokenize(s record.Slip, lex *lexicon.Lexicon) []line {
	out := make([]line, 0, min(len(s.Lines), MaxLines))
	count := 0
	for i, l := range s.Lines {
		if i == MaxLines {
			break
		}
		n := line{rule: l.Rule || len(l.Words) > 0 && isRule(l.Words), wide: l.Wide, far: l.Inverse || l.Tall}
		if !n.rule {
			n.toks = lineTokens(l, i, lex)
		}
		for j := range n.toks {
			n.toks[j].at = count + j
		}
		count += len(n.toks)
		out = append(out, n)
	}
	return out
}

func lineTokens(l record.Line, number int, lex *lexicon.Lexicon) []token {
	c := cutter{line: number, lex: lex}
	for i, w := range joinSpaced(l.Words) {
		if i == maxLineWords {
			break
		}
		if len(w.Text) <= maxWordRunes*4 && len([]rune(w.Text)) <= maxWordRunes {
			c.word(w)
		}
	}
	c.unframe()
	for i := range c.out {
		t := &c.out[i]
		t.gap = t.col
		if i > 0 {
			t.gap = t.col - c.out[i-1].end
		}
		t.number = looksNumber(t.text, lex)
	}
	return c.out
}

// thousands finds how many tokens from i on are one number whose thousands are
// parted by a space: 18 204. It is 1 or less when token i is a number by itself.
func (d *doc) thousands(toks []token, i int) int {
	t := toks[i]
	if !plainDigits(t.text, 1, 3) || t.text[0] == '0' || i > 0 && !starts(toks, i) && toks[i-1].delim == 0 && (toks[i-1].number || isThing(toks[i-1].norm)) {
		return 1
	}
	j := i + 1
	for j < len(toks) && plainDigits(toks[j].text, 3, 3) && !starts(toks, j) && toks[j-1].delim == 0 && toks[j-1].stop == 0 {
		j++
	}
	if j < len(toks) && !starts(toks, j) && toks[j].number || i == 0 && (j >= len(toks) || !d.isUnit(toks[j])) {
		return 1 // at the beginning of a line the first may be a number of its own
	}
	return j - i
}

// joinThousands puts numbers together whose thousands are parted by a space,
// when the slip shows that it writes so: a group of zeros, or a unit behind.
// Metric slips need no such sign.
func (d *doc) joinThousands() bool {
	signs := 0
	if d.units.us == 0 && d.units.metric > 0 {
		signs++
	}
	for _, l := range d.lines {
		for i := range l.toks {
			n := d.thousands(l.toks, i)
			if n > 1 && (l.toks[i+1].text[0] == '0' || i+n < len(l.toks) && d.isUnit(l.toks[i+n])) {
				signs++
			}
		}
	}
	if signs == 0 {
		return false
	}
	for k := range d.lines {
		d.lines[k].toks = d.joinedThousands(d.lines[k].toks)
	}
	return true
}

func (d *doc) joinedThousands(toks []token) []token {
	out := toks[:0:0]
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		n := d.thousands(toks, i)
		for _, o := range toks[i+1 : i+max(n, 1)] {
			if t.shown == "" {
				t.shown = t.text
			}
			t.shown += " " + o.text
			t.text += o.text
			t.end, t.box, t.conf, t.figures = o.end, t.box.Union(o.box), min(t.conf, o.conf), min(t.figures, o.figures)
			t.delim, t.stop, t.shut = o.delim, o.stop, o.shut
			t.norm, t.alts = t.text, nil
		}
		out = append(out, t)
		i += max(n, 1) - 1
	}
	return out
}

// isThing reports whether a word names equipment, so that a number behind it
// stands alone.
func isThing(w string) bool { return identPrefixes[w] != "" || w == "no" || w == "#" }

func plainDigits(s string, least, most int) bool {
	return len(s) >= least && len(s) <= most && strings.Trim(s, "0123456789") == ""
}

// unframe forgets a bar before the first token when no other stands between
// tokens: it is the frame of a slip, not of a table.
func (c *cutter) unframe() {
	for i, t := range c.out {
		if i > 0 && t.bar {
			return
		}
	}
	if len(c.out) > 0 {
		c.out[0].bar = false
	}
}

// looksNumber reports whether a token is a number: letters that look like
// figures count as such only in what is no known word.
func looksNumber(text string, lex *lexicon.Lexicon) bool {
	n, ok := value.ParseNumber(text, value.Unknown)
	if !ok || !strings.ContainsAny(text, "0123456789") {
		return false
	}
	if n.Fixed == 0 {
		return true
	}
	hits := lex.Find(text)
	return len(hits) == 0 || hits[0].Cost > 0
}

// joinSpaced puts the letters of a title together that is set with a space
// between its letters: S E N S O R S.
func joinSpaced(words []record.Word) []record.Word {
	const fewest = 4 // letters of such a title
	single := 0
	for _, w := range words {
		if len(w.Text) == 1 && isLetter(w.Text[0]) {
			single++
		}
	}
	if single < fewest || single*10 < len(words)*8 {
		return words
	}
	least := math.Inf(1)
	for i := 1; i < len(words); i++ {
		least = min(least, words[i].Col-words[i-1].Col)
	}
	var out []record.Word
	for i, w := range words {
		if i == 0 || w.Col-words[i-1].Col > least+0.6 {
			out = append(out, w)
			continue
		}
		last := &out[len(out)-1]
		last.Text += w.Text
		last.Width = w.Col + w.Width - last.Col
		last.Box = last.Box.Union(w.Box)
		last.Confidence = min(last.Confidence, w.Confidence)
		last.Alternatives = nil
	}
	return out
}

// cutter cuts words into tokens.
type cutter struct {
	line int
	lex  *lexicon.Lexicon
	out  []token
	bar  bool
}

// mark notes what stands behind the last token.
func (c *cutter) mark(b byte) {
	if b == '|' {
		c.bar = true
		return
	}
	if len(c.out) > 0 {
		c.out[len(c.out)-1].delim = b
	}
}

func (c *cutter) word(w record.Word) {
	t := strings.Map(plain, w.Text)
	switch {
	case t == "":
		return
	case t == "#" || strings.Trim(t, "<>[]{}^!*\\") == "":
		return // frames
	case strings.Trim(t, "|¦") == "":
		c.mark('|')
		return
	case t == ":" || t == "=" || t == "->" || t == ">" || t == "=>" || t == "::":
		c.mark(':')
		return
	case strings.Trim(t, ".·_*:=~") == "" || strings.Trim(t, "-") == "" && len(t) > 5:
		c.mark('.')
		return
	}
	runes := []rune(t)
	at := w.Col
	step := w.Width / float64(len(runes))
	if w.Width <= 0 {
		step = 1
	}
	for first := true; len(runes) > 0; first = false {
		n := cutAt(runes, c.lex)
		c.piece(w, string(runes[:n]), at, at+step*float64(n), first)
		at += step * float64(n)
		runes = runes[n:]
	}
}

// plain maps printers' marks to plain ones.
func plain(r rune) rune {
	switch r {
	case '−', '–', '—', '‐':
		return '-'
	case '’', '‘', '`':
		return '\''
	case '“', '”':
		return '"'
	}
	if unicode.IsControl(r) {
		return -1
	}
	return r
}

// cutAt says where the first token of a word ends: behind its label mark, or
// where a number meets its unit, or before a bracket.
func cutAt(r []rune, lex *lexicon.Lexicon) int {
	for i := 1; i < len(r)-1; i++ {
		switch {
		case r[i] == '=' || r[i] == '|' && i > 0 || r[i] == ':' && (!isDigit(r[i-1]) || !isDigit(r[i+1])):
			return i + 1
		case r[i] == '.' && r[i+1] == '.' && i+2 < len(r):
			for i < len(r) && r[i] == '.' {
				i++
			}
			if i < len(r) {
				return i
			}
		case r[i] == '(' && r[i-1] != ' ' && strings.ContainsRune(string(r[i+1:]), ')') && !strings.EqualFold(string(r), "over/(short)"):
			return i
		}
	}
	if n := unitAt(r, lex); n > 0 {
		return n
	}
	return len(r)
}

// unitAt finds where the unit begins in 5123GAL, -0.03gal/h or 52%.
func unitAt(r []rune, lex *lexicon.Lexicon) int {
	n := 0
	digits := 0
	for n < len(r) && (isDigit(r[n]) || strings.ContainsRune("+-.,()", r[n])) {
		if isDigit(r[n]) {
			digits++
		}
		n++
	}
	if digits == 0 || n == len(r) {
		return 0
	}
	rest := strings.ToLower(string(r[n:]))
	if len(rest) == 1 && strings.Contains("gms", rest) || strings.ContainsAny(rest, "0123456789") {
		return 0
	}
	for _, h := range lex.Find(rest) {
		if h.Sense == lexicon.Unit && h.Cost == 0 {
			return n
		}
	}
	return 0
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// figuresOnly reports whether a word is all figures and the marks between them.
func figuresOnly(text string) bool {
	return strings.ContainsAny(text, "0123456789") && strings.Trim(text, "0123456789.,:/+-") == ""
}

// piece makes a token of one piece of a word.
func (c *cutter) piece(w record.Word, text string, from, to float64, first bool) {
	t := token{col: from, end: to, conf: w.Confidence, box: part(w, from, to), line: c.line, fused: !first, bar: c.bar}
	c.bar = strings.HasSuffix(text, "|")
	t.bar = t.bar || strings.HasPrefix(text, "|")
	if first && text == w.Text {
		for _, a := range w.Alternatives {
			t.alts = append(t.alts, a.Text)
		}
	}
	text = t.strip(text)
	if text == "" {
		return
	}
	t.text, t.norm = text, strings.ToLower(text)
	if first && text == strings.TrimRight(w.Text, ".,:;") && figuresOnly(text) {
		t.figures = w.AsFigures
	}
	t.blank = strings.Trim(text, "-.*_?/+") == "" || t.norm == "n/a" || t.norm == "na"
	if len(c.out) < maxTokens {
		c.out = append(c.out, t)
	}
}

// strip takes the marks off a token's text and notes them.
func (t *token) strip(text string) string {
	text = strings.TrimLeft(text, "*:=|>")
	if strings.HasPrefix(text, "..") {
		text = strings.TrimLeft(text, ".")
	}
	whole := text
	for again := true; again && text != ""; {
		again = false
		switch last := text[len(text)-1]; {
		case last == ':' || last == '=':
			t.delim, again = ':', true
		case last == '|' || last == '*':
			again = true
		case last == ',' || last == ';':
			t.stop, again = last, true
		case strings.HasSuffix(text, "..") && strings.Trim(text, ".-") != "":
			t.delim, again = '.', true
		case last == '.' && strings.Count(text, ".") == 1 && len(text) > 1:
			t.stop, again = last, true
		}
		if again {
			text = text[:len(text)-1]
			if t.delim == '.' {
				text = strings.TrimRight(text, ".")
			}
		}
	}
	if text == "" {
		return strings.Trim(whole, ":=|*")
	}
	if strings.HasPrefix(text, "(") || strings.HasPrefix(text, "[") {
		inner := strings.Trim(text, "()[]")
		if n, isNumber := value.ParseNumber(text, value.Unknown); !isNumber || n.Fixed > 0 || text[len(text)-1] != ')' || text[0] == '[' {
			t.paren, t.open = true, true
			t.shut = strings.HasSuffix(text, ")") || strings.HasSuffix(text, "]")
			return inner
		}
	}
	if strings.HasSuffix(text, ")") && !strings.Contains(text, "(") {
		t.paren, t.shut = true, true
		return strings.TrimRight(text, ")")
	}
	return text
}

// part is the share of a word's box between two columns.
func part(w record.Word, from, to float64) record.Box {
	if w.Box.IsZero() || w.Width <= 0 || from <= w.Col && to >= w.Col+w.Width-0.01 {
		return w.Box
	}
	scale := float64(w.Box.W) / w.Width
	b := w.Box
	b.X += int((from - w.Col) * scale)
	b.W = max(1, int((to-from)*scale))
	return b
}

// starts reports whether token i begins a cell of its line.
func starts(toks []token, i int) bool {
	return i == 0 || toks[i].bar || toks[i].gap >= wideGap || toks[i].line != toks[i-1].line
}

// cellEnd is the index behind the last token of the cell that i stands in.
func cellEnd(toks []token, i int) int {
	j := i + 1
	for j < len(toks) && !starts(toks, j) {
		j++
	}
	return j
}

// cells cuts a line's tokens into runs parted by wide gaps or bars.
func cells(toks []token) [][]token {
	var out [][]token
	for i := 0; i < len(toks); {
		j := cellEnd(toks, i)
		out = append(out, toks[i:j])
		i = j
	}
	return out
}

// textOf is the text of tokens as printed.
func textOf(toks []token) string {
	var b strings.Builder
	for i, t := range toks {
		if i > 0 && !t.fused {
			b.WriteByte(' ')
		}
		if t.shown != "" {
			b.WriteString(t.shown)
		} else {
			b.WriteString(t.text)
		}
		if t.stop != 0 && i+1 < len(toks) {
			b.WriteByte(t.stop)
		}
	}
	return b.String()
}
