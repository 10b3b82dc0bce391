package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// headLine is a line of the head or foot of a slip and what it says.
type headLine struct {
	at    int // its line
	items []headItem
	title bool // announces records, or uses the trade's words alone
	rule  bool
	foot  bool // stands below the records
	under bool // stands below a title

	strange bool // says nothing that was understood; it may be the name
}

// What the words of a header are, once they are looked at on their own.
const (
	wordsName = iota + 1
	wordsStreet
	wordsTown
	wordsPlace // part of an address: LEVEL 6, NO 5
	wordsTitle
	wordsNone // of the records, or not to be understood
)

// readHead finds the lines above and below the records that speak of the site
// and the printing, gives what they say its role and sets them apart from the
// records. The head ends above the first line that says something else.
func (d *doc) readHead() {
	top := d.region(0, 1)
	end := 0
	if n := len(top); n > 0 {
		end = top[n-1].at + 1
	}
	var foot []headLine
	if end < len(d.lines) {
		foot = d.region(len(d.lines)-1, -1)
		for i := range foot {
			foot[i].foot = true
		}
	}
	r := &headReader{d: d, lines: append(top, foot...)}
	r.out.guessed = slices.ContainsFunc(top, func(l headLine) bool { return l.strange })
	r.read()
	d.front = r.out
}

// mostHead bounds the lines of a head or foot.
const mostHead = 16

// region takes lines from one end of the slip as long as they may belong to the
// header.
func (d *doc) region(from, step int) []headLine {
	var out []headLine
	under := false
	for i := from; i >= 0 && i < len(d.lines) && len(out) < mostHead; i += step {
		hl := headLine{at: i, rule: d.lines[i].rule || len(d.lines[i].toks) == 0}
		if d.beginsSpan(i) {
			break
		}
		if !hl.rule {
			hl.items = d.headItems(d.lines[i])
			if d.aside(d.lines[i].toks) || d.lines[i].head {
				hl.items = []headItem{{field: itemOther, toks: d.lines[i].toks, line: i}}
				out = append(out, hl)
				continue
			}
			labelled := step < 0 && len(hl.items) == 1 && hl.items[0].firm && hl.items[0].field == "printed_at" // CHECK TIME 07:15
			hl.title = !labelled && (d.announces(i) || d.loosely(i, hl.items))
			if step > 0 && !hl.title && d.strangeInHead(i, hl.items) {
				hl.items, hl.strange = nil, true
				out = append(out, hl)
				continue
			}
			if !hl.title && (d.inSentences(d.lines[i].toks) || d.namesHolder(d.lines[i].toks)) || !hl.title && !d.ofLabels(i) && !d.headish(hl.items) || hl.title && step < 0 {
				if i > 0 || !d.strangeHead(hl.items) {
					break
				}
				hl.title = true // a heading in words of its own
			}
		}
		hl.under = under
		under = under || hl.title
		out = append(out, hl)
	}
	if step < 0 {
		slices.Reverse(out)
	}
	return out
}

// strangeInHead reports whether a line among the first of a slip says nothing that a head does, nor
// has a value, and a street or town stands right below it: it alone is lost.
func (d *doc) strangeInHead(i int, items []headItem) bool {
	const most = 3 // lines above
	if i == 0 || i > most || d.headish(items) || d.ofLabels(i) || d.hasLabel(d.lines[i].toks) || d.numbersThing(d.lines[i].toks) || d.saysState(d.lines[i].toks) || i+1 >= len(d.lines) || d.lines[i+1].gap || len(d.lines[i+1].toks) == 0 {
		return false
	}
	below := d.lines[i+1].toks
	return !d.lines[i+1].rule && addressScore(textOf(below)) >= 3 || d.wordsKind(below) == wordsTown && townState.matches(textOf(below))
}

// beginsSpan reports whether a line is a word for a beginning and a date, and the next one that for its
// end: what the records are of, not when they were printed.
func (d *doc) beginsSpan(i int) bool {
	side := func(i int, words ...string) bool {
		if i >= len(d.lines) || len(d.lines[i].toks) < 2 || !slices.Contains(words, d.lines[i].toks[0].norm) {
			return false
		}
		r, ok := d.readTime(d.lines[i].toks[1:], false)
		return ok && r.hasDate() && r.used+1 == len(d.lines[i].toks)
	}
	return side(i, "from", "since", "between", "beginning", "begin", "start", "starting", "open", "opened") && side(i+1, "to", "until", "till", "thru", "through", "and", "ending", "end", "close", "closed", "up")
}

// strangeHead reports whether the first line of a slip, which was not understood, is words above lines
// of the head: one that may be a name, and a place or a date of printing below it.
func (d *doc) strangeHead(items []headItem) bool {
	const most = 4 // lines below it
	if len(items) == 0 || hasFigures(d.lines[0].toks[:1]) || slices.ContainsFunc(items, func(it headItem) bool { return it.field != itemWords }) {
		return false
	}
	name := false
	for i := 1; i <= most && i < len(d.lines) && !d.lines[i].gap && !d.lines[i].rule; i++ {
		below := d.headItems(d.lines[i])
		if !d.headish(below) || d.announces(i) {
			return false
		}
		for _, it := range below {
			place := it.field == itemWords && d.placeKind(it.toks)
			if name = name || it.field == itemWords && d.wordsKind(it.toks) == wordsName; name && (place || it.field == "printed_at" || it.field == fieldMoment && it.read.hasDate() && it.read.hasClock() && len(below) == 1) {
				return true
			}
		}
	}
	return false
}

// namesHolder reports whether a line names a tank or line with its number and what it holds in brackets:
// TANK NUMBER   2 (OFF-ROAD DIESEL).
func (d *doc) namesHolder(toks []token) bool {
	n := len(toks) - 1
	at := slices.IndexFunc(toks, func(t token) bool { return t.open })
	if at < 2 || !toks[n].shut || !plainDigits(toks[at-1].text, 1, 2) {
		return false
	}
	bag, _, cost := d.bag(toks[:at-1])
	return cost == 0 && (labelTables().has(bag, "tank") || labelTables().has(bag, "line")) && d.endsInGrade(toks[at:])
}

// ofLabels reports whether a line is header labels alone, or a value below each of
// them.
func (d *doc) ofLabels(i int) bool {
	if len(d.labelLine(d.lines[i].toks)) > 0 {
		return true
	}
	if i == 0 {
		return false
	}
	n := len(d.labelLine(d.lines[i-1].toks))
	return n > 0 && len(d.lines[i].toks) > 0 && len(valuesUnder(d.lines[i-1].toks, d.lines[i].toks)) == n
}

// inSentences reports whether a line is part of sentences of the records: it ends in
// a full stop that is none of an Inc., or begins with the unit of an amount.
func (d *doc) inSentences(toks []token) bool {
	const short = 4 // letters of a short form
	last := toks[len(toks)-1]
	_, cost, unit := d.code(lexicon.Unit, toks)
	return last.stop == '.' && len(toks) > 2 && len(last.text) > short || unit > 0 && cost == 0 && strings.Contains(toks[0].text, "/")
}

// announces reports whether a line is a title, beside a date or not.
func (d *doc) announces(i int) bool {
	l := d.lines[i]
	if len(l.toks) > 1 && l.toks[0].norm == "report" && l.toks[0].delim != 0 {
		l.toks = l.toks[1:] // Report: Inventory
	}
	return d.title(l).kind != "" || d.apartTitle(i).kind != "" || i < mostHead && d.topicTitle(l).kind != ""
}

// loosely reports whether a line between rules is a title in words of its own: all
// of them are the trade's, a date may stand in a cell beside them.
func (d *doc) loosely(i int, items []headItem) bool {
	ruled := i > 0 && d.lines[i-1].rule && i+1 < len(d.lines) && d.lines[i+1].rule
	if !ruled && !d.lines[i].wide && !d.lines[i].far || len(items) == 0 || items[0].field != itemWords {
		return false
	}
	toks := items[0].toks
	return d.wordsKind(toks) == wordsTitle && cellEnd(d.lines[i].toks, 0) == len(toks)
}

// headish reports whether everything that a line says may belong to a header.
func (d *doc) headish(items []headItem) bool {
	if len(items) == 0 {
		return false
	}
	const fewest = 3 // cells of the heading of a table whose words are not all known
	if l := d.lines[items[0].line].toks; len(items) >= fewest && cellCount(l) >= fewest && withoutFigures(l) && d.isHeading(l) {
		return false
	}
	trade, dates, all := 0, 0, []token(nil)
	for i, it := range items {
		if it.field == fieldMoment && it.read.hasDate() {
			dates++
		}
		if it.field != itemWords {
			continue
		}
		if len(it.toks) == 1 && !hasLetters(it.toks) && len(items) > 1 {
			return false // figures among others are no postal code
		}
		switch kind := d.wordsKind(it.toks); kind {
		case wordsNone:
			if i > 0 && len(it.toks) == 2 && plainDigits(it.toks[1].text, 4, 4) && d.namesMonth(it.toks) && d.wordsKind(items[i-1].toks) == wordsTitle {
				continue // MONTHLY REPORT - APRIL 2016
			}
			return false
		case wordsTitle:
			trade++
			all = append(all, it.toks...)
		}
	}
	// The heading of a table: several cells of labels, or one of several words.
	return dates < 2 && (trade < len(items) || trade < 2 && (len(all) < 3 || !d.isHeading(all)))
}

// wordsKind says what the words of an item are.
func (d *doc) wordsKind(toks []token) int {
	key, ok := run(toks)
	m := d.memory(key.at)
	if !ok || m == nil {
		return d.wordsKindAnew(toks)
	}
	for a := m.words; a != nil; a = a.before {
		if a.is.n == key.n {
			return a.is.kind
		}
	}
	k := d.wordsKindAnew(toks)
	d.kept.words.keep(&m.words, wordsAnswer{key.n, k})
	return k
}

// wordsKindAnew is wordsKind without a memory.
func (d *doc) wordsKindAnew(toks []token) int {
	text := textOf(toks)
	switch {
	case d.namesMonth(toks) && !hasWay(text) && !(waysAbroad.in(text) && wayAbroad.matches(text)): // AVDA DEL MAR 12
		return wordsNone // 01-31 MAR 2025
	case addressScore(text) >= 3 || highwayAlone.matches(text) || d.inTown(toks) || houseApart(toks) > 0:
		return wordsStreet
	case postalSix.matches(text) && !slices.ContainsFunc(toks, func(t token) bool { return !t.number && d.tradeWord(t) }) || postalAlone.matches(text) || postal.matches(text) || (townState.matches(text) && !endsInCompany(text) || townProvince.matches(text)) && !d.allTrade(toks):
		return wordsTown
	case premises.matches(text):
		return wordsPlace
	case len(toks) == 1 && toks[0].number && len(strings.Trim(toks[0].text, "0123456789-")) == 0 && len(toks[0].text) >= 4:
		return wordsTown // a postal code alone
	case d.hasLabel(toks) || len(toks) > mostNameWords || d.numbersThing(toks):
		return wordsNone
	}
	if slices.ContainsFunc(toks, func(t token) bool { return t.norm == "was" || t.norm == "were" || t.norm == "been" }) {
		return wordsTitle // a sentence
	}
	strange, numbers, words := 0, 0, 0
	for i := range toks {
		switch t := toks[i]; {
		case t.number || hasDigit(t.text):
			numbers++
		case !d.tradeWord(t):
			strange++
			words++
		case !t.blank:
			words++
		}
	}
	switch {
	case strange == 0 && numbers == 0 && !d.saysState(toks):
		return wordsTitle
	case strange == 0 || numbers > 1 || strange*3 < words && !siteNoun.matches(text): // but MARSH END FILLING STATION
		return wordsNone
	}
	return wordsName
}

// numbersThing reports whether a tank, line or sensor is named with its number: TANK 4 OFF-ROAD
// DSL is no site.
func (d *doc) numbersThing(toks []token) bool {
	for i := 0; i+1 < len(toks); i++ {
		code, cost, n := d.code(lexicon.Device, toks[i:])
		if n > 0 && cost == 0 && code != "system" && i+n < len(toks) && plainDigits(toks[i+n].text, 1, 2) && !crosses(toks[i:], n+1) {
			return true
		}
	}
	return false
}

// mostNameWords is the most words of a name.
const mostNameWords = 8

// allTrade reports whether all words are the trade's.
func (d *doc) allTrade(toks []token) bool {
	for _, t := range toks {
		if !d.tradeWord(t) {
			return false
		}
	}
	return true
}

// tradeWord reports whether a word is one that titles and labels are made of.
func (d *doc) tradeWord(t token) bool {
	const near = 0.35 // a word so like one of the trade's is that one misread
	if t.blank || t.norm == "not" || !strings.ContainsAny(t.text, letters) {
		return true
	}
	for _, h := range d.find([]token{t}) {
		if h.Cost <= near && (h.Cost == 0 || len(t.text) > 5) {
			return true
		}
	}
	return false
}

// saysState reports whether words are a verdict or a state.
func (d *doc) saysState(toks []token) bool {
	for _, s := range []lexicon.Sense{lexicon.Result, lexicon.SensorState, lexicon.AlarmState} {
		if _, cost, ok := d.whole(s, toks); ok && cost == 0 {
			return true
		}
	}
	return false
}

// namesMonth reports whether figures stand beside the name of a month.
func (d *doc) namesMonth(toks []token) bool {
	for i, t := range toks {
		_, cost, ok := d.whole(lexicon.Month, toks[i:i+1])
		if ok && cost == 0 && (i > 0 && plainNumber(toks[i-1]) || i+1 < len(toks) && plainNumber(toks[i+1])) && len(t.text) > 2 {
			return true
		}
	}
	return false
}
