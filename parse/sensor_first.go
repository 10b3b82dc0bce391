package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Sensors whose state stands before them, and several to a line:
//
//	first = state mark number place | state mark place number     HEALTHY .. 1 FILL SUMP
//	run   = number [ ":" ] state { [ "," ] number [ ":" ] state } 1:DRY 2:DRY 3:WET

// mostStateWords is the most words of a state before its sensor.
const mostStateWords = 3

// statesFirst reads lines that each begin with a state: two at least, so that no label is taken for
// one.
func (d *doc) statesFirst(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 2
	if k != record.SensorStatus {
		return structure{}, false
	}
	var s structure
	for ; i+s.lines < len(lines); s.lines++ {
		l := lines[i+s.lines]
		if l.rule || l.head || s.lines > 0 && l.gap {
			break
		}
		facts, ok := d.stateFirst(l.toks)
		if !ok {
			break
		}
		s.entries = append(s.entries, entry{facts: facts})
		s.worth += float64(len(l.toks))*wordWorth + 2*factWorth
	}
	return s, len(s.entries) >= fewest
}

// stateFirst reads one such line.
func (d *doc) stateFirst(toks []token) ([]fact, bool) {
	n := d.stateMarked(toks)
	if n == 0 {
		return nil, false
	}
	st, ok := d.stateAlone(lexicon.SensorState, "state", withoutDelim(toks[:n]))
	if !ok || st.read.cost > 0 {
		return nil, false
	}
	rest, at, ok := d.withoutEndTime(toks[n:])
	if !ok {
		return nil, false
	}
	last := len(rest) - 1
	number, place := rest[:1], rest[1:]
	if !d.sensorFigure(rest[0]) {
		if !d.sensorFigure(rest[last]) || !starts(rest, last) {
			return nil, false
		}
		number, place = rest[last:], rest[:last]
	}
	for _, t := range place {
		if t.delim != 0 || t.bar || t.blank {
			return nil, false
		}
	}
	if len(place) > 0 && (cellCount(place) > 1 || !hasLetters(place)) {
		return nil, false // more columns than these
	}
	_, id, fixed, _ := number[0].ident()
	facts := []fact{st, {field: "sensor", read: reading{used: 1, toks: number, value: id, fixed: fixed}, printed: true}}
	if at.hasTime() {
		facts = append(facts, fact{field: "at", read: at})
	}
	if len(place) > 0 {
		facts = append(facts, fact{field: "location", read: reading{used: len(place), toks: place, value: textOf(place)}, printed: true})
	}
	return facts, true
}

// withoutEndTime takes a date or time of day off the end of tokens; not ok when nothing is left or one
// stands elsewhere among them.
func (d *doc) withoutEndTime(toks []token) (rest []token, at reading, ok bool) {
	for i := range toks {
		r, is := d.readTime(toks[i:], false)
		if !is || !r.hasDate() && !r.hasClock() {
			continue
		}
		if i == 0 || i+r.used != len(toks) {
			return nil, reading{}, false
		}
		return toks[:i], r, true
	}
	return toks, reading{}, len(toks) > 0
}

// stateMarked is how many tokens at the beginning are a state that a mark, brackets or a cell part
// from what follows; 0 for none.
func (d *doc) stateMarked(toks []token) int {
	for n := min(mostStateWords, len(toks)-1); n > 0; n-- {
		last := toks[n-1]
		if !(last.delim == '.' || last.delim == ':' || last.shut && toks[0].open || starts(toks, n)) || toks[0].number {
			continue
		}
		if _, cost, ok := d.whole(lexicon.SensorState, withoutDelim(toks[:n])); ok && cost == 0 {
			return n
		}
	}
	return 0
}

// withoutDelim are tokens whose last has no mark behind it.
func withoutDelim(toks []token) []token {
	out := append([]token(nil), toks...)
	out[len(out)-1].delim = 0
	return out
}

// sensorFigure reports whether a token is the number of a sensor, with its letter or without.
func (d *doc) sensorFigure(t token) bool {
	prefix, number, _, ok := t.ident()
	return ok && (prefix == "" || identPrefixes[prefix] == "sensor") && len(number) <= 3
}

// sensorPairs reads a line of numbers, each with a state behind it and nothing else, whose numbers
// go up.
func (d *doc) sensorPairs(toks []token) (structure, bool) {
	const fewest = 2
	s := structure{lines: 1}
	before := ""
	for i := 0; i < len(toks); {
		t := toks[i]
		if !d.sensorFigure(t) || !t.number {
			return structure{}, false
		}
		_, number, fixed, _ := t.ident()
		if len(number) < len(before) || len(number) == len(before) && number <= before {
			return structure{}, false
		}
		before = number
		end := i + 1
		for end < len(toks) && !toks[end].number {
			end++
		}
		words := toks[i+1 : end]
		if len(words) == 0 || len(words) > mostStateWords {
			return structure{}, false
		}
		st, ok := d.stateAlone(lexicon.SensorState, "state", withoutDelim(words))
		if !ok || st.read.cost > 0 {
			return structure{}, false
		}
		s.entries = append(s.entries, entry{facts: []fact{{field: "sensor", read: reading{used: 1, toks: toks[i : i+1], value: number, fixed: fixed}, printed: true}, st}})
		s.worth += float64(len(words)+1)*wordWorth + 2*factWorth
		i = end
	}
	return s, len(s.entries) >= fewest
}
