package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// dayHeads gives entries that begin with a time of day the date that stands above them in
// a line of its own, in lists of alarms whose days stand so:
//
//	03-JUN-2024
//	06:11 TANK 1 LOW LEVEL   RAISED
//	08:42 TANK 1 LOW LEVEL   CLEARED
//	04-JUN-2024
//	17:30 SENSOR 2 WATER     RAISED
func (d *doc) dayHeads(r *reads) {
	if r.kind != record.Alarm && r.kind != record.SensorStatus {
		return
	}
	under := false // the last head has an entry
	days, first := 0, -1
	for i, e := range r.entries {
		switch {
		case d.isDay(e):
			if days > 0 && !under {
				return
			}
			days, under = days+1, false
			if first < 0 {
				first = i
			}
		case clockFirst(e):
			if days == 0 {
				return
			}
			under = true
		case e.row || hasField(e.facts, "at") || hasField(e.facts, fieldMoment):
			return
		}
	}
	if days == 0 || !under {
		return
	}
	var day fact
	out := r.entries[:first:first]
	for _, e := range r.entries[first:] {
		if d.isDay(e) {
			day = e.facts[0]
			continue
		}
		if clockFirst(e) {
			f := &e.facts[0]
			if m, ok := joinMoments(day.read, f.read); ok {
				f.read, f.field, f.under = m, "at", true
			}
		}
		out = append(out, e)
	}
	r.entries = out
}

// isDay reports whether an entry is a date alone in its line.
func (d *doc) isDay(e entry) bool {
	return len(e.facts) == 1 && !e.row && d.isMoment(e.facts[0]) && !e.facts[0].read.hasClock()
}

// clockFirst reports whether an entry begins with a time of day and says more behind it.
func clockFirst(e entry) bool {
	if len(e.facts) < 2 || e.row {
		return false
	}
	f := e.facts[0]
	return (f.field == "at" || f.field == fieldMoment) && f.read.hasClock() && !f.read.hasDate() && !slices.ContainsFunc(e.facts[1:], func(f fact) bool { return f.read.hasTime() })
}

// stateAndTime reports whether a line says how an alarm stands and since when, and nothing
// else: RAISED 03/14/25 12:30.
func (d *doc) stateAndTime(toks []token) bool {
	n := 1
	for n < len(toks) && !hasDigit(toks[n].text) {
		n++
	}
	if n == len(toks) {
		return false
	}
	if _, ok := d.stateAlone(lexicon.AlarmState, "state", toks[:n]); !ok {
		return false
	}
	r, ok := d.readTime(toks[n:], false)
	return ok && r.hasClock() && n+r.used == len(toks)
}
