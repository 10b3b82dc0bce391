package parse

import (
	"tankroll/parse/lexicon"
)

// ident takes the equipment number that a token is apart: its prefix, the number and how many
// characters were put right. A letter that names equipment stands for itself.
func (t *token) ident() (prefix, number string, fixed int, ok bool) {
	if t.letter {
		return "", t.text, 0, true
	}
	return splitIdent(t.text)
}

// lastLetter is the last letter that equipment may bear: a station has no more lines.
const lastLetter = 'H'

// plainLetter is how sure a letter behind the word for equipment is that is its name though no other letters
// are: a B may be an 8 that was misread.
const plainLetter = 0.995

// markLetters marks the letters that name equipment on a slip where A and B stand in the
// place of numbers, behind its word or at the beginning of rows:
//
//	LINE A  REGULAR          A  REGULAR     24    7
//	LINE B  DIESEL           B  DIESEL      19    5
func (d *doc) markLetters() {
	seen := map[byte]bool{}
	each := func(f func(t *token, behind bool)) {
		for _, l := range d.lines {
			for i := range l.toks {
				t := &l.toks[i]
				if len(t.text) != 1 || t.text[0] < 'A' || t.text[0] > lastLetter || t.stop == '.' || t.spelled {
					continue
				}
				behind := i > 0 && l.toks[i-1].delim == 0 && !starts(l.toks, i) && d.spelt(l.toks[i-1], lexicon.Device)
				row := i == 0 && len(l.toks) > 1 && starts(l.toks, 1) && t.delim == 0
				if behind || row {
					f(t, behind)
				}
			}
		}
	}
	each(func(t *token, _ bool) { seen[t.text[0]] = true })
	d.markCompartments(seen)
	both := seen['A'] && seen['B']
	each(func(t *token, behind bool) { t.letter = t.letter || both || behind && t.conf >= plainLetter })
}

// markCompartments marks names of a letter and a figure behind the word for a tank or line, where
// several differ: TANK A1 and TANK A2, two compartments of one tank. It notes their letters.
func (d *doc) markCompartments(seen map[byte]bool) {
	var found []*token
	differ := false
	for _, l := range d.lines {
		for i := 1; i < len(l.toks); i++ {
			t := &l.toks[i]
			if n := len(t.text); n < 2 || n > 3 || t.text[0] < 'A' || t.text[0] > lastLetter || !plainDigits(t.text[1:], 1, 2) || l.toks[i-1].delim != 0 || starts(l.toks, i) || !d.isDevice(l.toks[i-1]) {
				continue
			}
			differ = differ || len(found) > 0 && found[0].text != t.text
			found = append(found, t)
		}
	}
	if !differ {
		return
	}
	for _, t := range found {
		t.letter = true
		seen[t.text[0]] = true
	}
}
