package parse

import (
	"slices"

	"tankroll/record"
)

// maxParagraph is how many lines a sentence may take.
const maxParagraph = 16

// maxParagraphTokens bounds a sentence in tokens.
const maxParagraphTokens = 120

// paragraphs reads the lines from i on as sentences that run over the ends of
// lines, or as one entry of a list that does. A sentence ends with a full stop.
func (d *doc) paragraphs(k record.Kind, lines []line, i int, try func(structure)) {
	const (
		joinCost = 0.05 // of every line: a shorter paragraph that says as much is better
		joinGain = 0.3  // of an entry of a list that goes on: its rest is no entry
	)
	sentence := d.looksProse(lines[i])
	var all []token // of the lines so far
	for n := 1; n <= maxParagraph && i+n <= len(lines); n++ {
		l := lines[i+n-1]
		if l.rule || l.head || n > 1 && l.gap || len(l.toks) == 0 || d.tabular(l) || n == 1 && !sentence && !(i+1 < len(lines) && d.wraps(lines, i+1)) {
			return
		}
		if n > 1 && (l.toks[0].ordinal || !d.goesOn(lines, i+n-1, sentence)) {
			return
		}
		if n > 1 && k == record.Alarm && d.stateAndTime(all) {
			return // how and when: what the next alarm says stands below it
		}
		all = appendLine(all, l, n > 1, lines[i].toks[0].line)
		outdent := n > 1 && i+n < len(lines) && len(lines[i+n].toks) > 0 && lines[i+n].toks[0].col < l.toks[0].col-0.9
		ends := outdent || l.toks[len(l.toks)-1].stop == '.' || n == maxParagraph || i+n >= len(lines) || !d.full(l) || lines[i+n].rule || lines[i+n].head
		if n > 2 && !ends {
			continue // the sentence goes on
		}
		toks := slices.Clip(all)
		if len(toks) > maxParagraphTokens {
			return
		}
		if sentence {
			facts, worth := d.scan(k, toks)
			try(structure{worth - joinCost*float64(n), n, []entry{{facts: facts}}})
		}
		if facts, worth, ok := d.listFacts(k, toks); ok && (n > 1 || toks[0].ordinal) && len(facts) > 0 && (fullStops(toks) <= 1 || toks[0].ordinal) && !twice(facts) {
			gain := 0.0
			if !sentence || toks[0].ordinal {
				gain = joinGain
			}
			try(structure{worth + gain - joinCost*float64(n), n, []entry{{facts: facts}}})
		}
		if outdent || l.toks[len(l.toks)-1].stop == '.' && !toks[0].ordinal {
			return // a paragraph ends with its sentence, or where the next begins further out
		}
	}
}

// numbered reads an entry of a numbered list as a whole: its first line and
// those that are set in below it.
func (d *doc) numbered(k record.Kind, lines []line, i int) (structure, bool) {
	n := 1
	for i+n < len(lines) && n < maxParagraph {
		l := lines[i+n]
		if l.rule || l.head || len(l.toks) == 0 || l.toks[0].ordinal || l.toks[0].col < lines[i].toks[0].col+0.9 || d.tabular(l) || d.title(l).kind != "" {
			break
		}
		n++
	}
	if n < 2 || d.tabular(lines[i]) {
		return structure{}, false
	}
	toks := joinLines(lines[i : i+n])
	if len(toks) > maxParagraphTokens {
		return structure{}, false
	}
	facts, worth := d.scan(k, toks)
	if f, w, ok := d.listFacts(k, toks); ok && len(f) > 0 && !twice(f) && w > worth {
		facts, worth = f, w
	}
	return structure{worth, n, []entry{{facts: facts}}}, len(facts) > 0 && worth > 0
}

// goesOn reports whether a line may go on with the one above it: with a sentence
// that goes far enough to the right, or, as words alone, with any line that had
// no room for them.
func (d *doc) goesOn(lines []line, i int, sentence bool) bool {
	if sentence && d.full(lines[i-1]) {
		return true
	}
	if above := lines[i-1].toks; sentence && above[len(above)-1].stop == '.' && lines[i].toks[0].col > 0.9 {
		return true // set in like the rest of an entry
	}
	return d.wraps(lines, i) && d.wordsOnly(lines[i].toks)
}

// looksProse reports whether a line may be the first of a paragraph: it looks
// like a sentence or an entry of a numbered list.
func (d *doc) looksProse(l line) bool {
	return len(l.toks) > 0 && (d.prose(l) || d.full(l) && punctuated(l) || l.toks[0].ordinal)
}

// wraps reports whether a line may go on with the one above: its first word
// would have found no room there.
func (d *doc) wraps(lines []line, i int) bool {
	if i == 0 || len(lines[i].toks) == 0 || len(lines[i-1].toks) == 0 || lines[i].rule || lines[i-1].rule {
		return false
	}
	above, first := lines[i-1].toks, lines[i].toks[0]
	return above[len(above)-1].end+1+(first.end-first.col) > d.width
}

// wordsOnly reports whether no figure and no mark stands among the tokens.
func (d *doc) wordsOnly(toks []token) bool {
	for _, t := range toks {
		if t.delim != 0 || hasDigit(t.text) {
			return false
		}
	}
	return true
}

// prose reports whether a line looks like part of a sentence: words with small
// gaps, at least one of them a filler.
func (d *doc) prose(l line) bool {
	fillers := 0
	for i, t := range l.toks {
		if i > 0 && t.gap > 2.5 {
			return false
		}
		if _, ok := d.filler(t); ok {
			fillers++
		}
	}
	return fillers > 0 && len(l.toks) >= 2 || l.toks != nil && l.toks[len(l.toks)-1].stop != 0 && len(l.toks) >= 3
}

// punctuated reports whether a comma or bracket stands in the line.
func punctuated(l line) bool {
	for _, t := range l.toks {
		if t.stop != 0 || t.open {
			return true
		}
	}
	return false
}

// twice reports whether one field comes twice: two entries, not one.
func twice(facts []fact) bool {
	seen := map[string]bool{}
	for _, f := range facts {
		if seen[f.field] {
			return true
		}
		seen[f.field] = true
	}
	return false
}

// full reports whether a line goes far enough to the right that the next may
// go on with its sentence.
func (d *doc) full(l line) bool {
	const share = 0.6 // of the longest line; words are rarely longer than the rest
	return l.toks[len(l.toks)-1].end >= share*d.width
}

// tabular reports whether a line has cells far apart: no part of a sentence.
func (d *doc) tabular(l line) bool {
	for i, t := range l.toks {
		if i > 0 && t.gap > 2.5 || t.bar {
			return true
		}
	}
	return false
}

// fullStops counts the sentences that end within the tokens.
func fullStops(toks []token) int {
	n := 0
	for i, t := range toks {
		if t.stop == '.' && (i == len(toks)-1 || len(t.text) > 2) {
			n++
		}
	}
	if len(toks) > 0 && toks[len(toks)-1].stop != '.' {
		n++
	}
	return n
}

// joinLines puts the tokens of several lines in a row, as one line.
func joinLines(lines []line) []token {
	var out []token
	for i, l := range lines {
		out = appendLine(out, l, i > 0, lines[0].toks[0].line)
	}
	return out
}

// appendLine puts the tokens of a line behind those of a paragraph that begins on line
// first; more says that there are some.
func appendLine(out []token, l line, more bool, first int) []token {
	out = slices.Grow(out, len(l.toks))
	for j, t := range l.toks {
		if more && j == 0 {
			t.gap = 1
		}
		t.line, t.prose = first, true
		out = append(out, t)
	}
	return out
}
