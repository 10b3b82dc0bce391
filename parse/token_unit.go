package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// unitBehindMark finds the mark that parts a label from its unit within one word: VOL,gal
// ULLAGE/L HT.in. It gives 0 for a word that means something as it stands, and where a single
// letter stands before a stroke or point.
func unitBehindMark(r []rune, lex *lexicon.Lexicon) int {
	const longest = 5 // letters of such a unit
	at := 0
	for i, c := range r {
		switch {
		case c == ',' || c == '/' || c == '.':
			if at > 0 || i == 0 || i+1 == len(r) {
				return 0
			}
			at = i
		case c > 'z' || !isLetter(byte(c)):
			return 0
		}
	}
	if at == 0 || len(r)-at-1 > longest || at < 2 && r[at] != ',' {
		return 0
	}
	unit := strings.ToLower(string(r[at+1:]))
	if len(unit) == 1 && !strings.Contains("lfcg", unit) {
		return 0
	}
	label := strings.ToLower(string(r[:at]))
	exact := func(s lexicon.Sense, word string) bool {
		_, cost, ok := lex.Lookup(s, word)
		return ok && cost == 0
	}
	if !exact(lexicon.Unit, unit) || !exact(lexicon.Part, label) || exact(lexicon.Device, label) {
		return 0
	}
	if hits := lex.Find(strings.ToLower(string(r))); len(hits) > 0 && hits[0].Cost == 0 {
		return 0
	}
	return at
}

// unitBehind cuts a word at the mark between its label and its unit.
func (c *cutter) unitBehind(w record.Word, r []rune) bool {
	at := unitBehindMark(r, c.lex)
	if at == 0 {
		return false
	}
	step := w.Width / float64(len(r))
	if w.Width <= 0 {
		step = 1
	}
	n := len(c.out)
	c.piece(w, string(r[:at]), w.Col, w.Col+step*float64(at), true)
	c.piece(w, string(r[at+1:]), w.Col+step*float64(at+1), w.Col+step*float64(len(r)), false)
	if len(c.out) == n+2 {
		t := &c.out[n+1]
		t.paren, t.open, t.shut = true, true, true // as in VOL[gal]
	}
	return true
}
