package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// bracketApart cuts what is said of equipment from its name in brackets that it touches, and
// reads them as a mark between both: <TANK 3>HIGH LEVEL, [SENSOR 2]FILL SUMP, (T1)DIESEL.
func (c *cutter) bracketApart() {
	for i := 0; i < len(c.out); i++ {
		t := c.out[i]
		if !t.open && t.text[0] != '<' || i > 0 && t.col-c.out[i-1].end < wideGap {
			continue
		}
		first := strings.TrimLeft(t.text, "<")
		if head, _, ok := cutBracket(first); ok {
			prefix, _, _, named := splitIdent(head)
			if c.equipment(head) || named && identPrefixes[prefix] != "" {
				c.closeName(i, first)
			}
			continue
		}
		if i+1 < len(c.out) && c.equipment(first) {
			if head, _, ok := cutBracket(c.out[i+1].text); ok && plainDigits(head, 1, 2) {
				c.out[i].text, c.out[i].norm, c.out[i].open, c.out[i].paren = first, strings.ToLower(first), false, false
				c.closeName(i+1, c.out[i+1].text)
			}
		}
	}
}

// cutBracket cuts a word behind the bracket that closes a name, where letters touch it.
func cutBracket(text string) (name, rest string, ok bool) {
	at := strings.IndexAny(text, ")]>")
	if at < 1 || at+1 >= len(text) || !isLetter(text[at+1]) || strings.ContainsAny(text[:at], "([<") {
		return "", "", false
	}
	return text[:at], text[at+1:], true
}

// closeName makes two tokens of token i, whose text is given without the bracket that opens
// it: the name with a label mark, and what touches it.
func (c *cutter) closeName(i int, text string) {
	t := c.out[i]
	head, rest, _ := cutBracket(text)
	a, b := t, t
	share := (t.end - t.col) / float64(len(t.text))
	a.text, a.norm, a.delim, a.stop, a.open, a.shut, a.paren, a.end = head, strings.ToLower(head), ':', 0, false, false, false, t.end-share*float64(len(rest)+1)
	b.text, b.norm, b.fused, b.open, b.paren, b.col = rest, strings.ToLower(rest), true, false, b.shut, t.end-share*float64(len(rest))
	c.out = slices.Concat(c.out[:i], []token{a, b}, c.out[i+1:])
}

// equipment reports whether a word is one for equipment of any kind.
func (c *cutter) equipment(word string) bool {
	_, cost, ok := c.lex.Lookup(lexicon.Device, word)
	return ok && cost == 0
}
