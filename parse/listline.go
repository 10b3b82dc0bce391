package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Lines of lists that carry no labels. Their free text (where a sensor sits,
// what an alarm says) may hold any trade word, so the fixed things around it
// are found first:
//
//	sensorline = [ moment ] [ "sensor" ] number [ location ] [ state ] [ moment ]
//	alarmline  = [ moment ] [ device [ number ] ] event [ state ] [ moment ]
type listLine struct {
	d     *doc
	toks  []token
	taken []bool
	facts []fact
	worth float64
	at    int // the fact that is the sensor's number
}

func (d *doc) alarmLine(toks []token) ([]fact, float64) {
	if d.saysWhenPrinted(toks) {
		return nil, -unknownCost * float64(len(toks))
	}
	l := &listLine{d: d, toks: toks, taken: make([]bool, len(toks))}
	if last := toks[len(toks)-1]; len(toks) == 2 && last.norm == "alarms" && d.isDevice(toks[0]) {
		return []fact{{field: "", read: reading{used: 2, toks: toks}}}, textWorth // TANK ALARMS, below it those
	}
	l.moments("at")
	l.device()
	l.state(lexicon.AlarmState, "state")
	l.rest("event")
	if len(l.facts) == 1 && addressScore(textOf(toks)) > 2 {
		return nil, -unknownCost * float64(len(toks))
	}
	return l.facts, l.worth
}

// saysWhenPrinted reports whether a line names a time as that of printing: SLIP PRINTED
// 03/14/25 12:30   GAUGE V2.
func (d *doc) saysWhenPrinted(toks []token) bool {
	if !slices.ContainsFunc(toks, func(t token) bool { return strings.HasPrefix(t.norm, "print") }) {
		return false
	}
	facts, worth := d.scan(record.Alarm, toks)
	return worth > 0 && slices.ContainsFunc(facts, func(f fact) bool {
		return f.field == "header.printed_at" && len(f.label) > 0 && f.cost == 0 && f.read.hasDate()
	})
}

func (l *listLine) take(i, n int, f fact, worth float64) {
	for j := i; j < i+n; j++ {
		l.taken[j] = true
	}
	l.facts = append(l.facts, f)
	l.worth += worth
}

// moments takes dates and times that begin a cell or follow something taken.
func (l *listLine) moments(field string) {
	for i := 0; i < len(l.toks); {
		if l.toks[i].blank {
			i++
			continue
		}
		r, ok := l.d.readTime(l.toks[i:], false)
		if !ok || !r.hasDate() && !r.hasClock() || r.hasDate() && !r.hasYear() && !r.hasClock() {
			i++
			continue
		}
		l.take(i, r.used, fact{field: field, read: r, weak: false}, float64(r.used)*freeWorth+0.2)
		i += r.used
	}
}

// first is the index of the first token that is not taken, or -1.
func (l *listLine) first() int {
	for i, t := range l.taken {
		if !t && !l.toks[i].blank && !l.toks[i].ordinal {
			return i
		}
	}
	return -1
}

// device takes the equipment that an alarm is about: its word with a number,
// T2, or a word that has a cell of its own.
func (l *listLine) device() {
	for i := range l.toks {
		if l.taken[i] {
			continue
		}
		code, cost, used := l.d.code(lexicon.Device, l.toks[i:])
		if cost > 0 && used > 1 {
			if c, k, ok := l.d.whole(lexicon.Device, l.toks[i:i+1]); ok && k == 0 {
				code, cost, used = c, k, 1 // SYSTEM - POWER FAILURE
			}
		}
		if n := i + used; used > 0 && n+1 < len(l.toks) && l.d.numberWord(l.toks[n]) && plainDigits(l.toks[n+1].text, 1, 3) && !crosses(l.toks[i:], used+2) {
			used++ // TANK NO 2
		}
		if used > 0 && cost < 0.7 && i+used < len(l.toks) && !l.taken[i+used] && code != "system" {
			if prefix, number, fixed, ok := l.toks[i+used].ident(); ok && identPrefixes[prefix] == "" && fixed == 0 {
				l.takeDevice(i, used, code, cost, number, l.toks[i+used:i+used+1])
				return
			}
		}
		if name, n := letterDevice(l.toks[i:]); n > 0 && l.begins(i) {
			_, number, _, _ := l.toks[i+1].ident()
			l.takeDevice(i, 1, name, 0, number, l.toks[i+1:i+2])
			return
		}
		if prefix, number, _, ok := l.toks[i].ident(); ok && identPrefixes[prefix] != "" {
			l.takeDevice(i, 0, identPrefixes[prefix], 0, number, l.toks[i:i+1])
			return
		}
		if used > 0 && cost == 0 && (starts(l.toks, i) || l.taken[i-1] || i == 1 && l.toks[0].ordinal) && l.standsAlone(i, used, code) {
			r := reading{used: used, toks: l.toks[i : i+used], value: code}
			l.take(i, used, fact{field: "device", read: r}, 1)
			if i == 0 && l.onlyTimeBehind(used) {
				l.taken[used] = true // ON is no state here
			}
			return
		}
	}
}

// standsAlone reports whether a device word without a number is the device: it
// has a cell or a mark of its own, or is the system's name before the event.
func (l *listLine) standsAlone(i, used int, code string) bool {
	if l.toks[i+used-1].delim == ':' || code == "system" && i+used+1 < len(l.toks) && l.toks[i+used].blank {
		return true
	}
	if cellEnd(l.toks, i) == i+used {
		return i > 0 || used < len(l.toks) || code == "system"
	}
	if code == "system" && i == 0 && l.onlyTimeBehind(used) {
		return true
	}
	if used != 1 || code != "system" {
		return false
	}
	switch l.toks[i].norm {
	case "sys", "system":
		return true
	case "console", "gauge", "panel", "controller", "atg", "station":
		return i > 0 && l.taken[i-1] // right behind the time
	}
	return false
}

// onlyTimeBehind reports whether nothing but its time and the word that leads to it stands on the
// line from token i on: GAUGE AT 03/14/25 07:11.
func (l *listLine) onlyTimeBehind(i int) bool {
	if i+1 >= len(l.toks) || l.taken[i] || l.toks[i].norm != "at" && l.toks[i].norm != "on" {
		return false
	}
	return !slices.Contains(l.taken[i+1:], false)
}

func (l *listLine) takeDevice(i, used int, code string, cost float64, number string, at []token) {
	word := l.toks[i : i+max(used, 1)]
	n := used + 1
	guess := ""
	if i > 0 && !starts(l.toks, i) && !l.taken[i-1] && !l.toks[i-1].ordinal && !l.toks[i-1].blank && l.toks[i-1].stop == 0 && l.toks[i-1].delim == 0 && !l.d.littleWord(l.toks[i-1]) && i+n < len(l.toks) && !starts(l.toks, i+n) && !l.taken[i+n] {
		guess = "it stands among other words; it may be part of what the alarm says"
	}
	l.take(i, n, fact{field: "device", guess: guess, read: reading{used: used, toks: word, value: code, cost: cost}}, 1-cost)
	l.take(i, n, fact{field: "device_number", guess: guess, read: reading{used: 1, toks: at, value: number}}, 1)
}

// state takes the state word: a cell of its own, or the last words of the line.
func (l *listLine) state(sense lexicon.Sense, field string) bool {
	if l.lastSentence(sense, field) {
		return true
	}
	for i := range l.toks { // a cell that is a state to the letter goes before one that needs its noun
		if j := l.cellFrom(i); j > i && i > 0 && l.toks[i].bar && l.exact(sense, i, j) && l.takeState(sense, field, i, j, 0.3) {
			return true
		}
	}
	for i := len(l.toks) - 1; i > 0 && sense == lexicon.AlarmState; i-- { // TANK 2 SENSOR OUT   SET
		if j := l.cellFrom(i); j == len(l.toks) && l.exact(sense, i, j) && l.takeState(sense, field, i, j, 0.3) {
			return true
		}
	}
	if sense == lexicon.AlarmState && l.behindStroke(sense, field) {
		return true
	}
	for i := range l.toks {
		if l.taken[i] || !l.begins(i) && !l.taken[i-1] && l.toks[i-1].stop == 0 && !l.toks[i-1].shut {
			continue
		}
		j := i
		for j < len(l.toks) && !l.taken[j] && (j == i || !l.begins(j) && l.toks[j-1].stop == 0) {
			j++
		}
		if p := l.bracketAfter(i, j); p < j && l.takeState(sense, field, i, p, 0.3) {
			for q := p; q < j; q++ {
				l.taken[q] = true
			}
			return true
		}
		if p := l.marked(i, j); p < j && l.takeState(sense, field, i, p, 0.3) || l.takeState(sense, field, i, j, 0.3) {
			return true
		}
		if i > 0 && l.taken[i-1] {
			// Right behind the name, with the place behind it: SENSOR 1 DRY IN SUMP.
			if code, cost, n := l.d.code(sense, l.toks[i:j]); n > 0 && cost == 0 && code != "" && i+n < j && l.d.littleWord(l.toks[i+n]) && l.toks[i+n].norm != "of" && l.takeState(sense, field, i, i+n, 0.3) {
				return true
			}
		}
	}
	end := len(l.toks)
	for end > 0 && (l.taken[end-1] || end < len(l.toks) && l.taken[end] && (l.toks[end-1].norm == "on" || l.toks[end-1].norm == "at") && l.toks[end-1].gap < wideGap) {
		end-- // CLEARED ON 03/14/25 AT 12:30
	}
	for n := min(4, end-1); n > 0; n-- {
		if at := end - n; n > 1 && at > 0 && l.toks[at].norm == "alarm" && !l.taken[at-1] && !l.begins(at) {
			continue // HIGH PRODUCT ALARM   CLEARED
		}
		if sense == lexicon.SensorState && slices.ContainsFunc(l.toks[end-n+1:end], func(t token) bool { return !t.prose && (t.gap >= wideGap || t.bar) }) {
			continue // ISLAND A   DRY
		}
		if !l.taken[end-n] && !(sense == lexicon.SensorState && l.stateBelow()) && l.takeState(sense, field, end-n, end, 0) {
			return true
		}
	}
	return false
}

// cellFrom is the end of the cell that token i begins, i when it begins none.
func (l *listLine) cellFrom(i int) int {
	if l.taken[i] || !l.begins(i) {
		return i
	}
	j := i + 1
	for j < len(l.toks) && !l.taken[j] && !l.begins(j) {
		j++
	}
	return j
}

// exact reports whether tokens are spelt like a code of a sense.
func (l *listLine) exact(sense lexicon.Sense, i, j int) bool {
	_, cost, ok := l.d.whole(sense, l.toks[i:j])
	return ok && cost == 0
}

// begins reports whether token i begins a cell, or its line where several were put
// together.
func (l *listLine) begins(i int) bool {
	return starts(l.toks, i) || l.toks[0].ordinal && l.toks[i].prose && l.d.lineStart(l.toks[i])
}

// bracketAfter is where words in brackets begin that stand last between two places, the
// second where none do: OUT (NO REPLY).
func (l *listLine) bracketAfter(i, j int) int {
	for p := i + 1; p < j; p++ {
		if l.toks[p].open && l.toks[j-1].shut && !bracketedNumber(l.toks[p]) {
			return p
		}
	}
	return j
}

// marked is where the first label mark between two places stands, the second where none
// does.
func (l *listLine) marked(i, j int) int {
	for p := i; p < j; p++ {
		if l.toks[p].delim == ':' {
			return p + 1
		}
	}
	return j
}

func (l *listLine) takeState(sense lexicon.Sense, field string, i, j int, bonus float64) bool {
	for k := i; k < j; k++ {
		if l.taken[k] {
			return false
		}
	}
	if l.inBracket(i) {
		return false // (FILL BOX, DIESEL)
	}
	if i > 0 && l.toks[i-1].norm == "not" && !l.taken[i-1] {
		return false // half of what is said
	}
	if bonus == 0 && (l.systemReset(i) || sense == lexicon.AlarmState && j == i+1 && l.toks[i].norm == "out") {
		return false // PROBE OUT
	}
	code, cost, ok := l.d.whole(sense, l.toks[i:j])
	if n := l.toks[i].norm; !ok && !(bonus == 0 && (n == "found" || n == "alarm" || n == "warning" || n == "sensor")) {
		code, cost, ok = l.withoutNoun(sense, i, j) // at the end, those words close what it says
	}
	if !ok || bonus == 0 && l.toks[i].norm == "seen" || bonus == 0 && (code == "raised" && l.toks[i].norm != "raised" && l.toks[i].norm != "active") {
		return false
	}
	if bonus == 0 && i > 0 && l.toks[i].norm == "a" && !l.taken[i-1] {
		return false // the letter of an island or pit
	}
	r := reading{used: j - i, toks: l.toks[i:j], value: code, cost: cost}
	l.take(i, j-i, fact{field: field, read: r, ending: bonus == 0}, 0.9+float64(j-i)*0.3+bonus-cost*misreadCost)
	return true
}

// inBracket reports whether token i stands in brackets that other words begin.
func (l *listLine) inBracket(i int) bool {
	if l.toks[i].open {
		return false
	}
	for j := i - 1; j >= 0; j-- {
		if l.toks[j].shut {
			return false
		}
		if l.toks[j].open {
			return true
		}
	}
	return false
}

// withoutNoun looks a state up without the word "sensor" or "alarm" that goes
// with it.
func (l *listLine) withoutNoun(sense lexicon.Sense, i, j int) (string, float64, bool) {
	if !slices.ContainsFunc(l.toks[i:j], besideState) {
		return "", 0, false
	}
	var left []token
	for _, t := range l.toks[i:j] {
		if !besideState(t) {
			left = append(left, t)
		}
	}
	if len(left) == 0 {
		return "", 0, false
	}
	return l.d.whole(sense, left)
}

// besideState reports whether a word goes with a state and says nothing of it.
func besideState(t token) bool {
	switch strings.Trim(t.norm, "!*") {
	case "sensor", "alarm", "state", "status", "is", "in", "warning", "reports", "shows", "has", "reads", "detects", "was", "a", "an", "it", "been", "found", "finds", "sees", "senses", "the", "now", "says", "since", "this", "still", "at", "stands":
		return true
	}
	return false
}

// left are the tokens that nothing has taken yet.
func (l *listLine) left() []token {
	var out []token
	for i, t := range l.toks {
		if !l.taken[i] && !t.blank {
			out = append(out, t)
		}
	}
	return out
}

// rest takes what is left as free text, strokes between left out.
func (l *listLine) rest(field string) bool {
	var toks []token
	for i, t := range l.toks {
		if l.taken[i] || t.blank && !l.strokeAmong(i) || t.ordinal || i == 0 && t.number && len(t.text) <= 3 && len(l.toks) > 1 && l.taken[1] {
			continue // a list's running number is no text
		}
		toks = append(toks, t)
	}
	if len(toks) == 0 || (len(l.facts) > 1 || field == "event") && l.onlyLeads(toks) {
		return false // at 14:48
	}
	if field == "location" && len(l.facts) > 0 && (l.d.namesSensor(toks) || l.d.saysNothing(toks) && slices.ContainsFunc(toks, l.d.isDevice)) {
		return false // the name of another, or the word for one, is no place
	}
	words := l.untimed(toks)
	if lead := toks[len(words):]; len(lead) > 0 && lead[0].norm == "since" {
		l.facts = append(l.facts, fact{read: reading{used: len(lead), toks: lead}})
		l.worth += float64(len(lead)) * wordWorth
	}
	said := bracketed(words)
	if !said[0].open || !said[len(said)-1].shut {
		said = l.d.inSentence(said, field)
	}
	toks, guess := l.behindMark(said, field)
	f := fact{guess: guess, field: field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}}
	for i := 1; i < len(toks); i++ {
		if toks[i].at != toks[i-1].at+1 || toks[i].gap >= wideGap && toks[i].line == toks[i-1].line {
			f.guess = "pieced together from several places of the line"
		}
	}
	if field == "event" && f.guess == "" && len(toks) > 1 && statesAlarm(toks) && !hasField(l.facts, "state") {
		f.guess = "one of its words may be its state"
	}
	if n := len(toks) - 1; field == "event" && f.guess == "" && n > 0 && toks[n].norm == "reset" && !hasField(l.facts, "state") {
		f.guess = "its last word may say that it is over"
	}
	l.facts = append(l.facts, f)
	l.worth += float64(len(toks)) * textWorth
	return true
}

// strokeAmong reports whether token i is a stroke between the numbers of two things that text
// speaks of: DISPENSER 1 / 2.
func (l *listLine) strokeAmong(i int) bool {
	if l.toks[i].text != "/" || i < 2 || i+1 >= len(l.toks) || l.taken[i-1] || l.taken[i-2] || l.taken[i+1] {
		return false
	}
	return plainDigits(l.toks[i-1].text, 1, 2) && plainDigits(l.toks[i+1].text, 1, 2) && !starts(l.toks, i) && !starts(l.toks, i+1)
}

// behindMark takes what an alarm says from behind a label mark, before which its equipment
// stands and what that holds or where it is: TANK 4 DEF: LOW PRODUCT.
func (l *listLine) behindMark(toks []token, field string) ([]token, string) {
	at := slices.IndexFunc(toks, func(t token) bool { return t.delim == ':' })
	if field != "event" || at < 0 || at+1 >= len(toks) || !hasField(l.facts, "device") {
		return toks, ""
	}
	if first := slices.IndexFunc(l.toks, func(t token) bool { return t.at == toks[0].at }); first < 1 || !l.taken[first-1] {
		return toks, ""
	}
	before := toks[:at+1]
	if l.d.endsInGrade(before) {
		l.facts = append(l.facts, fact{read: reading{used: len(before), toks: before}})
		return toks[at+1:], ""
	}
	if slices.ContainsFunc(before, l.d.saysWrong) {
		return toks, "" // WATER TOO HIGH: CAME
	}
	return toks[at+1:], "what stands before the mark was taken for where its equipment is"
}

// saysWrong reports whether a word says how a sensor is or what goes wrong: HIGH, LEAK.
func (d *doc) saysWrong(t token) bool {
	return slices.ContainsFunc(d.lookup(t.norm), func(h lexicon.Hit) bool {
		return h.Cost == 0 && (h.Sense == lexicon.SensorState || h.Sense == lexicon.Part && (h.Code == "leak" || h.Code == "event"))
	})
}

// bracketed takes only what stands in brackets, when the text begins with
// some: "sensor 2 (south sump) is normal".
func bracketed(toks []token) []token {
	if !toks[0].open {
		return toks
	}
	for i, t := range toks {
		if t.shut {
			return toks[:i+1]
		}
	}
	return toks
}

// listFacts reads a line as a line of a list of the kind, where it has such.
func (d *doc) listFacts(k record.Kind, toks []token) ([]fact, float64, bool) {
	var facts []fact
	worth := 0.0
	switch k {
	case record.SensorStatus:
		facts, worth = d.sensorLine(toks)
	case record.Alarm:
		facts, worth = d.alarmLine(toks)
	default:
		return nil, 0, false
	}
	// In printed order, which tells what the records of the list begin with.
	slices.SortStableFunc(facts, func(a, b fact) int { return place(a) - place(b) })
	return facts, worth, true
}

// place orders facts by where they stand.
func place(f fact) int {
	if len(f.read.toks) == 0 {
		return 0
	}
	t := f.read.toks[0]
	return t.at
}
