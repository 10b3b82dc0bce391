package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// labelAbove reads a label that has a line of its own with its value on the
// next:
//
//	label above = label newline value
func (d *doc) labelAbove(k record.Kind, lines []line, i int) (structure, bool) {
	if i+1 >= len(lines) || lines[i+1].rule || lines[i+1].gap && k == record.Alarm || lines[i+1].head || len(lines[i].toks) > maxNameTokens {
		return structure{}, false
	}
	toks, under := lines[i].toks, lines[i+1].toks
	if k == record.Alarm && d.stateOfAbove(lines, i) {
		return structure{}, false
	}
	if len(toks) > 1 && (toks[0].norm == "same" || toks[0].norm == "ditto") {
		toks = toks[1:] // "same, at 60 F"
	}
	if len(under) > 1 && (under[0].norm == "on" || under[0].norm == "at") && under[1].number {
		under = under[1:] // LAST PASSED, below it ON 03/14/25 12:30
	}
	var class *fact // 3.0 LAST PASS
	if r, ok := d.readClass(k, toks, ""); ok && k == record.LineSummary && toks[0].number && r.used < len(toks) {
		class = &fact{field: "test_rate", read: r, weak: true}
		toks = toks[r.used:]
	}
	names := d.names(toks)
	for _, n := range d.ratedNames(k, toks) {
		if n.used == len(toks) {
			class, names = &n.class, []name{n.name} // LAST 0.2 PASS
		}
	}
	for _, n := range names {
		if n.used != len(toks) || n.bag == "" || len(under) == 0 {
			continue
		}
		field, spec, cost, ok := d.fieldOf(k, n.bag, n.unit)
		if !ok || cost > 0 {
			continue
		}
		r, ok := d.readField(k, spec, under, n.unit)
		if !ok || r.used != len(under) || spec.Type == record.Label && d.isHeading(under) && under[0].col < toks[0].col+wideGap {
			continue
		}
		if spec.Type == record.Label && d.wholeMoment(under) {
			continue // the next of a list begins with its time
		}
		f := fact{field: field, read: r, label: toks, cost: n.cost, printed: true}
		worth := float64(len(toks)+len(under))*0.9 + factWorth - (n.cost+r.cost)*misreadCost - float64(r.fixed)*0.3
		facts := d.classIn(k, f, []fact{f})
		if st, ok := d.stateAlone(lexicon.AlarmState, "state", toks); ok && k == record.Alarm && n.bag == raisedBag() {
			facts = append(facts, st) // RAISED, below it when
		}
		if class != nil {
			facts, worth = append([]fact{*class}, facts...), worth+float64(class.read.used)*freeWorth
		}
		return structure{worth, 2, []entry{{facts: facts}}}, true
	}
	return structure{}, false
}

// stateOfAbove reports whether a line says how the alarm above it stands, and not when what
// stands below it was raised: other states of the list stand alone as well, and the first
// line is none.
func (d *doc) stateOfAbove(lines []line, i int) bool {
	if _, ok := d.stateAlone(lexicon.AlarmState, "state", lines[i].toks); !ok || i == 0 {
		return false
	}
	others := 0
	for n, l := range lines {
		f, ok := d.stateAlone(lexicon.AlarmState, "state", l.toks)
		if ok && f.read.cost == 0 && f.read.value != "raised" {
			if n == 0 {
				return false
			}
			others++
		}
	}
	return others > 0
}

// wholeMoment reports whether a line is a date and a time of day and nothing else.
func (d *doc) wholeMoment(toks []token) bool {
	r, ok := d.readTime(toks, false)
	return ok && r.used == len(toks) && r.hasDate() && r.hasClock()
}

// qualifiers says for each line whether it stands under a heading such as
// "before", "end" or "passes in 24 h", which then counts for the labels below
// it.
func (d *doc) qualifiers(k record.Kind, lines []line) []qualifier {
	out := make([]qualifier, len(lines))
	var cur qualifier
	for i, l := range lines {
		out[i] = cur
		if len(l.toks) == 0 {
			continue
		}
		out[i].soft = cur.soft && (l.toks[0].col <= cur.col+0.9 || cur.line >= 0 && markedAt(l.toks, lines[cur.line].toks)) // what is set in below it goes with it
		if cur.word != "" && d.namesOwn(k, l.toks) {
			out[i] = qualifier{} // what stands above is of another
		}
		word := d.spanEnd(k, l.toks)
		if word == "" {
			word = d.qualifierOf(l.toks, cur.word)
		}
		if word != cur.word {
			ends := i+1 < len(lines) && len(lines[i+1].toks) > 0 && d.wholeMoment(lines[i+1].toks) // END TIME, below it when
			cur = qualifier{word, ends || !d.onlyLabel(l.toks), l.toks[0].col, i}
		}
	}
	return out
}

// namesOwn reports whether a line begins with the word and number of a tank or line that
// records of the kind are of.
func (d *doc) namesOwn(k record.Kind, toks []token) bool {
	own := ownName(k)
	if own != "tank" && own != "line" {
		return false
	}
	if toks[0].ordinal && len(toks) > 1 {
		toks = toks[1:]
	}
	for _, n := range d.names(toks) {
		if n.bag == bagOf(own) && n.used < len(toks) && plainDigits(toks[n.used].text, 1, 2) {
			return true
		}
	}
	return false
}

// qualifier is a word such as "start" that counts for the labels below it. It is soft
// where it stands with a value of its own: END 12:30 may be over by the next line.
type qualifier struct {
	word string
	soft bool
	col  float64 // where its line begins
	line int     // among those that are read
}

// onlyLabel reports whether a line is a label and nothing else.
func (d *doc) onlyLabel(toks []token) bool {
	names := d.names(toks)
	return len(names) > 0 && names[len(names)-1].used == len(toks)
}

// spanEnd is the qualifier that a line of a delivery or a test is which says no more than from or
// to when it went on, with the date and the time of day: FROM 03/14/25 12:30; "" for none.
func (d *doc) spanEnd(k record.Kind, toks []token) string {
	if sideFields[k] == nil || len(toks) < 2 || toks[0].norm != "from" && toks[0].norm != "to" || !d.wholeMoment(toks[1:]) {
		return ""
	}
	if toks[0].norm == "from" {
		return "start"
	}
	return "end"
}

// qualifierOf is what a line makes of the qualifier that stands above it.
func (d *doc) qualifierOf(toks []token, cur string) string {
	t := labelTables()
	names := d.names(toks)
	if len(names) > 0 {
		last := names[len(names)-1]
		alone := last.used == len(toks)
		for _, q := range []string{"start", "end"} {
			if t.has(last.bag, q) && (alone || !t.has(last.bag, "volume") && !t.has(last.bag, "temperature")) && len(last.bag) <= 3 {
				return q
			}
		}
		if t.has(last.bag, "tank") || t.has(last.bag, "line") {
			return ""
		}
	}
	for i := range toks {
		for _, n := range d.names(toks[i:]) {
			for _, q := range []string{"hours24", "midnight"} {
				if t.has(n.bag, q) && i+n.used == len(toks) {
					return q
				}
			}
		}
	}
	return cur
}

// locationBelow reads a line of text that is set in below a sensor's line: the
// place where it sits.
func (d *doc) locationBelow(k record.Kind, lines []line, i int) ([]fact, float64, bool) {
	if k != record.SensorStatus || i == 0 || len(lines[i-1].toks) < 2 {
		return nil, 0, false
	}
	toks, above := lines[i].toks, lines[i-1].toks
	place := d.littleWord(toks[0]) && len(toks) > 1 // "in the north sump"
	if toks[0].col < above[0].col+0.9 && !place && !d.placesBelow(lines, i) || len(toks) > 6 {
		return nil, 0, false
	}
	facts, _ := d.sensorLine(above)
	if !hasField(facts, "sensor") || hasField(facts, "location") || d.title(lines[i-1]).kind != "" {
		return nil, 0, false
	}
	if d.onlyLittle(toks) {
		return nil, 0, false
	}
	var state []fact
	if c := cells(toks); len(c) == 2 && !hasField(facts, "state") {
		if code, cost, ok := d.whole(lexicon.SensorState, c[1]); ok && cost == 0 {
			state = []fact{{field: "state", read: reading{used: len(c[1]), toks: c[1], value: code}, weak: true}}
			toks = c[0] // PUMP SUMP EAST   NORMAL
		}
	}
	rest := toks
	for place && len(rest) > 1 && d.littleWord(rest[0]) {
		rest = rest[1:]
	}
	r := reading{used: len(toks), toks: rest, value: textOf(rest)}
	return append([]fact{{field: "location", read: r}}, state...), textWorth*float64(len(toks)) + 0.5 + 2*float64(len(state)), true
}

// placesBelow reports whether line i is words right below the line of a sensor, as a line of
// words stands below each other sensor of the lines, of which there are several: where they
// sit.
func (d *doc) placesBelow(lines []line, i int) bool {
	words := func(n int) bool {
		if n >= len(lines) || len(lines[n].toks) == 0 || lines[n].rule || lines[n].head || lines[n].gap {
			return false
		}
		toks := lines[n].toks
		return !d.namesSensor(toks) && !d.saysState(toks) && !d.courtesy(toks) && cellCount(toks) == 1 && toks[len(toks)-1].delim == 0 && !d.isHeading(toks) && !d.wholeMoment(toks) && !toks[0].number
	}
	sensors := 0
	for n, l := range lines {
		if len(l.toks) < 2 || l.head || !d.namesSensor(l.toks) {
			continue
		}
		if facts, _ := d.sensorLine(l.toks); hasField(facts, "location") || !words(n+1) {
			return false
		}
		sensors++
	}
	return sensors > 1 && words(i) && d.namesSensor(lines[i-1].toks)
}
