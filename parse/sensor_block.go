package parse

import (
	"strconv"
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// stateRun reads a state before a mark and the sensors that are in it, in one run that
// may wrap:
//
//	run = state ":" [ "sensor" ] number { "," [ "sensor" ] number }
func (d *doc) stateRun(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.SensorStatus {
		return structure{}, false
	}
	toks := lines[i].toks
	n := 0
	for n < len(toks) && n < maxPhraseWords && toks[n].delim != ':' {
		n++
	}
	if n+1 >= len(toks) || toks[n].delim != ':' {
		return structure{}, false
	}
	head := toks[:n+1]
	if n > 0 && bracketedNumber(toks[n]) {
		head = toks[:n] // how many there are
	}
	state, ok := d.stateAlone(lexicon.SensorState, "state", head)
	if !ok {
		return structure{}, false
	}
	s := structure{worth: float64(n+1) * freeWorth, lines: 1}
	rest := toks[n+1:]
	for i+s.lines < len(lines) && s.lines < maxParagraph && (rest[len(rest)-1].stop == ',' || d.isDevice(rest[len(rest)-1])) && len(lines[i+s.lines].toks) > 0 {
		rest = append(rest[:len(rest):len(rest)], lines[i+s.lines].toks...)
		s.lines++
	}
	for j := 0; j < len(rest); {
		word := j
		for j < len(rest) && (d.spelt(rest[j], lexicon.Device) && identPrefixes[rest[j].norm] == "sensor" || rest[j].norm == "and" || rest[j].norm == "no") {
			j++
		}
		if j >= len(rest) {
			return structure{}, false
		}
		r, ok := d.readIdent("sensor", rest[j:])
		if !ok || j+1 < len(rest) && rest[j].stop != ',' && rest[j+1].norm != "and" {
			return structure{}, false
		}
		s.entries = append(s.entries, entry{row: true, facts: []fact{{field: "sensor", read: r, label: rest[word:j], printed: true}, state}})
		s.worth += float64(j-word+1) + factWorth
		j++
	}
	return s, len(s.entries) > 0
}

// placeAbove reads words above the line of a sensor that is set in below them: the place
// where it sits.
func (d *doc) placeAbove(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.SensorStatus || i+1 >= len(lines) || lines[i+1].rule || lines[i+1].gap || len(lines[i+1].toks) == 0 {
		return structure{}, false
	}
	toks, below := lines[i].toks, lines[i+1].toks
	if len(toks) > 6 || cellCount(toks) > 1 || below[0].col < toks[0].col+0.9 || toks[len(toks)-1].delim != 0 || d.saysState(toks) || d.isHeading(toks) || d.courtesy(toks) || d.namesSensor(toks) {
		return structure{}, false
	}
	facts, worth := d.sensorLine(below)
	if !d.namesSensor(below) || !hasField(facts, "sensor") || hasField(facts, "location") {
		return structure{}, false
	}
	place := fact{field: "location", read: reading{used: len(toks), toks: toks, value: textOf(toks)}}
	facts = append(facts, place)
	nameFirst(facts, "sensor", k)
	return structure{worth + textWorth*float64(len(toks)) + 1, 2, []entry{{facts: facts}}}, true
}

// namesSensor reports whether a line begins with the word for a sensor and a number.
func (d *doc) namesSensor(toks []token) bool {
	if device, n := letterDevice(toks); n > 0 && device == "sensor" {
		return true
	}
	if prefix, _, _, ok := toks[0].ident(); ok && identPrefixes[prefix] == "sensor" {
		return true
	}
	cost, n := d.sensorWord(toks)
	return n > 0 && cost == 0 && n < len(toks) && toks[n].number
}

// sensorWord finds the word for a sensor before its number. A probe is one in lists of
// sensors alone: elsewhere it is a tank's.
func (d *doc) sensorWord(toks []token) (cost float64, used int) {
	if len(toks) > 1 && toks[0].norm == "probe" && toks[1].number {
		return 0, 1
	}
	if code, cost, n := d.code(lexicon.Part, toks); code == "sensor" {
		return cost, n
	}
	return 0, 0
}

// countsLines is the doubt about a number that begins a line of a list.
const countsLines = "its number stands as those do that only count the lines"

func (d *doc) sensorLine(toks []token) ([]fact, float64) {
	l := &listLine{d: d, toks: toks, taken: make([]bool, len(toks))}
	l.moments("at")
	id := l.sensorNumber()
	st := l.state(lexicon.SensorState, "state")
	if !id && st {
		id = l.sensorNumber() // the state stands first
	}
	if !id && st && len(toks) > 2 && toks[0].ordinal && plainDigits(toks[0].text, 1, 3) {
		_, number, _, _ := toks[0].ident()
		l.at, id = len(l.facts), true
		l.take(0, 1, fact{field: "sensor", read: reading{used: 1, toks: toks[:1], value: number}, guess: countsLines}, 1)
	}
	for i := 1; !id && st && i < len(toks); i++ {
		if t := toks[i]; !l.taken[i] && bracketedNumber(t) && len(t.text) <= 5 {
			_, number, fixed, ok := t.ident()
			if id = ok; ok {
				l.at = len(l.facts)
				l.take(i, 1, fact{field: "sensor", read: reading{used: 1, toks: toks[i : i+1], value: number, fixed: fixed}, printed: true}, 1.2)
			}
		}
	}
	if !id && st {
		id = l.sensorAmong()
	}
	text := l.rest("location")
	if bare := id && l.facts[l.at].label == nil; bare && !st && len(l.facts) < 3 && addressScore(textOf(toks)) > 2 {
		return nil, -unknownCost * float64(len(toks)) // a house number
	}
	if !id && toks[len(toks)-1].delim == ':' {
		return nil, -unknownCost * float64(len(toks)) // it heads what stands below it
	}
	if !id && !st && len(l.facts) == 0 || text && !id {
		return nil, -unknownCost * float64(len(toks))
	}
	return l.facts, l.worth
}

// pointWords are words for what has a sensor, in lists of sensors alone.
var pointWords = map[string]bool{"point": true, "pt": true, "channel": true, "chan": true, "ch": true, "zone": true, "input": true, "position": true, "pos": true, "place": true, "location": true, "loop": true, "module": true, "float": true, "terminal": true}

// countedBy reports whether several lines begin with a word and a number that goes up from line to
// line: NO 1, NO 2, and not NO 2 OIL.
func (d *doc) countedBy(word string) bool {
	lines, last := 0, 0
	for _, l := range d.lines {
		if len(l.toks) < 2 || l.toks[0].norm != word || !plainDigits(l.toks[1].text, 1, 3) {
			continue
		}
		n, err := strconv.Atoi(l.toks[1].text)
		if err != nil || n <= last {
			return false
		}
		lines, last = lines+1, n
	}
	return lines > 1
}

func (l *listLine) sensorNumber() bool {
	i := l.first()
	if i < 0 {
		return false
	}
	n := 0
	if prefix, _, _, ok := l.toks[i].ident(); ok && identPrefixes[prefix] == "sensor" {
		// SN5 is no misread word for a sensor
	} else if cost, used := l.d.sensorWord(l.toks[i:]); used > 0 && cost < 0.7 {
		n = used
	} else if name, used := letterDevice(l.toks[i:]); used > 0 && name == "sensor" {
		n = 1
	} else if i+1 < len(l.toks) && plainDigits(l.toks[i+1].text, 1, 3) && l.begins(i) && l.toks[i+1].gap < wideGap && (pointWords[l.toks[i].norm] || (l.toks[i].norm == "no" || l.toks[i].norm == "nr") && i+3 < len(l.toks) && !l.d.spelt(l.toks[i+2], lexicon.Grade) && l.d.countedBy(l.toks[i].norm)) {
		n = 1 // NO 3, POINT 3, ZONE 3
	}
	if i+n >= len(l.toks) {
		return false
	}
	prefix, number, fixed, ok := l.toks[i+n].ident()
	if p := identPrefixes[prefix]; p == "tank" || p == "line" && prefix != "l" || n > 0 && prefix != "" && prefix != "no" && prefix != "nr" {
		return false
	}
	if !ok || n == 0 && l.toks[i].number && i+1 >= len(l.toks) && i == 0 {
		return false
	}
	r := reading{used: 1, toks: l.toks[i+n : i+n+1], value: number, fixed: fixed}
	l.at = len(l.facts)
	l.take(i, n+1, fact{field: "sensor", read: r, label: l.toks[i : i+n], printed: true}, 1.2+float64(n)*0.7)
	return true
}

// sensorAmong takes the number of a sensor that stands behind its place: PUMP SUMP   S1,
// pump sump, sensor 1.
func (l *listLine) sensorAmong() bool {
	for i := 1; i < len(l.toks); i++ {
		if l.taken[i] || !starts(l.toks, i) && l.toks[i-1].stop == 0 && l.toks[i-1].delim == 0 {
			continue
		}
		n := 0
		if cost, used := l.d.sensorWord(l.toks[i:]); used > 0 && cost == 0 {
			n = used
		}
		if i+n >= len(l.toks) || l.taken[i+n] {
			continue
		}
		prefix, number, fixed, ok := l.toks[i+n].ident()
		alone := n == 0 && plainDigits(l.toks[i].text, 1, 2) && starts(l.toks, i) && i+1 < len(l.toks) && starts(l.toks, i+1) && l.taken[i+1] // PUMP SUMP   1   DRY
		if !ok || n == 0 && identPrefixes[prefix] != "sensor" && !alone || n > 0 && prefix != "" && prefix != "no" && prefix != "nr" {
			continue
		}
		l.at = len(l.facts)
		l.take(i, n+1, fact{field: "sensor", read: reading{used: 1, toks: l.toks[i+n : i+n+1], value: number, fixed: fixed}, label: l.toks[i : i+n], printed: true}, 1.2+float64(n)*0.7)
		return true
	}
	return false
}
