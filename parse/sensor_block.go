package parse

import (
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
	state, ok := d.stateAlone(lexicon.SensorState, "state", toks[:n+1])
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
	if len(toks) > 6 || len(cells(toks)) > 1 || below[0].col < toks[0].col+0.9 || toks[len(toks)-1].delim != 0 || d.saysState(toks) || d.isHeading(toks) || d.courtesy(toks) || d.namesSensor(toks) {
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
	if prefix, _, _, ok := splitIdent(toks[0].text); ok && identPrefixes[prefix] == "sensor" {
		return true
	}
	code, cost, n := d.code(lexicon.Part, toks)
	return n > 0 && cost == 0 && code == "sensor" && n < len(toks) && toks[n].number
}
