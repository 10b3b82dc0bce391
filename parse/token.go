package parse

import (
	"iter"
	"strings"

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
	norm    string  // in lower case
	col     float64 // left edge in character cells
	end     float64 // right edge
	gap     float64 // space before it
	delim   byte    // what follows it: ':' '=' '.' for leaders '|' for a bar, 0 for nothing
	stop    byte    // a full stop, comma or semicolon that follows, or 0
	colon   byte    // the mark at its own end that makes it a label, as it is printed in free text
	bar     bool    // a bar stands before it
	paren   bool    // in brackets, or at their beginning or end
	open    bool    // a bracket opens before it
	shut    bool    // a bracket closes behind it
	prose   bool    // part of a paragraph
	fused   bool    // printed in one word with the token before
	edge    bool    // begins a cell although the space before it is narrow
	blank   bool    // strokes only: no value
	number  bool    // reads as a number
	ordinal bool    // counts the entries of a list
	letter  bool    // names equipment, as a number does
	spelled bool    // a short form that a key of the slip writes out; its norm is the word
	conf    float64
	line    int
	at      int // its place among all tokens of the slip
	seen    *sight
}

// sight is what is asked of a token only at the end. Its copies share it: it is never
// changed.
type sight struct {
	shown   string  // as printed, where text is not
	figures float64 // conf once it is known that figures stand here; 0 when unknown
	alts    []string
	box     record.Box
	row     int     // the line of the slip on which it is printed, wherever it is read
	from    float64 // and its edges there
	to      float64
}

// line is a printed line as tokens.
type line struct {
	toks []token
	rule bool
	wide bool
	far  bool // inverse or tall: set apart by the printer
	gap  bool // an empty line stands above it
	head bool // says something of the site or the printing only
}

// skipRules is the place of the first line from j on that is no rule.
func skipRules(lines []line, j int) int {
	for j < len(lines) && lines[j].rule {
		j++
	}
	return j
}

// tokenize cuts a slip into tokens.
func tokenize(s record.Slip, lex *lexicon.Lexicon) []line {
	s.Lines = withTicked(withBars(s.Lines))
	out := make([]line, 0, min(len(s.Lines), MaxLines))
	count := 0
	for i, l := range s.Lines {
		if i == MaxLines {
			break
		}
		n := line{rule: l.Rule || len(l.Words) > 0 && isRule(l.Words), wide: l.Wide, far: l.Inverse || l.Tall, gap: l.Apart}
		if !n.rule {
			n.toks = lineTokens(l, i, lex)
			n.far = n.far || adorned(l.Words)
		}
		out = append(out, n)
	}
	markStrokes(out)
	markBars(out)
	for i := range out {
		for j := range out[i].toks {
			out[i].toks[j].at = count
			count++
		}
	}
	return out
}

// lineTokens cuts a line into tokens.
func lineTokens(l record.Line, number int, lex *lexicon.Lexicon) []token {
	words := withoutLeaders(joinSpaced(l.Words))
	c := cutter{line: number, lex: lex, out: make([]token, 0, len(words)+1), seen: make([]sight, 0, len(words)+1)}
	for i, w := range words {
		if i == maxLineWords {
			break
		}
		if len(w.Text) <= maxWordRunes*4 && len([]rune(w.Text)) <= maxWordRunes {
			c.word(w)
		}
	}
	c.unframe()
	c.unadorn()
	c.unquote()
	c.unbar()
	c.nameApart()
	for i := range c.out {
		t := &c.out[i]
		t.gap = t.col
		if i > 0 {
			t.gap = t.col - c.out[i-1].end
			if l.Wide {
				t.gap /= 2 // a space is as wide as its letters
			}
			t.edge = t.edge || c.out[i-1].stop == ';'
		}
		t.number = looksNumber(t.text, lex)
	}
	return c.out
}

// looksNumber reports whether a token is a number: letters that look like
// figures count as such only in what is no known word.
func looksNumber(text string, lex *lexicon.Lexicon) bool {
	n, ok := value.ParseNumber(text, value.Unknown)
	if !ok || !hasDigit(text) {
		return false
	}
	if n.Fixed == 0 {
		return true
	}
	hits := lex.Find(text)
	return len(hits) == 0 || hits[0].Cost > 0
}

// hasDigit reports whether a figure stands in a text.
func hasDigit(text string) bool {
	for i := 0; i < len(text); i++ {
		if text[i] >= '0' && text[i] <= '9' {
			return true
		}
	}
	return false
}

// starts reports whether token i begins a cell of its line.
func starts(toks []token, i int) bool {
	return i == 0 || toks[i].bar || toks[i].edge || toks[i].gap >= wideGap || toks[i].line != toks[i-1].line
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
	if len(toks) == 0 {
		return nil
	}
	out := make([][]token, 0, cellCount(toks))
	for i := 0; i < len(toks); {
		j := cellEnd(toks, i)
		out = append(out, toks[i:j])
		i = j
	}
	return out
}

// eachCell gives the cells of a line's tokens, one after the other.
func eachCell(toks []token) iter.Seq[[]token] {
	return func(yield func([]token) bool) {
		for i := 0; i < len(toks); {
			j := cellEnd(toks, i)
			if !yield(toks[i:j]) {
				return
			}
			i = j
		}
	}
}

// cellCount is how many cells a line's tokens have.
func cellCount(toks []token) int {
	n := 0
	for i := range toks {
		if starts(toks, i) {
			n++
		}
	}
	return n
}

// textOf is the text of tokens as printed.
func textOf(toks []token) string {
	if len(toks) == 1 {
		return toks[0].print()
	}
	var b strings.Builder
	b.Grow(lengthOf(toks))
	for i := range toks {
		t := &toks[i]
		if i > 0 && !t.fused {
			b.WriteByte(' ')
		}
		b.WriteString(t.print())
		if i+1 < len(toks) {
			for _, mark := range []byte{t.colon, t.stop} {
				if mark != 0 {
					b.WriteByte(mark)
				}
			}
		}
	}
	return b.String()
}

// lengthOf is about how long the text of tokens is.
func lengthOf(toks []token) int {
	n := 0
	for i := range toks {
		n += len(toks[i].text) + 2 // a space, a mark
	}
	return n
}

// print is the token as printed.
func (t *token) print() string {
	if t.seen.shown != "" {
		return t.seen.shown
	}
	return t.text
}

// boxOf is the part of the picture that tokens stand in.
func boxOf(toks []token) record.Box {
	var b record.Box
	for _, t := range toks {
		b = b.Union(t.seen.box)
	}
	return b
}
