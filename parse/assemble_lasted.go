package parse

import (
	"tankroll/parse/value"
)

// lasted takes a time of day with no more than TIME for a label for how long a test ran, where
// just as long lies between its start and its end:
//
//	START : 00:30    END : 05:30    TIME : 5:00
func (d *doc) lasted(dr *draft) {
	if _, ok := specOf(dr.kind, "duration"); !ok || dr.has("duration") {
		return
	}
	start, end := clockOf(dr.facts, "started_at"), clockOf(dr.facts, "ended_at")
	if start == nil || end == nil {
		return
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.field != fieldMoment || len(f.label) == 0 || !f.read.hasClock() || f.read.hasDate() {
			continue
		}
		c := f.read.when.Clock
		if c.Half != "" || between(*start, *end) != c.Hour*60+c.Minute {
			continue
		}
		if r, ok := d.readHours(f.read.toks, ""); ok && r.used == len(f.read.toks) {
			f.field, f.read = "duration", r
			return
		}
	}
}

// clockOf is the time of day of a field, nil for none.
func clockOf(facts []fact, field string) *value.Clock {
	for _, f := range facts {
		if f.field == field && f.read.hasClock() {
			return &f.read.when.Clock
		}
	}
	return nil
}

// between is how many minutes lie between two times of day, less than a day.
func between(from, to value.Clock) int {
	const day = 24 * 60
	return (to.Hour*60 + to.Minute - from.Hour*60 - from.Minute + day) % day
}
