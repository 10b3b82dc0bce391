package parse

import (
	"math"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// An alarm may be a block of labels, each on a line of its own with what it is of behind it, marks
// between or not; the values then stand below each other:
//
//	WHAT    LEAK TEST FAILED        ALARM    HIGH WATER
//	WHERE   TANK 2                  TANK     2
//	WHEN    02/27/13 05:31:08       TIME     03/12/97 04:10
//	STATE   ON                      STATUS   CLEARED

// fewestKeyed are the lines of such a block.
const fewestKeyed = 3

// keyedAlarm reads a block of labels of one alarm.
func (d *doc) keyedAlarm(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.Alarm || lines[i].rule || len(lines[i].toks) < 2 {
		return structure{}, false
	}
	lead := countLead(lines[i].toks)
	first, _ := d.alarmKey(lines[i].toks[lead:])
	if first == "" || !d.beginsKeyed(lines, i, first) {
		return structure{}, false
	}
	var facts []fact
	seen := map[string]bool{}
	worth, col, n := 0.0, -1.0, 0
	for ; i+n < len(lines); n++ {
		l := lines[i+n]
		if l.rule || l.head || len(l.toks) < 2 || n > 0 && l.gap {
			break
		}
		if n == 0 {
			l.toks = l.toks[lead:]
		} else if lead > 0 && countLead(l.toks) > 0 {
			break // the next block
		}
		field, at := d.alarmKey(l.toks)
		if n > 0 && field == "at" && seen["at"] && d.joinKeyed(facts, l.toks, at) {
			worth += float64(len(l.toks))*wordWorth + factWorth
			continue // DATE on a line, TIME on the next
		}
		if n > 0 && (field == first || d.countLine(l.toks)) {
			break // the next block
		}
		if field == "" || seen[field] {
			return structure{}, false
		}
		if marked := l.toks[at-1].delim != 0; !marked {
			if col >= 0 && math.Abs(l.toks[at].col-col) > 0.6 || col < 0 && n > 0 || l.toks[at].gap < 1 {
				return structure{}, false
			}
			col = l.toks[at].col
		}
		said, ok := d.keyedValue(field, l.toks[:at], l.toks[at:])
		if !ok {
			return structure{}, false
		}
		seen[field] = true
		seen["event"] = seen["event"] || hasField(said, "event")
		facts = append(facts, said...)
		worth += float64(len(l.toks))*wordWorth + 2*factWorth
	}
	if n < fewestKeyed || !seen["event"] || !seen["at"] && !seen["device"] {
		return structure{}, false
	}
	return structure{worth, n, []entry{{facts: facts, row: true}}}, true
}

// beginsKeyed reports whether a block of labels may begin at line i: something parts it from what
// stands above, or nothing but such lines do, the first of which has the same label.
func (d *doc) beginsKeyed(lines []line, i int, first string) bool {
	for j := i; ; j-- {
		if j == 0 || lines[j].gap || lines[j-1].rule || lines[j-1].head || len(lines[j-1].toks) == 0 || d.countLine(lines[j-1].toks) || j == i && countLead(lines[j].toks) > 0 || d.title(lines[j-1]).kind != "" {
			if j == i {
				return true
			}
			key, _ := d.alarmKey(lines[j].toks)
			return key == first
		}
		if key, _ := d.alarmKey(lines[j-1].toks); key == "" {
			return false
		}
	}
}

// alarmKey is the field that a line's label is of, equipment with its number being the device, and
// where its value begins; "" for none.
func (d *doc) alarmKey(toks []token) (string, int) {
	names := d.names(toks)
	for j := len(names) - 1; j >= 0; j-- {
		n := names[j]
		if n.cost > 0 || n.used >= len(toks) || n.unit != "" {
			continue
		}
		if toks[n.used-1].delim == 0 && !starts(toks, n.used) && toks[n.used].gap < 1 {
			continue
		}
		if thingOf(n.bag) != "" {
			return "device", n.used
		}
		if f, ok := d.field(record.Alarm, n.bag); ok {
			switch f {
			case "event", "at", "state", "device":
				return f, n.used
			}
		}
	}
	if field := alarmWords[toks[0].norm]; field != "" && len(toks) > 1 && (toks[0].delim != 0 || starts(toks, 1) || toks[1].gap >= 1) {
		return field, 1
	}
	return "", 0
}

// alarmWords are little words that stand before what an alarm is of, in blocks of such alone.
var alarmWords = map[string]string{"what": "event", "why": "event", "now": "state", "is": "state", "when": "at", "since": "at", "where": "device", "who": "device", "which": "device"}

// joinKeyed puts a time of day behind its label to the date of the block, or a date to its time of day.
func (d *doc) joinKeyed(facts []fact, toks []token, at int) bool {
	r, ok := d.readTime(toks[at:], true)
	if !ok || r.used != len(toks)-at {
		return false
	}
	for n := range facts {
		if facts[n].field != "at" {
			continue
		}
		m, ok := joinMoments(facts[n].read, r)
		if ok {
			facts[n].read = m
		}
		return ok
	}
	return false
}

// countLead is 1 where a number with its sign stands before the first label of a block: #1 WHERE: TANK 2.
func countLead(toks []token) int {
	if len(toks) > 2 && toks[0].number && !toks[0].blank && (strings.HasPrefix(toks[0].text, "#") || toks[0].stop == '.' || toks[0].shut) && plainDigits(countText(toks[0]), 1, 3) && !toks[1].number {
		return 1
	}
	return 0
}

// countLine reports whether a line says no more than which alarm follows: NO. 1, ALARM 1, #1, 1 OF 3.
func (d *doc) countLine(toks []token) bool {
	const most = 3
	if len(toks) == 0 || len(toks) > most {
		return false
	}
	figures := 0
	for _, t := range toks {
		switch {
		case plainDigits(strings.Trim(t.text, "#()."), 1, 3):
			figures++
		case d.numberWord(t), t.norm == "alarm", t.norm == "event", t.norm == "of", t.norm == "entry", t.norm == "record":
		default:
			return false
		}
	}
	return figures == 1 || figures == 2 && len(toks) == 3
}

// keyedValue reads what stands behind the label of a field; all of it must be understood.
func (d *doc) keyedValue(field string, label, toks []token) ([]fact, bool) {
	switch field {
	case "event":
		return []fact{{field: field, label: label, printed: true, read: reading{used: len(toks), toks: toks, value: textOf(toks)}}}, true
	case "at":
		r, ok := d.readTime(toks, true)
		if !ok || r.used != len(toks) {
			return nil, false
		}
		return []fact{{field: field, label: label, printed: true, read: r}}, true
	case "state":
		code, cost, ok := d.whole(lexicon.AlarmState, toks)
		if !ok || cost > 0 {
			return nil, false
		}
		return []fact{{field: field, label: label, printed: true, read: reading{used: len(toks), toks: toks, value: code}}}, true
	}
	if bag, _, _ := d.bag(label); thingOf(bag) != "" {
		number := strings.TrimLeft(toks[0].text, "0#")
		if !plainDigits(number, 1, 3) {
			return nil, false
		}
		var event []fact
		if rest := toks[1:]; len(rest) > 0 && !d.endsInGrade(toks) {
			if hasFigures(rest) || d.saysState(rest[len(rest)-1:]) && len(rest) == 1 {
				return nil, false
			}
			event = []fact{{field: "event", printed: true, read: reading{used: len(rest), toks: rest, value: textOf(rest)}}} // TANK 2 HIGH WATER
		} else if len(rest) > 2 {
			return nil, false
		}
		return append([]fact{
			{field: "device", label: label, printed: true, read: reading{used: len(label), toks: label, value: thingOf(bag)}},
			{field: "device_number", label: label, printed: true, read: reading{used: 1, toks: toks[:1], value: number}},
		}, event...), true
	}
	l := &listLine{d: d, toks: toks, taken: make([]bool, len(toks))}
	l.device()
	if len(l.facts) == 0 {
		if code, cost, ok := d.whole(lexicon.Device, toks); ok && cost == 0 {
			return []fact{{field: "device", label: label, printed: true, read: reading{used: len(toks), toks: toks, value: code}}}, true
		}
		return nil, false
	}
	if rest := l.left(); len(rest) > 0 && !d.endsInGrade(rest) {
		return nil, false
	}
	for n := range l.facts {
		l.facts[n].label, l.facts[n].printed, l.facts[n].guess = label, true, ""
	}
	return l.facts, true
}
