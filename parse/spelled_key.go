package parse

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tankroll/parse/lexicon"
)

// A slip may say what its letters and short forms stand for:
//
//	key   = [ label ":" ] { short ( "=" | "-" ) words }     P = pass  F = fail  A = aborted
//	                                                       DV: T=tank L=line S=sensor
//	                                                       ST - N=normal W=water NC=no comm
//	short = letter | beginning of its words | letters of its words
//
// All entries of a key are of one sense. The short forms are written out where they stand in
// rows: below the heading that is the key's label, at the end of lines for verdicts, or in the
// column where most of them stand.

// spelledKey is what a key says.
type spelledKey struct {
	at, lines int // its first line, and how many
	label     []token
	sense     lexicon.Sense
	says      map[string]string // a word for each short form
	good      int               // entries whose short form fits its words
}

// keySenses are what keys tell.
func keySenses() []lexicon.Sense {
	return []lexicon.Sense{lexicon.Result, lexicon.SensorState, lexicon.AlarmState, lexicon.Device, lexicon.Method}
}

// spellKeys writes out the short forms for which the slip has a key, and returns the lines of
// the keys.
func (d *doc) spellKeys() []int {
	var out []int
	for i := 0; i < len(d.lines); i++ {
		k, ok := d.keyAt(i)
		if !ok {
			continue
		}
		spelled := d.spellBelow(k) || d.spellLast(k) || d.spellColumn(k)
		if !spelled && k.sense != lexicon.Result {
			continue
		}
		for j := range k.lines {
			out = append(out, i+j)
		}
		i += k.lines - 1
	}
	return out
}

// keyAt reads the key that begins at a line; it goes on on the next ones while they tell more
// of the same sense and have no label.
func (d *doc) keyAt(i int) (spelledKey, bool) {
	if toks := d.lines[i].toks; len(toks) < 2 || !beginsEntry(toks, keyLabel(toks)) {
		return spelledKey{}, false
	}
	for _, sense := range keySenses() {
		k := spelledKey{at: i, lines: 1, sense: sense, says: map[string]string{}}
		toks := d.lines[i].toks
		n := keyLabel(toks)
		k.label = toks[:n]
		if !d.keyEntries(&k, toks[n:]) {
			continue
		}
		for j := i + 1; j < len(d.lines) && len(d.lines[j].toks) > 0 && keyLabel(d.lines[j].toks) == 0; j++ {
			more := spelledKey{sense: sense, says: map[string]string{}}
			if !d.keyEntries(&more, d.lines[j].toks) {
				break
			}
			for short, word := range more.says {
				k.says[short] = word
			}
			k.good, k.lines = k.good+more.good, k.lines+1
		}
		one := sense == lexicon.Result && len(k.says) == 1 && len(toks[n].text) > 1 && d.shortFor(toks[n], toks[min(n+1, len(toks)-1)])
		if one || len(k.says) > 1 && k.good*2 >= len(k.says) {
			return k, true
		}
	}
	return spelledKey{}, false
}

// keyLabel is how many tokens at the beginning of a line are the label of a key: a mark stands
// behind them and again behind the next token.
func keyLabel(toks []token) int {
	const most = 2 // words
	for n := 1; n <= most && n+1 < len(toks); n++ {
		if toks[n-1].delim == ':' {
			if toks[n-1].colon != '=' && (toks[n].delim == ':' || toks[n+1].blank) {
				return n
			}
			return 0
		}
	}
	return 0
}

// entryMark reports whether the mark of an entry stands behind token i.
func entryMark(toks []token, i int) bool {
	return i < len(toks) && (toks[i].delim == ':' || i+1 < len(toks) && toks[i+1].blank)
}

// beginsEntry reports whether token i may be the short form of an entry.
func beginsEntry(toks []token, i int) bool {
	return entryMark(toks, i) && isLetter(toks[i].text[0]) && !hasDigit(toks[i].text)
}

// keyEntries reads the entries of a line into a key; false where it says anything else.
func (d *doc) keyEntries(k *spelledKey, toks []token) bool {
	for i := 0; i < len(toks); {
		t := toks[i]
		if i > 0 && (toks[i-1].stop == ',' || toks[i-1].stop == '.') && onlyWords(toks[i:]) {
			break // INCONC = INCONCLUSIVE, TEST AGAIN
		}
		if !beginsEntry(toks, i) {
			return false
		}
		i++
		if i < len(toks) && toks[i].blank {
			i++
		}
		code, best := "", 0
		for n := 1; i+n <= len(toks) && n <= 3; n++ {
			if c, cost, ok := d.whole(k.sense, toks[i:i+n]); ok && cost == 0 {
				code, best = c, n
			}
		}
		if best == 0 {
			return false
		}
		fits, ok := d.fitsShort(k.sense, t, toks[i:i+best], code)
		if !ok {
			return false
		}
		if fits {
			k.good++
		}
		word := toks[i].norm
		if best > 1 {
			word = code
		}
		k.says[t.text] = word
		i += best
		for i < len(toks) && !entryMark(toks, i) && onlyWords(toks[i:i+1]) && toks[i-1].stop == 0 {
			i++ // ABT=STOPPED BY OPERATOR
		}
	}
	return len(k.says) > 0
}

// fitsShort reports whether a token may stand for words, and whether it is made of their letters
// or has the same meaning itself.
func (d *doc) fitsShort(sense lexicon.Sense, t token, words []token, code string) (fits, ok bool) {
	const longest = 6
	if len(t.text) > longest {
		return false, false
	}
	if c, cost, same := d.whole(sense, []token{t}); same && cost == 0 && len(t.text) > 1 {
		return c == code, c == code
	}
	if len(t.text) > 1 && (d.spelt(t, lexicon.Device) || d.spelt(t, lexicon.Grade) || d.spelt(t, lexicon.Kind)) {
		return false, false
	}
	if len(t.text) == 1 {
		return slices.ContainsFunc(words, func(w token) bool { return w.norm[0] == t.norm[0] }), true
	}
	rest := phraseOf(words)
	if rest[0] != t.norm[0] || len(t.norm) >= len(rest) {
		return false, len(t.text) < longest/2+1
	}
	for j := range len(t.norm) {
		at := strings.IndexByte(rest, t.norm[j])
		if at < 0 {
			return false, len(t.text) < longest/2+1
		}
		rest = rest[at+1:]
	}
	return true, true
}

// shortFor reports whether a token is the beginning of a word of a verdict and none itself:
// INCONC = INCONCLUSIVE, but not RESULT: PASS.
func (d *doc) shortFor(t, word token) bool {
	const fewest = 2 // letters
	return len(t.norm) >= fewest && len(t.norm) < len(word.norm) && strings.HasPrefix(word.norm, t.norm) && !d.spelt(t, lexicon.Result)
}

// spell writes a short form out.
func (k spelledKey) spell(t *token) bool {
	word, ok := k.says[t.text]
	if !ok || t.delim == ':' {
		return false
	}
	t.norm, t.spelled = word, true
	return true
}

// holds reports whether a line is one of the key itself.
func (k spelledKey) holds(i int) bool { return i >= k.at && i < k.at+k.lines }

// spellBelow writes out what stands below headings that are the key's label.
func (d *doc) spellBelow(k spelledKey) bool {
	const slack = 0.6 // character cells
	if len(k.label) == 0 {
		return false
	}
	done := false
	var head *token
	var heads []*token // that are no label themselves
	for i := range d.lines {
		toks := d.lines[i].toks
		if k.holds(i) || len(toks) < 2 {
			continue
		}
		if at := slices.IndexFunc(toks, func(t token) bool { return labelled(t, k.label[0]) }); at >= 0 {
			head = &toks[at]
			if !d.spelt(*head, lexicon.Part) {
				heads = append(heads, head)
			}
			continue
		}
		if head == nil {
			continue
		}
		for j := range toks {
			if t := &toks[j]; t.col < head.end+slack && t.end > head.col-slack && k.spell(t) {
				done = true
			}
		}
	}
	if done {
		for _, t := range heads {
			t.norm, t.spelled = keyHead(k.sense), true
		}
	}
	return done
}

// keyHead is the label of what a sense tells.
func keyHead(s lexicon.Sense) string {
	switch s {
	case lexicon.Result:
		return "result"
	case lexicon.Device:
		return "device"
	case lexicon.Method:
		return "method"
	}
	return "state"
}

// labelled reports whether a heading is the label of a key or one the beginning of the other.
func labelled(head, label token) bool {
	if head.number || head.delim != 0 {
		return false
	}
	short, long := head.norm, label.norm
	if len(short) > len(long) {
		short, long = long, short
	}
	return short == long || len(short) > 1 && strings.HasPrefix(long, short)
}

// spellLast writes out the verdicts at the ends of lines of several cells.
func (d *doc) spellLast(k spelledKey) bool {
	const fewest = 3 // tokens of such a line
	if k.sense != lexicon.Result {
		return false
	}
	done := false
	for i := range d.lines {
		if toks := d.lines[i].toks; !k.holds(i) && len(toks) >= fewest && toks[len(toks)-1].delim == 0 {
			done = k.spell(&toks[len(toks)-1]) || done
		}
	}
	return done
}

// spellColumn writes out the short forms that stand below each other, where more of them do
// than elsewhere.
func (d *doc) spellColumn(k spelledKey) bool {
	const slack = 0.6 // character cells
	const fewest = 2
	var all []*token
	for i := range d.lines {
		toks := d.lines[i].toks
		for j := range toks {
			if t := &toks[j]; !k.holds(i) && len(toks) > 1 && t.delim == 0 && k.says[t.text] != "" {
				all = append(all, t)
			}
		}
	}
	best := 0
	var column *token
	for _, t := range all {
		n := 0
		for _, o := range all {
			if math.Abs(o.col-t.col) <= slack {
				n++
			}
		}
		if n > best {
			best, column = n, t
		}
	}
	if best < fewest || best*2 < len(all) {
		return false
	}
	for _, t := range all {
		if math.Abs(t.col-column.col) <= slack {
			k.spell(t)
		}
	}
	return true
}

// markNoHalves marks the letters behind times of day that are no halves of the day, for another
// letter stands in their column or the hour is one of 24:
//
//	2019-07-31 01:00 P
//	2019-07-22 04:00 F
func (d *doc) markNoHalves() {
	const slack = 0.6 // character cells
	var halves, others []*token
	for i := range d.lines {
		toks := d.lines[i].toks
		for j := 1; j < len(toks); j++ {
			t := &toks[j]
			hour, ok := clockHour(toks[j-1].text)
			if !ok || len(t.text) != 1 || !isLetter(t.text[0]) || t.fused || t.delim != 0 || t.spelled {
				continue
			}
			switch half := t.norm == "a" || t.norm == "p"; {
			case half && hour > 0 && hour <= 12:
				halves = append(halves, t)
			case half || t.norm != "h" && t.norm != "s" && t.norm != "m":
				others = append(others, t)
			}
		}
	}
	for _, t := range halves {
		if slices.ContainsFunc(others, func(o *token) bool { return math.Abs(o.col-t.col) <= slack }) {
			t.spelled = true
		}
	}
}

// clockHour is the hour of a time of day with a colon, as 04:00.
func clockHour(text string) (int, bool) {
	i := strings.IndexByte(text, ':')
	if i < 1 || i > 2 || len(text) != i+3 || !plainDigits(text[:i], 1, 2) || !plainDigits(text[i+1:], 2, 2) {
		return 0, false
	}
	hour, err := strconv.Atoi(text[:i])
	return hour, err == nil
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
