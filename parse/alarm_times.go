package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Times of alarms whose heading or label says in which state the alarm was from then on:
//
//	DEVICE   ALARM       ON           OFF
//	TANK 2   LOW LEVEL   08/09 13:22  08/09 13:25
//
// Each such time is an alarm of its own.

// timeState is the state that the heading or label of a time speaks of, "" for none.
func (d *doc) timeState(label []token) string {
	rest := label
	for len(rest) > 0 && ofTimes(rest[0]) {
		rest = rest[1:]
	}
	for len(rest) > 0 && ofTimes(rest[len(rest)-1]) {
		rest = rest[:len(rest)-1]
	}
	if slices.ContainsFunc(rest, ofTimes) {
		rest = slices.DeleteFunc(slices.Clone(rest), ofTimes)
	}
	if len(rest) == 0 || len(rest) > maxPhraseWords {
		return ""
	}
	if code, cost, ok := d.whole(lexicon.AlarmState, rest); ok && cost == 0 {
		return code
	}
	return ""
}

// ofTimes reports whether a word heads any time of an alarm.
func ofTimes(t token) bool {
	switch t.norm {
	case "time", "date", "times", "dates", "at", "since", "when", "alarm", "event":
		return true
	}
	return false
}

// headsTimes reports whether a cell of a line of several is a state and heads the time that the
// next line has below it: ON SINCE   ALARM.
func (d *doc) headsTimes(i int) bool {
	toks := d.lines[i].toks
	if cellCount(toks) < 2 || hasFigures(toks) {
		return false
	}
	j := skipRules(d.lines, i+1)
	if j >= len(d.lines) {
		return false
	}
	below := d.lines[j].toks
	for _, c := range cells(toks) {
		if d.timeState(c) == "" {
			continue
		}
		for k, t := range below {
			if r, ok := d.readTime(below[k:], false); ok && r.hasDate() && t.col < c[len(c)-1].end && r.toks[len(r.toks)-1].end > c[0].col {
				return true
			}
		}
	}
	return false
}

// stateColumns names the columns of an alarm's times that are headed by states alone.
func (d *doc) stateColumns(k record.Kind, cols []column) {
	if k != record.Alarm {
		return
	}
	for i := range cols {
		c := &cols[i]
		if c.field == "" && d.timeState(c.toks) != "" {
			c.field, c.spec, c.cost = "at", specs[k]["at"], 0
		}
	}
}

// stateTimes makes an alarm of each time of an entry whose label speaks of a state, where the
// entry has no other state.
func (d *doc) stateTimes(r *reads) {
	if r.kind != record.Alarm {
		return
	}
	out := make([]entry, 0, len(r.entries))
	under := false // a state among the rows heads those below it
	pairs := slices.ContainsFunc(r.entries, func(e entry) bool { return len(d.eachTime(e, true)) > 1 })
	for _, e := range r.entries {
		under = under || e.head && e.apart
		if each := d.eachTime(e, pairs); !under || len(each) > 1 {
			out = append(out, each...)
		} else {
			out = append(out, e)
		}
	}
	r.entries = out
}

// statesAcross reports whether several cells of a heading are states, two of them different:
// the times of an alarm stand below them.
func (d *doc) statesAcross(toks []token) bool {
	first, other := "", false
	for i := 0; i < len(toks); i = cellEnd(toks, i) {
		s := d.timeState(toks[i:cellEnd(toks, i)])
		if s == "" {
			continue
		}
		other = other || first != "" && s != first
		first = s
	}
	return other
}

// eachTime cuts an entry into one for each of its times that speak of a state; START does
// where it stands beside END in the list, and pairs says so.
func (d *doc) eachTime(e entry, pairs bool) []entry {
	var times []int
	seen := map[string]bool{}
	for n, f := range e.facts {
		if f.field != "at" || len(f.label) == 0 {
			continue
		}
		if s := d.timeState(f.label); s != "" && (pairs || !strings.HasPrefix(f.label[0].norm, "start")) && !seen[s] {
			times = append(times, n)
			seen[s] = true
		}
	}
	if !e.row || len(times) == 0 || hasField(e.facts, "state") || hasField(e.facts, fieldMoment) {
		return []entry{e}
	}
	var rest []fact
	for n, f := range e.facts {
		if !slices.Contains(times, n) {
			if f.field == "at" {
				return []entry{e}
			}
			rest = append(rest, f)
		}
	}
	out := make([]entry, 0, len(times))
	for _, n := range times {
		o, at := e, e.facts[n]
		st := fact{field: "state", label: at.label, under: at.under, read: reading{used: len(at.label), toks: at.label, value: d.timeState(at.label)}}
		o.facts = append(slices.Clone(rest), at, st)
		out = append(out, o)
	}
	return out
}
