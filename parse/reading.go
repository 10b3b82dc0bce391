package parse

import (
	"strings"
	"unicode/utf8"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// reading is one value found in tokens.
type reading struct {
	used     int     // tokens taken, with the unit
	toks     []token // tokens of the value itself
	value    any
	unit     string
	when     *value.Moment // of a time, else nil; copies share it, so it is never changed
	num      value.Number
	fixed    int      // characters put right
	cost     float64  // distance of words from their spelling
	class    string   // of a test rate
	until    *reading // the end of a period
	also     *fact    // a second field in the same words
	none     bool     // the words say that there is none: NONE YET
	unitFrom uint8    // where the unit was found: unitNone, unitLabel or unitBeside
}

func (r *reading) hasTime() bool  { return r.when != nil }
func (r *reading) hasDate() bool  { return r.when != nil && r.when.HasDate }
func (r *reading) hasClock() bool { return r.when != nil && r.when.HasClock }
func (r *reading) hasYear() bool  { return r.when != nil && r.when.Date.HasYear() }

// moment is the date and time of day that were read, zero when there are none.
func (r *reading) moment() value.Moment {
	if r.when == nil {
		return value.Moment{}
	}
	return *r.when
}

// Where a unit was found.
const (
	unitNone = iota
	unitLabel
	unitBeside
)

// unitCodes maps the lexicon's units to record units.
var unitCodes = map[string]string{
	"gal": "gal", "l": "L", "in": "in", "mm": "mm", "degf": "degF", "degc": "degC", "gal/h": "gal/h", "l/h": "L/h", "h": "h", "psi": "psi",
}

// quantityOf says what a unit measures.
func quantityOf(unit string) record.Quantity {
	for _, q := range []record.Quantity{record.Volume, record.Length, record.Temperature, record.Rate, record.Hours, record.Pressure} {
		for _, u := range q.Units() {
			if u == unit {
				return q
			}
		}
	}
	return record.Plain
}

// read takes a value of the field's type from the beginning of the tokens.
// hint is the unit that stands in the label or heading.
func (d *doc) read(spec record.FieldSpec, toks []token, hint string) (reading, bool) {
	if len(toks) == 0 || toks[0].blank && !(len(toks) > 1 && toks[0].text == "-" && toks[1].number) {
		return reading{}, false
	}
	switch spec.Type {
	case record.Number:
		if spec.Quantity == record.Hours {
			return d.readHours(toks, hint)
		}
		r, ok := d.readNumber(spec.Quantity, toks, hint)
		if ok && r.num.Value < 0 && !mayBeNegative(spec.Name) && strings.HasPrefix(r.toks[0].text, "(") {
			r.num.Value = -r.num.Value // brackets around what cannot be below zero are brackets
			r.value = r.num.Value
		}
		return r, ok
	case record.Time:
		return d.readTime(toks, true)
	case record.Ident:
		return d.readIdent(spec.Name, toks)
	case record.Code:
		r, ok := d.readCode(spec.Name, toks)
		if !ok && spec.Name == "state" && d.marked && d.stateSense == lexicon.SensorState {
			n := cellEnd(toks, 0)
			return reading{used: n, toks: toks[:n], value: "other", cost: 1}, !toks[0].number
		}
		return r, ok
	}
	return d.readText(toks)
}

func (d *doc) number(t token) (value.Number, bool) {
	n, ok := value.ParseNumber(t.text, d.style)
	if ok && d.dotThousands && len(n.Others) == 1 && n.Decimals == 3 {
		n.Value, n.Others[0], n.Decimals = n.Others[0], n.Value, 0
	}
	if ok && (n.Fixed == 0 || t.number) {
		return n, true
	}
	for _, a := range t.seen.alts {
		if m, okAlt := value.ParseNumber(strings.TrimRight(a, ".,:;"), d.style); okAlt && m.Fixed == 0 {
			m.Fixed = 1
			return m, true
		}
	}
	return n, ok && strings.ContainsAny(t.text, "0123456789.,")
}

func (d *doc) readNumber(q record.Quantity, toks []token, hint string) (reading, bool) {
	i, minus := 0, false
	if toks[0].text == "-" && len(toks) > 1 && toks[1].gap < wideGap {
		i, minus = 1, true
	}
	n, ok := d.number(toks[i])
	if !ok {
		return reading{}, false
	}
	if minus {
		n.Value = 0 - n.Value
	}
	r := reading{used: i + 1, toks: toks[:i+1], num: n, value: n.Value, fixed: n.Fixed}
	if q == record.Plain && r.used+1 == len(toks) && d.counts(toks[r.used]) {
		r.used++
	}
	if code, cost, used := d.unitAfter(toks[r.used:]); used > 0 {
		if q == record.Plain {
			if code == "percent" {
				r.used += used
			}
			return r, true
		}
		u := unitCodes[code]
		if quantityOf(u) != q {
			return reading{}, false
		}
		r.unit, r.unitFrom, r.used, r.cost = u, unitBeside, r.used+used, r.cost+cost
	} else if u := unitCodes[hint]; u != "" && quantityOf(u) == q {
		r.unit, r.unitFrom = u, unitLabel
	} else if u != "" && q != record.Plain {
		return reading{}, false // the label's unit measures something else
	}
	return r, true
}

// counts reports whether a word is what is counted: 18 times, 3 tests.
func (d *doc) counts(t token) bool {
	switch t.norm {
	case "times", "time", "tests", "test", "passes", "pass", "x", "ok":
		return t.gap < wideGap
	}
	return false
}

// unitAfter finds a unit right behind a value.
func (d *doc) unitAfter(toks []token) (code string, cost float64, used int) {
	if len(toks) == 0 || toks[0].gap > 3.5 || toks[0].bar {
		return "", 0, 0
	}
	code, cost, used = d.code(lexicon.Unit, toks)
	if used > 0 && (crosses(toks, used) || toks[0].gap >= wideGap && used < len(toks) && !starts(toks, used)) {
		return "", 0, 0 // more words stand in its cell: PERCENT FULL is a label
	}
	if code == "degf" && used == 1 && toks[0].norm == "of" && len(toks) > 1 && toks[1].gap < wideGap {
		return "", 0, 0 // "1 of 2"
	}
	if code == "in" && cost == 0 && used == 1 && toks[0].norm == "in" && len(toks) > 1 && toks[1].gap < wideGap {
		if _, isFiller := d.filler(toks[1]); isFiller || toks[1].number {
			return "", 0, 0 // "5 in the last day": a word, no unit
		}
	}
	return code, cost, used
}

func (d *doc) readHours(toks []token, hint string) (reading, bool) {
	words := texts(toks)
	dur, used := value.ParseDuration(words, d.style, func(s string) string {
		for _, h := range d.lookup(strings.ToLower(s)) {
			if h.Sense == lexicon.Unit && h.Cost == 0 {
				return h.Code
			}
		}
		return ""
	})
	if used == 0 {
		return reading{}, false
	}
	n := used
	for n > 1 && !hasDigit(words[n-1]) {
		n-- // the unit is no part of the text
	}
	r := reading{used: used, toks: toks[:n], value: dur.Hours, unit: "h", unitFrom: unitLabel, fixed: dur.Fixed, num: value.Number{Value: dur.Hours}}
	r.num.Decimals = 2 // minutes
	if one, ok := value.ParseNumber(words[0], d.style); ok {
		r.num.Decimals = one.Decimals
	}
	if !dur.Unit && hint == "min" {
		r.value = dur.Hours / 60
	}
	if code, _, m := d.unitAfter(toks[used:]); m > 0 && !dur.Unit && unitCodes[code] != "h" {
		return reading{}, false
	}
	return r, true
}

func texts(toks []token) []string {
	words := make([]string, 0, len(toks))
	return appendTexts(words, toks)
}

// appendTexts puts the words of tokens behind others, short forms written out: P for pass is
// no half of the day. One of which nothing is known is left out.
func appendTexts(words []string, toks []token) []string {
	for i := range toks {
		word := toks[i].text
		if toks[i].spelled {
			word = toks[i].norm
			if len(word) == 1 {
				word = ""
			}
		}
		words = append(words, word)
	}
	return words
}

// readTime reads a date, a time of day or both. want says that one is expected.
func (d *doc) readTime(toks []token, want bool) (reading, bool) {
	if len(toks) == 0 || !d.mayBeginTime(toks) || d.beforeMonth(toks) || signedApart(toks) {
		return reading{}, false
	}
	n := 1
	for n < len(toks) && n < 9 && toks[n].gap < 6 && !toks[n].bar {
		n++
	}
	if n == 1 && d.fillsLine(toks) {
		n = len(toks) // 05/07/91         06:00
	}
	m, used := d.moment(toks[:n], want)
	if used == 0 || used == 1 && strings.ContainsAny(toks[0].text, ".,") && d.rateHere(toks) {
		return reading{}, false
	}
	return reading{used: used, toks: toks[:used], when: m, fixed: m.Fixed(), cost: m.Date.Cost}, true
}

// fillsLine reports whether two or three tokens are all of their line, two cells without a bar.
func (d *doc) fillsLine(toks []token) bool {
	n := len(toks)
	if n < 2 || n > 3 || toks[0].line >= len(d.lines) || toks[1].bar {
		return false
	}
	all := d.lines[toks[0].line].toks
	return len(all) == n && all[0].at == toks[0].at && cellCount(all) == 2
}

// rateHere reports whether a figure has a unit of rates behind it: 0.20 GAL/H is no time
// of day.
func (d *doc) rateHere(toks []token) bool {
	code, _, used := d.unitAfter(toks[1:])
	return used > 0 && quantityOf(unitCodes[code]) == record.Rate
}

// momentAnswer is the time that was found in so many tokens.
type momentAnswer struct {
	n      int
	want   bool
	moment *value.Moment
	used   int
}

// moment is value.ParseMoment with a memory for this slip.
func (d *doc) moment(toks []token, want bool) (*value.Moment, int) {
	n := len(toks)
	m := d.memory(toks[0].at)
	if m == nil || toks[n-1].at != toks[0].at+n-1 {
		return parseMoment(texts(toks), d.timeNames, want)
	}
	for a := m.moments; a != nil; a = a.before {
		if a.is.n == n && a.is.want == want {
			return a.is.moment, a.is.used
		}
	}
	d.words = appendTexts(d.words[:0], toks)
	found, used := parseMoment(d.words, d.timeNames, want)
	d.kept.moments.keep(&m.moments, momentAnswer{n, want, found, used})
	return found, used
}

// parseMoment is value.ParseMoment; nil when there is none.
func parseMoment(words []string, names value.Names, want bool) (*value.Moment, int) {
	m, used := value.ParseMoment(words, names, want)
	if used == 0 {
		return nil, 0
	}
	kept := m // only what is found is worth an allocation
	return &kept, used
}

// mayBeginTime is a quick test of the first token that saves most words the full one.
func (d *doc) mayBeginTime(toks []token) bool {
	t := &toks[0]
	if hasDigit(t.text) {
		return true
	}
	if isHalf(*t) {
		return len(toks) > 1 // PM 04:18
	}
	if len(t.text) < 3 || len(t.text) > 10 {
		return false
	}
	if t.norm == "the" {
		return true // the 20th of September
	}
	if mayBeFigures(t.text) {
		return true
	}
	for _, h := range d.find(toks[:1]) {
		if h.Sense == lexicon.Month || h.Sense == lexicon.Weekday {
			return true
		}
	}
	return false
}

// mayBeFigures reports whether a text has a mark of dates and times and a letter that looks
// like a figure.
func mayBeFigures(text string) bool {
	mark, letter := false, false
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '/', ':', '-', '.':
			mark = true
		case 'O', 'o', 'l', 'I', 'S', 'B', 'Z':
			letter = true
		}
	}
	return mark && letter
}

// namesOfTime finds months and weekdays in the slip's lexicon.
func (d *doc) namesOfTime() value.Names {
	return value.Names{
		Month: func(w string) (string, float64, bool) {
			for _, h := range d.lookupLower(w) {
				if h.Sense == lexicon.Month {
					return h.Code, h.Cost, true
				}
			}
			return "", 0, false
		},
		Weekday: func(w string) bool {
			for _, h := range d.lookupLower(w) {
				if h.Sense == lexicon.Weekday {
					return true
				}
			}
			return false
		},
	}
}

// identPrefixes are the letters that may stand before an equipment number in
// one word, as in T2 or SENSOR-04.
var identPrefixes = map[string]string{
	"tank": "tank", "tk": "tank", "tnk": "tank", "t": "tank", "ust": "tank", "line": "line", "ln": "line", "l": "line", "pl": "line", "p": "line",
	"sensor": "sensor", "snsr": "sensor", "sens": "sensor", "sen": "sensor", "sn": "sensor", "s": "sensor", "sns": "sensor", "det": "sensor", "snr": "sensor", "ssr": "sensor", "pipe": "line", "lne": "line", "pln": "line", "no": "", "": "", "nr": "",
}

// splitIdent takes an equipment number apart: T2, #02, TANK-3, 4A.
func splitIdent(text string) (prefix, number string, fixed int, ok bool) {
	if len(text) > 1 && text[0] == '.' {
		return "", "", 0, false // .2, a rate
	}
	s := withoutMarks(text)
	if !hasDigit(s) {
		if len(s) != 1 || !isLetter(s[0]) {
			return "", "", 0, false // a word
		}
		if c, _, isLike := value.Digit(rune(text[len(text)-1])); isLike {
			return "", string(c), 1, true // TANK l
		}
		return "", "", 0, false
	}
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			s = strings.ToLower(s) // letters of other alphabets may have lower ones of this
			break
		}
	}
	i := 0
	for i < len(s) && isLetter(s[i]) {
		i++
	}
	if i > 0 {
		const longest = len("sensor")
		if i > longest {
			return "", "", 0, false
		}
		prefix = strings.ToLower(s[:i])
		if _, known := identPrefixes[prefix]; !known {
			return "", "", 0, false
		}
	}
	s = strings.TrimLeft(s[i:], "-#.: ")
	j := 0
	for j < len(s) && s[j] >= '0' && s[j] <= '9' {
		j++
	}
	tail := s[j:]
	if j == 0 || j > 4 || len(tail) > 1 || tail != "" && (tail[0]|0x20 < 'a' || tail[0]|0x20 > 'd') {
		return "", "", 0, false
	}
	number = strings.TrimLeft(s[:j], "0")
	if number == "" {
		number = "0"
	}
	return prefix, number + strings.ToUpper(tail), 0, true
}

// withoutMarks takes the marks off that may stand around an equipment number.
func withoutMarks(s string) string {
	const marks = "#.:()[]{}<>'-"
	for s != "" && strings.IndexByte(marks, s[0]) >= 0 {
		s = s[1:]
	}
	for s != "" && strings.IndexByte(marks, s[len(s)-1]) >= 0 {
		s = s[:len(s)-1]
	}
	return s
}

func (d *doc) readIdent(field string, toks []token) (reading, bool) {
	prefix, number, fixed, ok := toks[0].ident()
	if p := identPrefixes[prefix]; !ok || p != "" && p != field && field != "device_number" {
		return reading{}, false
	}
	if len(toks) > 1 && toks[1].gap < wideGap && toks[1].norm == "%" {
		return reading{}, false
	}
	if prefix == "" && len(toks) > 1 && len(toks[1].norm) >= unitInFull && toks[1].gap < wideGap && (toks[0].prose || toks[1].stop != 0) {
		if code, cost, used := d.unitAfter(toks[1:2]); used > 0 && cost == 0 && quantityOf(unitCodes[code]) != record.Plain {
			return reading{}, false // the tank is over by 35 litres
		}
	}
	return reading{used: 1, toks: toks[:1], value: number, fixed: fixed}, true
}

// unitInFull are the letters at least of a unit that is spelt out, as sentences do.
const unitInFull = 5

// codeSense says which sense holds the words of a coded field.
var codeSense = map[string]lexicon.Sense{
	"result": lexicon.Result, "method": lexicon.Method, "device": lexicon.Device, "grade": lexicon.Grade, "test_class": lexicon.TestClass,
}
