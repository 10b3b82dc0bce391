package parse

import (
	"slices"
	"strings"
	"unicode"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// cutter cuts words into tokens.
type cutter struct {
	line    int
	lex     *lexicon.Lexicon
	out     []token
	seen    []sight // of the tokens
	bar     bool
	framed  string // the mark that stands before all words of the line, as around a title
	starred bool   // a star stands before the next token: another thing begins there
}

// farDots is the space, in character cells, beyond which two dots are no leaders.
const farDots = wideGap

// word cuts one word; marks and frames that stand alone are no tokens.
func (c *cutter) word(w record.Word) {
	t := strings.Map(plain, w.Text)
	if t == ".." && len(c.out) > 0 && w.Col-c.out[len(c.out)-1].end > farDots {
		c.piece(w, "--", w.Col, w.Col+w.Width, true) // a value that is missing, no leaders
		return
	}
	if t == "" || !beginsWord(t) && c.marks(t) {
		return
	}
	runes := []rune(t)
	if c.unitBehind(w, runes) {
		return
	}
	at := w.Col
	step := w.Width / float64(len(runes))
	if w.Width <= 0 {
		step = 1
	}
	for first := true; len(runes) > 0; first = false {
		n := cutAt(runes, c.lex)
		text := t
		if !first || n < len(runes) {
			text = string(runes[:n])
		}
		c.piece(w, text, at, at+step*float64(n), first)
		at += step * float64(n)
		runes = runes[n:]
	}
}

// beginsWord reports whether a text begins with a letter or a figure: it is more than
// marks.
func beginsWord(t string) bool { return isLetter(t[0]) || isDigit(rune(t[0])) }

// marks reports whether a text is marks or frames alone, and notes what they say.
func (c *cutter) marks(t string) bool {
	if (t == "~" || t == "=" || t == "==" || t == "~~" || t == "::") && (len(c.out) == 0 || c.framed == t) {
		c.framed = t // ~ DELIVERIES ~     STORE 12
		return true
	}
	switch {
	case t == "*" && len(c.out) > 0:
		c.starred = true
	case len(t) == 2 && len(c.out) > 0 && strings.Trim(t, "<>[]{},;") == "":
		c.out[len(c.out)-1].stop = t[1]
	case strings.Trim(t, "#") == "" || strings.Trim(t, "<>[]{}^!*\\") == "":
		// frames
	case strings.Trim(t, "|¦") == "":
		c.mark('|')
	case t == ":" || t == "=" || t == "->" || t == ">" || t == "=>" || t == "::":
		c.mark(':')
	case strings.Trim(t, ".·_*:=~") == "" || strings.Trim(t, "-") == "" && len(t) > 5:
		c.mark('.')
	default:
		return false
	}
	return true
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

// piece makes a token of one piece of a word.
func (c *cutter) piece(w record.Word, text string, from, to float64, first bool) {
	c.seen = append(c.seen, sight{box: boxPart(w, from, to), row: c.line, from: from, to: to})
	seen := &c.seen[len(c.seen)-1]
	t := token{seen: seen, col: from, end: to, conf: w.Confidence, line: c.line, fused: !first, bar: c.bar, edge: c.starred}
	c.bar, c.starred = strings.HasSuffix(text, "|"), false
	t.bar = t.bar || strings.HasPrefix(text, "|")
	if first && text == w.Text {
		for _, a := range w.Alternatives {
			seen.alts = append(seen.alts, a.Text)
		}
	}
	text = t.strip(text)
	if text == "" {
		return
	}
	t.text, t.norm = text, strings.TrimRight(strings.ToLower(text), "!") // FUEL!
	if first && text == strings.TrimRight(w.Text, ".,:;") && figuresOnly(text) {
		seen.figures = w.AsFigures
	}
	t.blank = !beginsWord(text) && strings.Trim(text, "-.*_?/+") == "" || t.norm == "n/a" || t.norm == "na"
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
	if n := len(text); n > 2 && n < 6 && text[0] == '<' && text[n-1] == '>' && isDigit(rune(text[1])) {
		text = "[" + text[1:n-1] + "]" // <3>, a number of equipment
	}
	whole := text
	for again := true; again && text != ""; {
		again = false
		switch last := text[len(text)-1]; {
		case last == ':' || last == '=':
			t.delim, t.colon, again = ':', last, true
		case last == '|' || last == '*', (last == '/' || last == '@') && len(text) > 1 && (isDigit(rune(text[len(text)-2])) || strings.HasSuffix(strings.ToLower(text), "h/") && strings.Contains(text, ":")):
			again = true
		case last == ',' || last == ';':
			t.stop, again = last, true
		case strings.HasSuffix(text, "..") && strings.Trim(text, ".-") != "":
			t.delim, again = '.', true
		case last == '.' && strings.Count(text, ".") == 1 && len(text) > 1:
			if t.stop == ',' && beginsWay(text) { // Main St., Dunmore
				t.seen.shown = text
			} else {
				t.stop = last
			}
			again = true
		}
		if again {
			if last := text[len(text)-1]; last == '/' || last == '@' {
				t.seen.shown = text
			}
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
	if strings.HasSuffix(text, ")") && !strings.Contains(text, "(") || strings.HasSuffix(text, "]") && !strings.Contains(text, "[") {
		t.paren, t.shut = true, true
		return strings.TrimRight(text, ")]")
	}
	return text
}

// boxPart is the share of a word's box between two columns.
func boxPart(w record.Word, from, to float64) record.Box {
	if w.Box.IsZero() || w.Width <= 0 || from <= w.Col && to >= w.Col+w.Width-0.01 {
		return w.Box
	}
	scale := float64(w.Box.W) / w.Width
	b := w.Box
	b.X += int((from - w.Col) * scale)
	b.W = max(1, int((to-from)*scale))
	return b
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
		case hoursForm(r):
			return len(r)
		case r[i] == '=' || r[i] == '|' && i > 0 || r[i] == ':' && (!isDigit(r[i-1]) || !isDigit(r[i+1])):
			return i + 1
		case r[i] == ']' && i > 1 && !isDigit(r[i-1]):
			return i + 1 // [TANK TEST]1995/08/17
		case r[i] == '.' && r[i+1] == '.' && i+2 < len(r):
			for i < len(r) && r[i] == '.' {
				i++
			}
			if i < len(r) {
				return i
			}
		case r[i] == '[' && isLetter(byte(r[i-1])) && r[len(r)-1] == ']':
			return i // VOL[L]
		case r[i] == '(' && r[i-1] != ' ' && strings.ContainsRune(string(r[i+1:]), ')') && !strings.EqualFold(string(r), "over/(short)"):
			return i
		}
	}
	if n := numberAt(r); n > 0 {
		return n
	}
	if n := clockAt(r); n > 0 {
		return n
	}
	if n := spanAt(r); n > 0 {
		return n
	}
	if n := dateAt(r); n > 0 {
		return n
	}
	if n := unitAt(r, lex); n > 0 {
		return n
	}
	return len(r)
}

// clockAt finds where the time of day begins that a stroke parts from the end of its
// date: 27/05:13, 2024@9:30.
func clockAt(r []rune) int {
	for i := 1; i+3 < len(r); i++ {
		if r[i] != '/' && r[i] != '@' || !isDigit(r[i-1]) {
			continue
		}
		j := i + 1
		for j < len(r) && isDigit(r[j]) {
			j++
		}
		if n := j - i - 1; (n == 1 || n == 2) && j+2 < len(r) && (r[j] == ':' || r[j] == '.' || r[j] == 'h') && isDigit(r[j+1]) && isDigit(r[j+2]) {
			return i + 1
		}
	}
	return 0
}

// dateAt finds where the date begins that is printed in one word with a label and one leader
// before it, Last.2025/01/24, or with its time of day, 19:35h/jan-17-2026.
func dateAt(r []rune) int {
	letters, colon := 0, false
	for i, c := range r {
		switch {
		case c == '.' && letters == i && i > 2 && i+7 < len(r) && isDigit(r[i+1]) && strings.ContainsAny(string(r[i+1:]), "/-"):
			return i + 1
		case c == '/' && colon && i+5 < len(r) && (r[i-1] == 'h' || r[i-1] == 'H') && isDigit(r[i-2]):
			return i + 1
		case unicode.IsLetter(c):
			letters++
		case c == ':':
			colon = true
		}
	}
	return 0
}

// hoursForm reports whether a word says that hours and minutes are written with
// a colon: h:min, hh:mm.
func hoursForm(r []rune) bool {
	if !slices.Contains(r, ':') {
		return false
	}
	switch strings.Trim(strings.ToLower(string(r)), "()[],:") {
	case "h:min", "h:m", "hh:mm", "h:mm", "hr:min", "hrs:min", "h:mn", "hh:mm:ss":
		return true
	}
	return false
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
	if r[0] == '(' || r[0] == '[' {
		rest = strings.TrimRight(rest, ")]") // (150MIN)
	}
	if len(rest) == 1 && strings.Contains("gms", rest) || hasDigit(rest) {
		return 0
	}
	for _, h := range lex.Find(rest) {
		if h.Sense == lexicon.Unit && h.Cost == 0 {
			return n
		}
	}
	return 0
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

// figuresOnly reports whether a word is all figures and the marks between them.
func figuresOnly(text string) bool {
	return hasDigit(text) && strings.Trim(text, "0123456789.,:/+-") == ""
}

// isDigit reports whether a character is a figure.
func isDigit(r rune) bool { return r >= '0' && r <= '9' }
