package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// mostWrapped is the most tokens of a value that has gone over to the next line.
const mostWrapped = 6

// unwrap puts the end of a value back that found no room on its line: the time of
// day of a date, the year of a day and month, the unit of a number. It reports
// whether any line was mended.
func (d *doc) unwrap() bool {
	out := d.lines[:0:0]
	for i := 0; i < len(d.lines); i++ {
		l := d.lines[i]
		for i+1 < len(d.lines) && d.wrapped(l, d.lines[i+1]) {
			i++
			n := len(l.toks)
			l.toks = append(l.toks[:n:n], d.lines[i].toks...)
			l.toks[n].gap = 1
		}
		out = append(out, l)
	}
	if len(out) == len(d.lines) {
		return false
	}
	d.lines = out
	for i := range d.lines {
		for k := range d.lines[i].toks {
			d.lines[i].toks[k].line = i
		}
	}
	return true
}

// wrapped reports whether a line is no more than the end of a value that the line
// above ends with.
func (d *doc) wrapped(above, below line) bool {
	n := len(above.toks)
	if n == 0 || len(below.toks) == 0 || len(below.toks) > mostWrapped || above.rule || below.rule || below.gap {
		return false
	}
	setIn := below.toks[0].col > above.toks[0].col+0.9
	last, first := above.toks[n-1], below.toks[0]
	const joint = 3 // characters that may part a date from its time besides a space
	if !setIn && last.end+1+(first.end-first.col) <= d.width {
		return last.end+1+joint+(first.end-first.col) > d.width && d.momentOver(above.toks, below.toks)
	}
	if d.isDevice(last) && last.delim == 0 && last.stop == 0 && n > 1 && plainDigits(first.text, 1, 3) && !d.roomFor(above.toks, below.toks) && (len(below.toks) == 1 || !starts(below.toks, 1)) {
		return true
	}
	if closes(above.toks, below.toks) || isHalf(first) && !d.roomFor(above.toks, below.toks) && d.endsInClock(above.toks) {
		return true
	}
	if d.thousandsOver(above.toks, below.toks) {
		return true
	}
	if code, cost, used := d.code(lexicon.Unit, below.toks); used == len(below.toks) && cost == 0 && code != "percent" {
		return last.number && last.delim == 0
	}
	if d.rateOver(above.toks, below.toks) {
		return true
	}
	return d.momentOver(above.toks, below.toks) || setIn && (d.nameOver(above.toks, below.toks) || d.wordsOver(above.toks, below) || d.labelOver(above.toks, below.toks) || d.addressOver(above.toks, below.toks))
}

// nameOver reports whether a label goes on in the next line, which is no more than its last
// words: the two name something that the first does not, and there was no room.
func (d *doc) nameOver(above, below []token) bool {
	const most = 3 // words that go over
	if len(below) > most || d.roomFor(above, below) || !d.wordsOnly(above) || !d.wordsOnly(below) || cellCount(above) > 1 || cellCount(below) > 1 {
		return false
	}
	toks := append(above[:len(above):len(above)], below...)
	toks[len(above)].gap = 1
	for i := range below {
		toks[len(above)+i].line = above[0].line
	}
	var whole name
	for _, n := range d.namesAnew(toks) {
		if n.used == len(toks) && n.cost <= sureLabelCost {
			whole = n
		}
	}
	if whole.bag == "" {
		return false
	}
	_, dangles := d.filler(above[len(above)-1]) // FIRST PASS OF THIS | MONTH
	for _, n := range d.names(above) {
		if n.used == len(above) && n.bag == whole.bag {
			return dangles
		}
	}
	return true
}

// labelOver reports whether a line ends with the mark of a label behind other things and
// had no room for the value, which is all of the next line.
func (d *doc) labelOver(above, below []token) bool {
	last := above[len(above)-1]
	return last.delim == ':' && !d.roomFor(above, below) && len(below) <= 4 && d.wordsOnly(below[:len(below)-1]) &&
		slices.ContainsFunc(above[:len(above)-1], func(t token) bool { return t.delim == ':' })
}

// roomFor reports whether the first word of a line would have found room on the line
// above.
func (d *doc) roomFor(above, below []token) bool {
	return above[len(above)-1].end+1+(below[0].end-below[0].col) <= d.width
}

// ofHeader reports whether tokens are the label of a header field.
func (d *doc) ofHeader(toks []token) bool {
	for _, n := range d.names(toks) {
		if f, ok := d.field(headerKind, n.bag); ok && n.used == len(toks) && n.cost == 0 && isHeader(f) {
			return true
		}
	}
	return false
}

// addressOver reports whether an address that begins on a line goes on in the next: the
// line had no room for it, and the two are more of an address together.
func (d *doc) addressOver(above, below []token) bool {
	const most = 8 // words of an address that go over
	if len(above) < 2 || len(below) > most || d.roomFor(above, below) || cellCount(below) > 1 || slices.ContainsFunc(below, func(t token) bool { return t.delim != 0 }) {
		return false
	}
	text := textOf(above)
	whole := text + " " + textOf(below)
	labelled := false
	for _, n := range d.names(above) {
		f, ok := d.field(headerKind, n.bag)
		labelled = labelled || ok && f == "header.address" && n.cost == 0 && above[n.used-1].delim != 0
	}
	street := hasWay(whole) && !townState.matches(text)
	return street && (labelled && !postal.matches(text) || postal.matches(whole) && !postal.matches(text) && addressScore(whole) > addressScore(text) && slices.ContainsFunc(above, func(t token) bool { return t.number || t.stop == ',' }))
}

// thousandsOver reports whether a number whose thousands are parted by a space goes on in
// the next line, which holds no more but its unit: 48 | 275 L. Only metric slips part them
// so, and a number of three figures alone would rather be one of its own.
func (d *doc) thousandsOver(above, below []token) bool {
	last, first := above[len(above)-1], below[0]
	if d.units.us > 0 || d.units.metric == 0 || !plainDigits(last.text, 1, 3) || last.text[0] == '0' || last.delim != 0 || last.stop != 0 || d.roomFor(above, below) {
		return false
	}
	_, cost, used := d.code(lexicon.Unit, below[1:])
	return (plainDigits(first.text, 3, 3) || lastGroup(first.text)) && used > 0 && used == len(below)-1 && cost == 0
}

// rateOver reports whether what a line says goes on in the next, which begins with the unit of
// the number that the line ends with, or with the test that is made with the rate there:
//
//	LINE 4 PASSED 11.4      LINE 1 PASSED 0.76 L/H
//	L/H LEAK TESTS:         LEAK TESTS:
//
// Where sentences end within the next line, all are read as a paragraph.
func (d *doc) rateOver(above, below []token) bool {
	last := above[len(above)-1]
	if last.delim != 0 || last.stop != 0 || len(above) < 2 || d.roomFor(above, below) || d.littleWord(below[0]) || cellCount(above) > 1 ||
		slices.ContainsFunc(below[:len(below)-1], func(t token) bool { return t.stop != 0 }) {
		return false
	}
	if _, cost, used := d.code(lexicon.Unit, below); last.number {
		return used > 0 && cost == 0 && !crosses(below, min(used+1, len(below)))
	}
	for s := len(above) - 2; s > 0 && s >= len(above)-3; s-- {
		if r, ok := d.readClass(record.LineTest, above[s:], ""); ok && above[s].number && r.unitFrom == unitBeside && s+r.used == len(above) {
			return d.testFirst(below)
		}
	}
	return false
}

// testFirst reports whether the words for a test come first.
func (d *doc) testFirst(toks []token) bool {
	return slices.ContainsFunc(d.names(toks), func(n name) bool { return n.cost == 0 && (n.bag == testBag() || n.bag == leakTestBag()) })
}

// endsInClock reports whether a line ends with a time of day that lacks am or pm.
func (d *doc) endsInClock(toks []token) bool {
	last := toks[len(toks)-1:]
	r, ok := d.readTime(last, true)
	return ok && r.hasClock() && !r.hasDate() && r.moment().Clock.Half == ""
}

// closes reports whether a bracket that opens on one line closes on the next.
func closes(above, below []token) bool {
	depth := 0
	for _, t := range above {
		depth = bracketDepth(depth, t)
	}
	if depth == 0 {
		return false
	}
	for _, t := range below {
		if t.open {
			return false
		}
		if t.shut {
			return true
		}
	}
	return false
}

// bracketDepth is how many brackets are open behind a token.
func bracketDepth(depth int, t token) int {
	if t.open {
		depth++
	}
	if t.shut && depth > 0 {
		depth--
	}
	return depth
}

// wordsOver reports whether the words of a line can only be the rest of a value in words
// that stands behind a label mark and fills its line: OUTCOME: WITHIN | LIMITS.
func (d *doc) wordsOver(above []token, l line) bool {
	below := l.toks
	last := above[len(above)-1]
	if last.number || last.delim != 0 || last.stop != 0 || cellCount(below) > 1 || !d.wordsOnly(below) || d.courtesy(below) || last.end+1+(below[0].end-below[0].col) <= d.width {
		return false
	}
	for i := len(above) - 2; i >= 0; i-- {
		if above[i].delim != ':' && !(above[i].delim == '.' && d.ofHeader(above[:i+1])) {
			continue
		}
		if !d.wordsOnly(above[i+1:]) {
			return false
		}
		if text := textOf(below); d.leadsPlace(above) && (townLand.matches(text) || townState.matches(text) || townFull.matches(text)) {
			return false // a town below the site's name
		}
		if d.title(l).kind == "" && d.topicTitle(l).topics < 2 {
			return true
		}
		return d.saysState(append(above[i+1:len(above):len(above)], below...))
	}
	return false
}

// momentOver reports whether a time begins among the last tokens of a line and ends
// with the last of the next, and is more than the line alone says.
func (d *doc) momentOver(above, below []token) bool {
	if first := below[0]; !d.mayBeginTime(below) && !isHalf(first) && !first.blank && !d.littleWord(first) && first.text != "@" && len(first.text) > 2 {
		return false
	}
	for s := max(0, len(above)-mostWrapped); s < len(above); s++ {
		tail := above[s:]
		if !d.mayBeginTime(tail) {
			continue
		}
		alone, _ := d.readTime(tail, true)
		if alone.hasDate() && alone.hasClock() && alone.moment().Clock.Half != "" {
			return false
		}
		joined := append(tail[:len(tail):len(tail)], below...)
		joined[len(tail)].gap = 1
		r, ok := d.readTime(joined, true)
		if ok && r.used == len(joined) && r.hasDate() && (r.hasClock() || !alone.hasDate()) && alone.used < r.used {
			return true
		}
	}
	return false
}
