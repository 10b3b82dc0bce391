package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Lines that stand on a slip and say nothing of any record or of the head:
//
//	aside   = imprint | tally | request | legend
//	imprint = { count | "page" ... | "console" ... } part ...     S/N 20-11876   SW 4.07
//	part    = [ "console" ] apparatus figures | "console" model
//	        | "console" ( "type" | "no" ) figures
//	        | "page" number [ "of" number ]
//	check   = { part of the console "OK" | "page" ... }                    in cells
//	closing = { "page" ... | part | [ "(" number ")" ] closing words }     in cells
//	form    = words "DD/MM/YYYY"
//	tally   = number plural ...                       6 ENTRIES
//	        | count { count }                         2 IN ALARM   1 FAULT
//	request = [ what became of the pump "." ] "please" ... | "see" ... | ...   no figures but for how long, or a telephone's
//	legend  = { word "=" word }                       the same state in two words
//	        | verdict "=" words                       NO RESULT = TOO LITTLE QUIET TIME
//	all     = "all" ... moment                        ALL SENSORS READ AT 12:30 (taken_all.go)
//	notes   = { note "." }                            ULLAGE IS TO 90 % OF CAPACITY. NET AT 60 F.
func (d *doc) aside(toks []token) bool {
	return len(toks) > 0 && (saysChanged(toks) > 0 || d.imprint(toks) || d.selfCheck(toks) || d.closingCells(toks) || dateForm(toks) || d.baseNote(toks) || d.notes(toks) || d.saysAllRead(toks) > 0 || d.tally(toks) || d.request(toks) || d.legend(toks) || d.explains(toks))
}

// baseNote reports whether a line says to which temperature net volumes are brought, and
// holds no other figure: NET VOLUMES AT 15 C.
func (d *doc) baseNote(toks []token) bool {
	n := len(toks) - 1
	if n < 3 || n > 7 || !d.isUnit(toks[n]) || !toks[n-1].number || hasFigures(toks[:n-1]) || toks[n-2].norm != "at" && toks[n-2].norm != "to" && toks[n-2].norm != "@" {
		return false
	}
	code, _, used := d.unitAfter(toks[n:])
	num, ok := d.number(toks[n-1])
	if used == 0 || !ok || quantityOf(unitCodes[code]) != record.Temperature || num.Value != 15 && num.Value != 20 && num.Value != 60 {
		return false
	}
	bag, _, _ := d.bag(toks[:n-2])
	return labelTables().has(bag, "net") || labelTables().has(bag, "volume")
}

// notes reports whether a line is sentences that each say what amounts are reckoned to.
func (d *doc) notes(toks []token) bool {
	if toks[len(toks)-1].number || toks[0].number || !slices.ContainsFunc(toks, func(t token) bool { return t.number }) {
		return false
	}
	for len(toks) > 0 {
		end := slices.IndexFunc(toks, func(t token) bool { return t.stop == '.' })
		if end < 0 {
			end = len(toks) - 1
		}
		if said := toks[:end+1]; !d.baseNote(said) && !d.roomNote(said) {
			return false
		}
		toks = toks[end+1:]
	}
	return true
}

// roomNote reports whether words say to which share of the tank its room is reckoned, and
// hold no other figure: ULLAGE IS TO 90 % OF CAPACITY, ROOM TO 95 PCT FULL.
func (d *doc) roomNote(toks []token) bool {
	at := slices.IndexFunc(toks, func(t token) bool { return t.number })
	if at < 1 || at+1 >= len(toks) || hasFigures(toks[at+1:]) || toks[at].delim != 0 {
		return false
	}
	code, _, used := d.unitAfter(toks[at+1:])
	before := toks[at-1].norm
	bag, _, _ := d.bag(toks[:at])
	return used > 0 && code == "percent" && at+1+used < len(toks) && (before == "to" || before == "at" || before == "of") && labelTables().has(bag, "ullage")
}

// explains reports whether a line that stands apart says in words what a verdict means.
func (d *doc) explains(toks []token) bool {
	if line := toks[0].line; line == 0 || line >= len(d.lines) || !d.lines[line].gap && !d.lines[line-1].rule {
		return false // how a test ended, and why
	}
	at := slices.IndexFunc(toks, func(t token) bool { return t.delim != 0 })
	if at < 0 || at+1 >= len(toks) || hasFigures(toks) {
		return false
	}
	_, cost, ok := d.whole(lexicon.Result, toks[:at+1])
	return ok && cost == 0 && !slices.ContainsFunc(toks[at+1:], func(t token) bool { return t.delim != 0 || d.spelt(t, lexicon.Result) })
}

// imprint reports whether a line speaks of the console's make, its version or the page: one
// of its cells begins with the word for it and a figure that no number of equipment looks
// like, and what stands before that cell only counts something.
func (d *doc) imprint(toks []token) bool {
	if d.pageOnly(toks) || d.madeAs(toks) || d.makeByPage(toks) || len(toks) > 2 && toks[0].norm == "made" && toks[1].norm == "in" {
		return true
	}
	var before []token
	for cell := range eachCell(toks) {
		if before != nil {
			if before[0].ordinal || !d.pageOnly(before) && consoleNumber(before) < len(before) && !(plainDigits(before[0].text, 1, 3) && before[0].delim == 0 && len(before) > 1 && d.onlyCounts(before)) {
				return false
			}
			if d.madeAs(cell) {
				return true
			}
		}
		before = cell
	}
	return false
}

// onlyCounts reports whether words behind a number speak of no equipment, time or way:
// 8 OF 8 WATCHED.
func (d *doc) onlyCounts(toks []token) bool {
	return addressScore(textOf(toks)) < 2 && !d.numbersThing(toks) && len(d.withoutMoments(toks)) == len(toks) &&
		!slices.ContainsFunc(toks, func(t token) bool { return t.delim != 0 })
}

// madeAs reports whether tokens begin with a word for the console's make or version and a
// figure for it, or with one for the console and its model: CONSOLE 4410/B.
func (d *doc) madeAs(toks []token) bool {
	if code, cost, n := d.code(lexicon.Device, toks); n > 0 && cost == 0 && code == "system" && n < len(toks) {
		if d.modelOf(toks[n-1], toks[n]) {
			return true
		}
		toks = toks[n:]
	}
	if n := consoleNumber(toks); n > 0 && (plainDigits(toks[n-1].text, 5, 12) || len(toks[n-1].text) > 5 && strings.Contains(toks[n-1].text, "-")) {
		return true
	}
	code, cost, n := d.code(lexicon.Apparatus, toks)
	if n > 0 && cost == 0 && code == "contact" && n < len(toks) && telephoneFigures(toks[n:]) || len(toks) == 1 && strings.Count(toks[0].text, "-") == 2 && len(toks[0].text) >= longTelephone && telephone.matches(toks[0].text) {
		return true
	}
	if n == 0 || cost > cutCost || n >= len(toks) || code != "make" && code != "sheet" || toks[n].gap >= farValue {
		return false
	}
	const least = 4 // characters that no number of a tank, line or sensor has
	t := toks[n]
	return strings.ContainsAny(t.text, "0123456789") && (len(t.text) >= least || strings.ContainsAny(t.text, ".,-"))
}

// modelOf reports whether a figure behind a word for the console is its number or model: it
// is too long for one of equipment and no amount.
func (d *doc) modelOf(word, figure token) bool {
	switch word.norm {
	case "console", "unit", "controller", "monitor", "cons", "main", "cpu":
	default:
		return false
	}
	const least = 3 // figures of a model with a letter or stroke
	t := figure.text
	digits := 0
	for i := range len(t) {
		if isDigit(rune(t[i])) {
			digits++
		}
	}
	return word.delim == 0 && figure.gap < farValue && figure.delim == 0 && (plainDigits(t, 5, 8) || digits >= least && digits < len(t) && !strings.ContainsAny(t, ".,:"))
}

// longTelephone are the characters of a telephone number with its area: no date has so many.
const longTelephone = len("555-555-0142")

// telephoneFigures reports whether tokens are the figures of a telephone number and no more.
func telephoneFigures(toks []token) bool {
	const least = 6
	n := 0
	for _, t := range toks {
		if strings.Trim(t.text, "0123456789()+-./ ") != "" {
			return false
		}
		for i := range len(t.text) {
			if isDigit(rune(t.text[i])) {
				n++
			}
		}
	}
	return n >= least
}

// pageOnly reports whether a line says no more than which page it is, which of several
// reports, or that such a one ends.
func (d *doc) pageOnly(toks []token) bool {
	if n := len(toks); n == 4 && toks[0].norm == "end" && toks[1].norm == "of" && plainDigits(toks[3].text, 1, 3) && !d.isDevice(toks[2]) && onlyWords(toks[:3]) {
		return true // END OF MENU 6
	}
	if w := toks[0].norm; w != "page" && (w != "report" && w != "sheet" || len(toks) != 4 || toks[2].norm != "of") || len(toks) < 2 {
		return false // REPORT 1 OF 1
	}
	for _, t := range toks[1:] {
		if !t.blank && t.norm != "of" && !plainDigits(t.text, 1, 3) && t.text != "/" && !plainDigits(strings.ReplaceAll(t.text, "/", ""), 2, 4) {
			return false
		}
	}
	return true
}

// tally reports whether a line only counts what stands above it.
func (d *doc) tally(toks []token) bool {
	if rest := withoutTotal(toks); len(rest) < len(toks) {
		// TOTAL 5 ENTRIES. THANK YOU.
		n := slices.IndexFunc(rest, func(t token) bool { return t.stop == '.' }) + 1
		if n > 1 && n < len(rest) && (d.request(rest[n:]) || d.courtesy(rest[n:])) {
			rest = rest[:n]
		}
		if len(rest) == 2 && plainDigits(rest[0].text, 1, 3) && rest[0].delim == 0 && d.countedNoun(rest[1]) {
			return true
		}
	}
	if len(toks) == 2 && plainDigits(toks[0].text, 1, 3) && !toks[0].ordinal && toks[0].delim == 0 && toks[0].stop == 0 && !toks[0].paren && !starts(toks, 1) && toks[1].delim == 0 && listedNoun(toks[1]) {
		return true // 5 ITEMS
	}
	if len(toks) > 2 && plainDigits(toks[0].text, 1, 3) && toks[0].stop == 0 && toks[0].delim == 0 && !starts(toks, 1) && toks[0].text != "1" && d.countedNoun(toks[1]) && (toks[2].norm == "need" || toks[2].norm == "require" || toks[2].norm == "in" && len(toks) == 4 && (toks[3].norm == "all" || toks[3].norm == "total")) {
		return !hasFigures(toks[1:]) // 3 PLACES NEED ATTENTION
	}
	if n := len(toks); n > 3 && n < 6 && plainDigits(toks[0].text, 1, 3) && toks[n-2].norm == "of" && plainDigits(toks[n-1].text, 1, 3) && toks[0].delim == 0 && !starts(toks, 1) && len(toks[0].text) <= len(toks[n-1].text) && (d.saysState(toks[1:n-2]) || toks[1].norm == "abnormal" || toks[1].norm == "alarmed" || toks[1].norm == "shown" || toks[1].norm == "listed" || toks[1].norm == "not") {
		return true // 2 ABNORMAL OF 5
	}
	if len(toks) < 2 || !plainDigits(toks[0].text, 1, 3) || toks[0].ordinal || toks[0].delim != 0 || toks[0].stop != 0 || toks[0].paren {
		return false
	}
	counts := toks[1].delim == 0 || len(toks) > 3 && plainDigits(toks[2].text, 1, 3) && !d.numbersThing(toks[2:]) // 10 SENSORS: 5 NORMAL, ...
	if toks[0].text != "1" && !starts(toks, 1) && strings.HasSuffix(toks[1].norm, "s") && counts && (toks[1].norm == "entries" || d.noun(toks[1]) && d.spelt(toks[1], lexicon.Topic)) {
		return len(d.withoutMoments(toks)) == len(toks) && !d.countsPasses(toks)
	}
	return d.countsStates(toks)
}

// withoutTotal leaves out the words before a count that say that it is one.
func withoutTotal(toks []token) []token {
	for len(toks) > 1 {
		switch toks[0].norm {
		case "total", "totals", "count", "in", "all", "altogether", "of", "number":
			toks = toks[1:]
			continue
		}
		break
	}
	return toks
}

// listedNoun reports whether a word is what lists are made of, and of no equipment.
func listedNoun(t token) bool {
	switch t.norm {
	case "entries", "items", "records", "messages", "rows", "lines", "events", "readings", "results":
		return true
	}
	return false
}

// countsPasses reports whether a count is one of a summary: of tests of a rate, or of those
// that passed in a day.
func (d *doc) countsPasses(toks []token) bool {
	if d.namesClass(record.LineSummary, toks[1:]) != "" {
		return true
	}
	bag, _, _ := d.bag(toks[1:])
	t := labelTables()
	return t.has(bag, "passes") || t.has(bag, "hours24") || t.has(bag, "midnight")
}

// countsStates reports whether each cell of a line is a number and a state or result, and the
// numbers do not go up as those of equipment do.
func (d *doc) countsStates(toks []token) bool {
	all := cells(toks)
	if len(all) < 2 {
		return false
	}
	last, up, state := "", true, false
	for _, c := range all {
		if len(c) < 2 || !plainDigits(c[0].text, 1, 3) || c[0].bar {
			return false
		}
		words := c[1:]
		for len(words) > 1 && d.littleWord(words[0]) {
			words = words[1:]
		}
		says := d.saysState(words)
		if !says && (!d.isHeading(words) || d.isUnit(words[0])) {
			return false
		}
		state = state || says
		up = up && (len(last) < len(c[0].text) || len(last) == len(c[0].text) && last < c[0].text)
		last = c[0].text
	}
	return state && !up
}

// request reports whether a line asks something of who reads it.
func (d *doc) request(toks []token) bool {
	toks = toks[pumpSentence(toks):]
	if _, _, some := d.code(lexicon.Skip, toks); some == 0 {
		return false
	}
	n := 0
	for m := min(len(toks), maxPhraseWords); m > 0 && n == 0; m-- {
		if code, cost, ok := d.whole(lexicon.Skip, toks[:m]); ok && cost == 0 && code == "request" {
			n = m
		}
	}
	if n == 0 {
		return false
	}
	rest := toks[n:]
	for i, t := range rest {
		if t.number && !spanOfTime(rest[i:]) && !telephoneFigures(rest[i:]) {
			return false
		}
	}
	return true
}

// legend reports whether a line says of each of its short words what it stands for, in words
// for the same state, result or equipment: NEW=RAISED ACK=ACKNOWLEDGED, TK=TANK LN=LINE.
func (d *doc) legend(toks []token) bool {
	if len(toks) < 2 || len(toks)%2 != 0 {
		return false
	}
	for i := 0; i < len(toks); i += 2 {
		if toks[i].colon != '=' || toks[i+1].delim != 0 || !d.sameWord(toks[i].norm, toks[i+1].norm) {
			return false
		}
	}
	return true
}

// sameWord reports whether two words are one state or result, or stand for the same equipment.
func (d *doc) sameWord(a, b string) bool {
	if p := identPrefixes[a]; p != "" && p == identPrefixes[b] {
		return true
	}
	for _, x := range d.lookup(a) {
		for _, y := range d.lookup(b) {
			if x.Cost == 0 && y.Cost == 0 && x.Sense == y.Sense && x.Code == y.Code && (x.Sense == lexicon.AlarmState || x.Sense == lexicon.SensorState || x.Sense == lexicon.Result || x.Sense == lexicon.Device) {
				return true
			}
		}
	}
	return false
}

// subtitle reports whether a line stands below the title of a list and above the rule that
// closes its heading, and says neither a value nor a state: NEWEST FIRST.
func (d *doc) subtitle(i int) bool {
	if i < 2 || i+1 >= len(d.lines) || !d.lines[i+1].rule || !d.lines[i-2].rule || d.lines[i-1].rule || len(d.lines[i-1].toks) == 0 {
		return false
	}
	toks := d.lines[i].toks
	if k := d.title(d.lines[i-1]).kind; k != record.Alarm && k != record.SensorStatus || len(cells(toks)) > 1 || d.saysState(toks) {
		return false
	}
	for _, t := range toks {
		if t.number || t.delim != 0 {
			return false
		}
	}
	_, cost, n := d.code(lexicon.Skip, toks)
	return n == 0 || cost > 0
}
