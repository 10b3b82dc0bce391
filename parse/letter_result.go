package parse

import (
	"strings"

	"tankroll/parse/lexicon"
)

// spellResults writes out the letters and short forms that stand for verdicts, where a line of
// the slip says what they mean, and returns that line, -1 for none:
//
//	key = { letter "=" verdict }     P = pass  F = fail  A = aborted
//	    | { short "=" verdict }      Inconc = inconclusive
//
// One letter alone is no key. A letter or short form is written out at the end of a line of several cells, where the verdict is.
func (d *doc) spellResults() int {
	var says map[string]string
	key := -1
	for i, l := range d.lines {
		if m := d.resultKey(l.toks); len(m) > 1 || len(m) == 1 && len(l.toks[0].text) > 1 {
			says, key = m, i
			break
		}
	}
	if key < 0 {
		return key
	}
	for i := range d.lines {
		toks := d.lines[i].toks
		if i == key || len(toks) < 3 {
			continue
		}
		last := &toks[len(toks)-1]
		if word, ok := says[last.text]; ok && last.delim == 0 {
			last.norm = word
		}
	}
	return key
}

// resultKey reads a line that says which verdict each of some letters or short forms stands
// for; none where it says anything else.
func (d *doc) resultKey(toks []token) map[string]string {
	out := map[string]string{}
	for i := 0; i < len(toks); {
		t := toks[i]
		if i > 0 && (toks[i-1].stop == ',' || toks[i-1].stop == '.') && onlyWords(toks[i:]) {
			break // INCONC = INCONCLUSIVE, TEST AGAIN
		}
		if !isLetter(t.text[0]) || t.delim != ':' && !(i+1 < len(toks) && toks[i+1].blank) {
			return nil
		}
		i++
		if i < len(toks) && toks[i].blank {
			i++
		}
		best := 0
		for n := 1; i+n <= len(toks) && n <= 3; n++ {
			if _, cost, ok := d.whole(lexicon.Result, toks[i:i+n]); ok && cost == 0 {
				best = n
			}
		}
		if best == 0 || len(t.text) > 1 && !d.shortFor(t, toks[i]) {
			return nil
		}
		out[t.text] = toks[i].norm
		i += best
	}
	return out
}

// shortFor reports whether a token is the beginning of a word of a verdict and none itself:
// INCONC = INCONCLUSIVE, but not RESULT: PASS.
func (d *doc) shortFor(t, word token) bool {
	const fewest = 2 // letters
	return len(t.norm) >= fewest && len(t.norm) < len(word.norm) && strings.HasPrefix(word.norm, t.norm) && !d.spelt(t, lexicon.Result)
}

// onlyWords reports whether tokens are words that no mark follows.
func onlyWords(toks []token) bool {
	for _, t := range toks {
		if t.number || t.delim != 0 || t.blank {
			return false
		}
	}
	return true
}
