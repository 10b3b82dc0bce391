package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// titleFinding says which kind of record a line announces.
type titleFinding struct {
	kind   record.Kind // "" for none
	phrase string      // the words that announce it
	whole  bool        // the line says nothing else
	topics int         // how many topics make it, where no phrase does
	also   record.Kind // a second kind that it announces
	open   bool        // it speaks of tests and not of what was tested
}

// title finds the kind that a line announces:
//
//	title = { class | filler | thing } kind { class | filler | thing }
//
// A line that carries a labelled value or a verdict is no title.
func (d *doc) title(l line) titleFinding {
	const most = 10 // tokens of a title
	if len(l.toks) == 0 || len(l.toks) > most {
		return titleFinding{}
	}
	key, ok := run(l.toks)
	m := d.memory(key.at)
	if ok && m != nil {
		for a := m.titles; a != nil; a = a.before {
			if a.is.key == key {
				return a.is.title
			}
		}
	}
	t := d.titleAnew(l)
	if ok && m != nil {
		d.kept.titles.keep(&m.titles, titleAnswer{key, t})
	}
	return t
}

// titleAnew is title without a memory.
func (d *doc) titleAnew(l line) titleFinding {
	if rest := leadIn(l.toks); rest > 0 {
		l.toks, l.far = l.toks[rest:], true
		if t := d.titleAnew(l); t.kind != "" {
			return t
		}
		for k := range l.toks {
			if l.toks[k].delim == ':' && k+1 < len(l.toks) {
				l.toks = slices.Clone(l.toks)
				l.toks[k].delim = 0
			}
		}
		return d.topicTitle(l)
	}
	var best titleFinding
	bestUsed, bestAt := 0, 0
	for i, t := range l.toks {
		if i < len(l.toks)-1 && t.delim == '.' || t.bar {
			return best // leaders lead to a value, bars part the cells of a table
		}
	}
	all := len(l.toks)
	if all == 1 && d.sensorAlone(l.toks) && d.goesOnFrom(l.toks[0].line-1) {
		return best
	}
	l.toks = d.withoutCount(l.toks)
	untimed := d.withoutMonths(d.withoutMoments(l.toks))
	if len(untimed) > 1 && len(untimed) < len(l.toks) {
		if _, cost, ok := d.whole(lexicon.AlarmState, untimed); ok && cost == 0 {
			return best // ALARM ON   03/14/25 07:11
		}
	}
	l.toks = d.withoutTail(d.withoutSorting(d.withoutUnits(d.withoutSite(d.withoutClock(d.withoutTaken(untimed, all))))))
	if len(l.toks) == 0 || len(l.toks) == 1 && all > 1 && d.spelt(l.toks[0], lexicon.AlarmState) {
		return best // the state of a dated alarm
	}
	if t := d.spanTitle(l.toks); t.kind != "" {
		return t
	}
	if t := d.commaTitle(l.toks); t.kind != "" {
		return t
	}
	if t := d.dashTitle(l.toks); t.kind != "" {
		return t
	}
	if t, n := d.ofThing(l.toks); n > 0 {
		return t
	}
	full := d.written(l.toks)
	for i := 0; i < len(l.toks); i++ {
		code, cost, n := d.kindAt(l.toks, full, i)
		if cost > 0 && (n == 1 || d.isDevice(l.toks[0])) && d.numbersThing(l.toks) {
			continue // TANK 1 NO LEAD: no LOAD misread, the name of a thing says the more
		}
		if n == 1 && i > 0 && i+1 < len(l.toks) && d.numbersThing(l.toks[:i]) && (len(l.toks[i].text) < 5 || d.endsInGrade(l.toks[i:])) {
			continue // LINE 1 REC GAS: part of what it holds
		}
		if n > bestUsed && cost <= 0.35*float64(n)+0.3 && !crosses(l.toks[i:], n) && (!slices.ContainsFunc(l.toks[:i], titleBreak) || d.saysTitle(l.toks[:i])) {
			best, bestUsed, bestAt = titleFinding{kind: record.Kind(code), phrase: phraseOf(l.toks[i : i+n])}, n, i
		}
	}
	if bestUsed == 0 {
		if t := d.ratedTitle(l); t.kind != "" {
			return t
		}
		if t := d.wayTitle(l.toks); t.kind != "" {
			return t
		}
		return d.apartTitle(l.toks[0].line)
	}
	if best.kind == record.LineTest && slices.ContainsFunc(l.toks, d.past) {
		best.kind = record.LineSummary // SUMMARY, LINE TESTS
	}
	over := d.unexplained(best.kind, l.toks, bestAt, bestUsed)
	switch {
	case over <= 0:
		best.whole = true
		return best
	case bestUsed >= 2 && over*3 <= bestUsed && !d.hasValue(l.toks):
		return best
	}
	return d.apartTitle(l.toks[0].line)
}

// goesOnFrom reports whether a line ends in a little word, so that the one below goes on with it:
// NO REPLY FROM, and below it SENSOR.
func (d *doc) goesOnFrom(i int) bool {
	if i < 0 || len(d.lines[i].toks) < 2 {
		return false
	}
	n := len(d.lines[i].toks) - 1
	last := d.lines[i].toks[n]
	return d.littleWord(last) && last.delim == 0 && last.stop == 0 && !d.lines[i].toks[n-1].number
}

// leadIn is how many tokens before a title only say that one follows: REPORT: TANK
// TESTS, 1. TANK TESTS, 1) TANK TESTS, A. TANK TESTS.
func leadIn(toks []token) int {
	if len(toks) < 2 {
		return 0
	}
	t := toks[0]
	counted := t.number && (t.stop == '.' || t.shut) && !t.ordinal && plainDigits(countText(t), 1, 2)
	lettered := len(t.text) == 1 && isLetter(t.text[0]) && t.stop == '.' && len(toks[1].text) > 1 && (len(toks) > 2 || len(toks[1].text) > 3)
	if t.norm == "report" && t.delim == ':' || (counted || lettered) && toks[1].gap < wideGap && !toks[1].number {
		return 1
	}
	return 0
}

// withoutCount leaves out how many alarms there are behind a title in words: PAST ALARMS: 3.
func (d *doc) withoutCount(toks []token) []token {
	n := d.countOfAlarms(toks)
	if n == 0 || len(toks)-n < 2 {
		return toks
	}
	toks = slices.Clone(toks[:len(toks)-n])
	toks[len(toks)-1].delim = 0
	return toks
}

// countOfAlarms is how many tokens behind the words of a line and a mark say no more than how
// many alarms follow: ACTIVE ALARMS: 2.
func (d *doc) countOfAlarms(toks []token) int {
	n := len(toks) - 1
	if n < 1 || !plainDigits(toks[n].text, 1, 3) || toks[n-1].delim != ':' && toks[n-1].delim != '=' || hasFigures(toks[:n]) {
		return 0
	}
	if w := toks[n-1]; !strings.HasSuffix(w.norm, "s") || !d.spelt(w, lexicon.Topic) || !slices.ContainsFunc(d.lookup(w.norm), func(h lexicon.Hit) bool {
		return h.Cost == 0 && h.Sense == lexicon.Topic && h.Code == "alarm"
	}) {
		return 0
	}
	return 1
}

// past reports whether a word of a title speaks of what several tests came to.
func (d *doc) past(t token) bool {
	switch t.norm {
	case "summary", "history", "passes", "passed":
		return true
	}
	return false
}

// looseTitle finds the kind that a short line speaks of among other words.
func (d *doc) looseTitle(l line) titleFinding {
	const most = 8 // words
	if len(l.toks) < 2 || len(l.toks) > most || d.tabular(l) || d.hasValue(l.toks) {
		return titleFinding{}
	}
	full, named := d.written(l.toks), d.numbersThing(l.toks)
	for i := range l.toks {
		if code, cost, n := d.kindAt(l.toks, full, i); n > 0 && cost == 0 && !(n == 1 && named) && (n > 1 || strings.HasSuffix(l.toks[i].norm, "s") || code == "inventory" || code == "delivery" || code == "reconciliation") {
			return titleFinding{kind: record.Kind(code), phrase: phraseOf(l.toks[i : i+n])}
		}
	}
	return titleFinding{}
}

// unexplained counts the tokens of a title that are neither fillers nor name the
// thing, the rate or the method that the title is about.
func (d *doc) unexplained(k record.Kind, toks []token, at, used int) int {
	beside := map[int]bool{}
	facts, _ := d.scan(k, toks)
	for _, f := range facts {
		switch f.field {
		case "tank", "line", "sensor":
			for _, t := range f.label {
				beside[t.at] = true
			}
		case "test_rate", "test_class", "method", "product":
			if len(f.label) > 0 {
				return len(toks) // a field with its label
			}
		default:
			continue
		}
		for _, t := range f.read.toks {
			beside[t.at] = true
		}
	}
	if used == 1 && beside[toks[at].at] {
		return len(toks) // the name of a thing: SENSOR 1 is no title
	}
	several := k == record.Alarm && (used > 1 || strings.HasSuffix(toks[at].norm, "s")) // TANK ALARMS, but LINE ALARM is one
	n := 0
	for i := range toks {
		if (i < at || i >= at+used) && saysPassed(toks[i]) && passedTests(k, toks[at:at+used]) && !d.numbersThing(toks) {
			continue // LAST PASSING TANK TESTS
		}
		if several && d.isDevice(toks[i]) && !(i+1 < len(toks) && toks[i+1].number) {
			continue
		}
		if (i < at || i >= at+used) && !d.besideTitle(toks, i) && !beside[toks[i].at] {
			n++
		}
	}
	return n
}

// saysPassed reports whether a word beside a title says that all that it announces passed.
func saysPassed(t token) bool {
	switch t.norm {
	case "passing", "passed", "successful":
		return t.delim == 0
	}
	return false
}

// passedTests reports whether the words of a title are of several tests of tanks.
func passedTests(k record.Kind, toks []token) bool {
	return k == record.TankTest && len(toks) > 1 && strings.HasSuffix(toks[len(toks)-1].norm, "s")
}

// withoutMoments leaves out dates and times, which may stand beside a title.
func (d *doc) withoutMoments(toks []token) []token {
	out, cut := toks, false // a copy only once something is left out
	for i := 0; i < len(toks); {
		if r, ok := d.readTime(toks[i:], false); ok && r.hasDate() {
			if !cut {
				out, cut = toks[:i:i], true
			}
			i += r.used
			continue
		}
		if cut {
			out = append(out, toks[i])
		}
		i++
	}
	return out
}

// withoutMonths leaves out a month with its year behind a title: DELIVERIES, MAY 2018.
func (d *doc) withoutMonths(toks []token) []token {
	n := len(toks) - 2
	if n < 1 || !plainDigits(toks[n+1].text, 4, 4) || toks[n+1].text < "1980" || toks[n+1].text > "2079" {
		return toks
	}
	if _, cost, ok := d.whole(lexicon.Month, toks[n:n+1]); !ok || cost > 0 || toks[n-1].delim != 0 {
		return toks
	}
	for n > 1 && toks[n-1].blank {
		n-- // LINE REPORT - APRIL 2016
	}
	return toks[:n]
}

// kindAt finds the longest phrase from token i on that names a kind. full are the tokens
// with the usual short forms of their words written out, nil when there are none.
func (d *doc) kindAt(toks, full []token, i int) (code string, cost float64, used int) {
	code, cost, used = d.code(lexicon.Kind, toks[i:])
	if full == nil {
		return code, cost, used
	}
	if c, k, n := d.code(lexicon.Kind, full[i:]); n > used {
		return c, k, n
	}
	return code, cost, used
}

// written replaces short forms, as TST for test; nil when there are none.
func (d *doc) written(toks []token) []token {
	var out []token
	for i, t := range toks {
		for _, h := range d.find(toks[i : i+1]) {
			if h.Sense == lexicon.Short && h.Cost == 0 {
				if out == nil {
					out = append([]token(nil), toks...)
				}
				t.norm, t.at = h.Code, -1
				out[i] = t
				break
			}
		}
	}
	return out
}

// titleBreak reports whether a label mark or leaders follow the token: what
// stands behind is no part of a title.
func titleBreak(t token) bool { return t.delim != 0 }

// saysTitle reports whether a label only says that a title follows: REPORT: ...
func (d *doc) saysTitle(toks []token) bool {
	for _, t := range toks {
		if !d.spelt(t, lexicon.Filler) || !d.spelt(t, lexicon.Topic) {
			return false
		}
	}
	return len(toks) > 0 && len(toks) <= 2
}

// besideTitle reports whether a token may stand beside a title without being
// part of it: a rate, a unit, an equipment number, a filler.
func (d *doc) besideTitle(toks []token, i int) bool {
	t := toks[i]
	if t.blank || t.norm == "since" && i > 0 {
		return true
	}
	if i > 0 && i+2 == len(toks) && toks[i-1].delim == 0 && t.delim == 0 && plainDigits(toks[i+1].text, 1, 2) && toks[i+1].gap < wideGap && d.isDevice(t) {
		return true // STOCK, TANK 4
	}
	if t.number {
		r, ok := d.readClass(record.TankTest, toks[i:], "")
		return ok && r.used > 0 || counted(toks, i) || i > 0 && len(t.text) <= 2 && d.isDevice(toks[i-1])
	}
	if i > 0 && i+1 < len(toks) && toks[i].delim != 0 {
		return false
	}
	if toks[i].delim != 0 && d.saysTitle(toks[:i+1]) {
		return true
	}
	for _, h := range d.find(toks[i : i+1]) {
		if h.Cost > 0 {
			continue
		}
		switch h.Sense {
		case lexicon.Kind:
			return false
		case lexicon.TestClass, lexicon.Unit, lexicon.Filler, lexicon.Method:
			return true
		case lexicon.Part:
			switch h.Code {
			case "result", "last", "month", "hours24":
				return true
			}
		}
	}
	return false
}

// isDevice reports whether a word names equipment that has numbers.
func (d *doc) isDevice(t token) bool {
	code, cost, ok := d.whole(lexicon.Device, []token{t})
	return ok && cost == 0 && code != "system"
}

// hasValue reports whether a line holds a number that is no part of a title, a
// label with its mark, or a verdict.
func (d *doc) hasValue(toks []token) bool {
	for i, t := range toks {
		if t.number && !d.besideTitle(toks, i) || t.delim == ':' && i+1 < len(toks) {
			return true
		}
		for _, h := range d.find(toks[i : i+1]) {
			if h.Sense == lexicon.Result && h.Cost == 0 {
				return true
			}
		}
	}
	return false
}

// titleFacts are the fields that stand in a title: the rate of the test, the
// tank.
func (d *doc) titleFacts(k record.Kind, lines []line) structure {
	l := lines[0]
	if _, n := d.ofThing(l.toks); n > 0 {
		l.toks = l.toks[n:]
	}
	facts, _ := d.scan(k, l.toks)
	var keep []fact
	var over []entry // a verdict that all below it have
	if sense, field := headSense(k); field == "state" {
		if f, ok := d.stateAlone(sense, field, l.toks); ok && f.read.cost == 0 {
			s, _ := d.stateHead(k, lines)
			return s
		}
		if rest := d.withoutMoments(l.toks); k == record.Alarm && len(rest) > 0 && len(rest) < len(l.toks) {
			if f, ok := d.stateAlone(sense, field, rest); ok && f.read.cost == 0 {
				return structure{float64(len(rest))*freeWorth + 1, 1, []entry{{facts: []fact{f}, head: true}}}
			}
		}
	}
	facts = d.spanInTitle(k, facts)
	if r, ok := d.rateInTitle(k, l); ok && !slices.ContainsFunc(facts, rateInFigures) {
		keep = append(keep, fact{field: "test_rate", read: r, weak: true})
	}
	figure := slices.ContainsFunc(facts, rateInFigures)
	for _, f := range facts {
		if figure && f.read.class != "" && !rateInFigures(f) {
			continue // TANK TIGHTNESS TESTS, 0.2 GPH
		}
		if f.field == fieldType && rateInFigures(f) {
			f.field, f.label, f.cost = "test_rate", nil, 0 // LATEST TESTS OF 0.2 GPH
		}
		switch f.field {
		case "from", "to":
			keep = append(keep, f)
		case "tank", "line", "test_rate", "test_class", "method", "product":
			if f.field == "product" && d.severalProducts(l.toks) {
				continue // of the columns below it
			}
			if _, word := f.read.value.(string); f.read.class != "" && word && len(f.read.toks) == 1 && f.read.toks[0].norm == "tightness" {
				f.guess = "the title alone says so, in a word that may stand for any test"
			}
			keep = append(keep, f)
		case "result":
			if len(f.read.toks) == 1 && saysPassed(f.read.toks[0]) && !d.resultsBelow(k, lines[1:]) && k == record.TankTest {
				f.guess = "the title alone says so, of all that stand below it"
				over = []entry{{facts: []fact{f}, head: true, apart: true}}
			}
		case fieldPeriod:
			keep = append(keep, f)
		case fieldMoment:
			f.field = d.besideTitleTime(k, f)
			f.inherited = true
			keep = append(keep, f)
		}
	}
	if len(keep) > 0 {
		over = append([]entry{{facts: keep}}, over...)
	}
	if len(over) == 0 {
		return structure{}
	}
	return structure{0.1, 1, over}
}

// severalProducts reports whether several cells of a line are products.
func (d *doc) severalProducts(toks []token) bool {
	n := 0
	for c := range eachCell(toks) {
		if _, cost, ok := d.grade(c); ok && cost == 0 {
			n++
		}
	}
	return n > 1
}

// resultsBelow reports whether a cell below a title says how a test ended, or a label that it follows.
func (d *doc) resultsBelow(k record.Kind, lines []line) bool {
	for _, l := range lines {
		for c := range eachCell(l.toks) {
			if _, cost, ok := d.whole(lexicon.Result, c); ok && cost == 0 {
				return true
			}
		}
		for i := range l.toks {
			for _, n := range d.names(l.toks[i:]) {
				if f, ok := d.field(k, n.bag); ok && f == "result" && n.cost <= sureLabelCost {
					return true
				}
			}
		}
	}
	return false
}

// rateInFigures reports whether a fact is the rate of a test that is said in figures.
func rateInFigures(f fact) bool {
	return f.read.class != "" && len(f.read.toks) > 0 && f.read.toks[0].number
}

// spanInTitle takes a date before TO and another in the title of an account for the beginning of
// the time that it is of: RECONCILIATION 02/01/24 TO 02/29/24.
func (d *doc) spanInTitle(k record.Kind, facts []fact) []fact {
	if k != record.Reconciliation {
		return facts
	}
	for i := 1; i < len(facts); i++ {
		if a, b := facts[i-1], facts[i]; a.field == fieldMoment && len(a.label) == 0 && a.read.hasDate() && b.field == "to" && b.read.hasDate() {
			out := slices.Clone(facts)
			out[i-1].field = "from"
			return out
		}
	}
	return facts
}

// sensorAlone reports whether a word is one for sensors, with nothing beside it.
func (d *doc) sensorAlone(toks []token) bool {
	code, cost, ok := d.whole(lexicon.Device, toks)
	return ok && cost == 0 && code == "sensor"
}
