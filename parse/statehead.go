package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// headSense says which words head a group of records of a kind, and which field
// they are.
func headSense(k record.Kind) (lexicon.Sense, string) {
	switch k {
	case record.Alarm:
		return lexicon.AlarmState, "state"
	case record.SensorStatus:
		return lexicon.SensorState, "state"
	case record.TankTest, record.LineTest, record.Reconciliation:
		return lexicon.Result, "result"
	}
	return "", ""
}

// stateHead reads a line that holds a state or result and nothing else but the
// word for what is in that state:
//
//	head  = state [ "alarms" | "sensors" | "tests" ] [ scope ] [ ":" ] [ newline "none" ]
//	      | "past" [ "alarms" ]                        the state above holds no longer
//	scope = "(" number ")" | ":" number | "today" | "in the last" number "days" | "but not" state
//
// Whether it heads the records below it or ends the one above, assemble finds
// out from its place among the others.
func (d *doc) stateHead(k record.Kind, lines []line) (structure, bool) {
	toks := lines[0].toks
	toks = toks[leadIn(toks):]
	sense, field := headSense(k)
	const most = maxPhraseWords + 5 // words with those of a scope
	if k == record.Alarm && d.pastAlone(toks[:len(toks)-d.scope(sense, toks)]) {
		return structure{float64(len(toks))*freeWorth + 1, 1, []entry{{head: true}}}, true
	}
	if field == "" || len(toks) > most {
		return structure{}, false
	}
	bare := toks[:len(toks)-d.scope(sense, toks)]
	if len(bare) > maxPhraseWords {
		return structure{}, false
	}
	f, ok := d.stateAlone(sense, field, bare)
	if !ok && k == record.Alarm {
		f, ok = d.bareAlarmWord(toks)
	}
	if !ok {
		return structure{}, false
	}
	f.label = append(f.label[:len(f.label):len(f.label)], toks[len(bare):]...)
	s := structure{float64(len(toks))*freeWorth + 1, 1, []entry{{facts: []fact{f}, head: true, apart: len(bare) < len(toks)}}}
	if toks[len(toks)-1].delim == ':' {
		s.worth += float64(len(toks)) + factWorth // ALARM - FUEL: is no value behind its label
	}
	if len(lines) > 1 && len(lines[1].toks) > 0 {
		if code, cost, ok := d.whole(lexicon.Skip, lines[1].toks); ok && cost == 0 && code == "none" {
			s.lines, s.entries[0].none = 2, true
		}
	}
	return s, true
}

// pastAlone reports whether a line says no more than that what stands below it is over: it heads
// alarms whose state each says for itself.
func (d *doc) pastAlone(toks []token) bool {
	said := false
	for i, t := range toks {
		if t.number || t.blank || i > 0 && starts(toks, i) {
			return false
		}
		code, cost, ok := d.whole(lexicon.Part, []token{t})
		if earlier := ok && cost == 0 && code == "earlier"; !earlier && !d.noun(t) {
			return false
		} else if earlier {
			said = true
		}
	}
	return said
}

// headInTable reads a line among the rows of a table that says in which state those below it
// are: it stands apart, below a rule or an empty line, or says what else holds of them.
func (d *doc) headInTable(k record.Kind, sets [][]column, lines []line, i int) (structure, bool) {
	sense, field := headSense(k)
	if field != "state" || slices.ContainsFunc(sets, func(cols []column) bool {
		return slices.ContainsFunc(cols, func(c column) bool { return c.field == field })
	}) {
		return structure{}, false
	}
	if i > 0 && !lines[i-1].rule && !lines[i].gap && d.scope(sense, lines[i].toks) == 0 {
		return structure{}, false
	}
	s, ok := d.stateHead(k, lines[i:])
	if !ok {
		return structure{}, false
	}
	j := skipRules(lines, i+s.lines)
	if j >= len(lines) {
		return structure{}, false
	}
	_, _, used := d.oneRow(k, sets, lines, j)
	s.entries[0].apart = true
	return s, used > 0
}

// scope counts the tokens at the end of a heading that say of how many, of which time, or
// what else holds of those in the state: CLEARED IN THE LAST 30 DAYS (2), ACKNOWLEDGED BUT NOT
// CLEARED.
func (d *doc) scope(sense lexicon.Sense, toks []token) int {
	end := len(toks)
	if end > 1 && bracketedNumber(toks[end-1]) {
		end--
	}
	if sense == lexicon.AlarmState {
		end -= d.countOfAlarms(toks)
	}
	for i := 1; i < end; i++ {
		if starts(toks, i) && !toks[i].open {
			break
		}
		if d.timeScope(toks[i:end]) || d.notState(sense, toks[i:end]) {
			return len(toks) - i
		}
	}
	return len(toks) - end
}

// timeScope reports whether words only say of which time something is: TODAY, IN THE LAST 30
// DAYS, SINCE MIDNIGHT.
func (d *doc) timeScope(toks []token) bool {
	says := false
	for _, t := range toks {
		switch t.norm {
		case "today", "yesterday", "days", "day", "hours", "hour", "hrs", "h", "week", "weeks", "month", "months", "shift", "midnight", "year":
			says = true
		case "in", "the", "last", "past", "this", "within", "since", "during", "of", "recently":
		default:
			if !plainDigits(t.text, 1, 3) {
				return false
			}
		}
	}
	return says && !toks[0].number
}

// notState reports whether words say in which state something is not: BUT NOT CLEARED.
func (d *doc) notState(sense lexicon.Sense, toks []token) bool {
	for len(toks) > 1 && (toks[0].norm == "but" || toks[0].norm == "and" || toks[0].norm == "yet" || toks[0].blank) {
		toks = toks[1:]
	}
	if len(toks) < 2 || toks[0].norm != "not" {
		return false
	}
	if toks = toks[1:]; len(toks) > 1 && toks[0].norm == "yet" {
		toks = toks[1:]
	}
	_, cost, ok := d.whole(sense, toks)
	return ok && cost == 0
}

// stateAlone reads tokens as a state with the noun that goes with it.
func (d *doc) stateAlone(sense lexicon.Sense, field string, toks []token) (fact, bool) {
	if len(toks) == 3 && toks[1].text == "-" && d.noun(toks[0]) {
		toks = toks[2:] // ALARM - FUEL:
	}
	for i := range toks {
		if toks[i].number || toks[i].blank || i > 0 && starts(toks, i) {
			return fact{}, false
		}
		if sense == lexicon.AlarmState && toks[i].delim == ':' && i+2 < len(toks) && d.spelt(toks[i], lexicon.Device) {
			return fact{}, false // SYSTEM: POWER WAS OFF
		}
	}
	if code, cost, ok := d.whole(sense, toks); ok && !(len(toks) == 1 && d.nounLike(toks[0])) {
		return fact{field: field, read: reading{used: len(toks), toks: toks, value: code, cost: cost}}, true
	}
	// The nouns around it, as few as can be: one may be part of the state, as in STILL ON.
	before, behind := 0, 0
	for before < len(toks)-1 && d.noun(toks[before]) {
		before++
	}
	for behind < len(toks)-1 && d.noun(toks[len(toks)-1-behind]) {
		behind++
	}
	for n := 1; n < len(toks) && n <= before+behind; n++ {
		for from := max(0, n-behind); from <= min(before, n); from++ {
			to := len(toks) - (n - from)
			if code, cost, ok := d.whole(sense, toks[from:to]); ok && (toks[from].norm == "current" || !d.noun(toks[from])) {
				return fact{field: field, label: toks[to:], read: reading{used: to - from, toks: toks[from:to], value: code, cost: cost}}, true
			}
		}
	}
	return fact{}, false
}

// bareAlarmWord reads the word ALARM alone in a line as the state of an alarm that was
// raised, where the other states of the list stand alone in the same column, set in below
// what their alarm says:
//
//	TANK 1: OVERFILL
//	                   CLEAR
//	TANK 1: OVERFILL
//	                   ALARM
func (d *doc) bareAlarmWord(toks []token) (fact, bool) {
	if len(toks) != 1 || toks[0].norm != "alarm" || toks[0].delim != 0 || !d.setIn(toks[0].line) {
		return fact{}, false
	}
	for i, l := range d.lines {
		if len(l.toks) == 0 || math.Abs(l.toks[0].col-toks[0].col) > stateSlack || !d.setIn(i) {
			continue
		}
		if f, ok := d.stateAlone(lexicon.AlarmState, "state", l.toks); ok && f.read.cost == 0 {
			return fact{field: "state", read: reading{used: 1, toks: toks, value: "raised"}}, true
		}
	}
	return fact{}, false
}

// stateSlack is how far states of one column may stand apart.
const stateSlack = 0.6

// setIn reports whether a line begins further in than the one above it.
func (d *doc) setIn(i int) bool {
	return i > 0 && len(d.lines[i].toks) > 0 && len(d.lines[i-1].toks) > 0 && d.lines[i].toks[0].col > d.lines[i-1].toks[0].col+wideGap
}

// noun reports whether a word only names what the records of a list are.
func (d *doc) noun(t token) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Cost == 0 && (h.Sense == lexicon.Kind || h.Sense == lexicon.Device || h.Sense == lexicon.Filler || h.Sense == lexicon.Part && h.Code == "test") {
			return true
		}
	}
	return false
}

// nounLike is noun for words that need not be spelt right.
func (d *doc) nounLike(t token) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Sense == lexicon.Kind || h.Sense == lexicon.Device {
			return true
		}
	}
	return false
}

// heads says whether the lines that hold only a state head what stands below
// them: the first of them stands before all that is said of any record, and the
// last of them is not the end.
func heads(r reads) bool {
	if slices.ContainsFunc(r.entries, func(e entry) bool { return e.head && (e.apart || marked(e)) }) {
		return true
	}
	for i, e := range r.entries {
		switch {
		case e.head:
			return headsFrom(r.entries[i:])
		case speaks(e):
			return false
		}
	}
	return false
}

// marked reports whether a label mark stands behind a lone state: LIQUID: ends nothing.
func marked(e entry) bool {
	if len(e.facts) == 0 {
		return false
	}
	f := e.facts[0]
	toks := append(f.read.toks[:len(f.read.toks):len(f.read.toks)], f.label...)
	return len(toks) > 0 && toks[len(toks)-1].delim == ':'
}

// headsFrom reports whether something is said of a record below each of the
// heads, the first of which begins the entries.
func headsFrom(entries []entry) bool {
	said := true
	for _, e := range entries {
		switch {
		case e.head && !said:
			return false
		case e.head:
			said = e.none
		case speaks(e):
			said = true
		}
	}
	return said
}

// speaks reports whether an entry says something of a record.
func speaks(e entry) bool {
	for _, f := range e.facts {
		if !isHeader(f.field) && f.field != fieldMoment && !shareable[f.field] {
			return true
		}
	}
	return false
}

// endings gives the last words of what an alarm says back to it, which were
// taken for its state, where a head above says the state: PUMP SHUT OFF.
func endings(r reads) {
	if !heads(r) {
		return
	}
	several := 0
	for _, e := range r.entries {
		if e.head {
			several++
		}
	}
	for i := range r.entries {
		e := &r.entries[i]
		if several < 2 {
			// The title alone speaks of a state; the line may say another.
			for t := range e.facts {
				if e.facts[t].ending {
					for u := range e.facts {
						if f := &e.facts[u]; f.field == "event" || f.field == "location" || f.field == "state" {
							f.guess = "its last words may be its state or a part of what it says"
						}
					}
				}
			}
			continue
		}
		e.facts = withoutEnding(withoutEnding(e.facts, "event"), "location")
	}
}

// withoutEnding gives the last words of an event or a place, whose field is of, that were
// taken for its state back to it.
func withoutEnding(facts []fact, of string) []fact {
	for s, f := range facts {
		if !f.ending || f.field != "state" {
			continue
		}
		for t := range facts {
			text := &facts[t]
			last := len(text.read.toks) - 1
			if text.field != of || last < 0 || text.read.toks[last].at+1 != f.read.toks[0].at {
				continue
			}
			text.read.toks = append(text.read.toks[:last+1:last+1], f.read.toks...)
			text.read.value, text.read.used = textOf(text.read.toks), len(text.read.toks)
			return append(facts[:s:s], facts[s+1:]...)
		}
	}
	return facts
}
