package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// What stands on a line below several labelled values, each below its own:
//
//	START    02/28/96      STOP     02/29/96
//	         21:30                  05:30
//	GALLONS  7,011.2       GALLONS  7,009.6

// belowSides puts the times of day of a line with the dates of the line above that they stand
// below, and takes two amounts of the same name below a start and an end for those of the two.
func belowSides(r reads) {
	if sideFields[r.kind] == nil {
		return
	}
	var start, end *fact // of the line of a start and an end, while lines below it stand in their columns
	for i := range r.entries {
		e := &r.entries[i]
		if e.row || e.head || len(e.facts) == 0 {
			start, end = nil, nil
			continue
		}
		if s, t := sideOf(e.facts, "started_at"), sideOf(e.facts, "ended_at"); s != nil && t != nil && besides(s, t) {
			start, end = s, t
			continue
		}
		if start == nil {
			continue
		}
		if len(e.facts) != 2 || len(e.facts[0].read.toks) == 0 || len(e.facts[1].read.toks) == 0 {
			continue
		}
		a, b := &e.facts[0], &e.facts[1]
		switch {
		case a.field == fieldMoment && b.field == fieldMoment && below(start, a) && below(end, b):
			one, okA := joinMoments(start.read, a.read)
			two, okB := joinMoments(end.read, b.read)
			if okA && okB && start.read.hasDate() != a.read.hasDate() {
				start.read, end.read = one, two
				a.field, b.field = "", ""
			}
		case a.field == fieldVolume && b.field == fieldVolume && phraseOf(a.label) == phraseOf(b.label) && a.read.value != nil && below(start, a) && below(end, b):
			a.field, b.field = "start_volume", "end_volume"
		case a.field == "temperature" && b.field == a.field && r.kind == record.Delivery && below(start, a) && below(end, b):
			a.field, b.field = "start_temperature", "end_temperature"
		}
	}
}

// sideOf is the fact of a field, nil for none.
func sideOf(facts []fact, field string) *fact {
	i := slices.IndexFunc(facts, func(f fact) bool { return f.field == field && len(f.read.toks) > 0 })
	if i < 0 {
		return nil
	}
	return &facts[i]
}

// besides reports whether the values of two facts stand on one line.
func besides(a, b *fact) bool { return a.read.toks[0].line == b.read.toks[0].line }

// below reports whether the value of a fact stands in the column of another's above it.
func below(above, f *fact) bool {
	a, b := above.read.toks, f.read.toks
	return math.Min(a[len(a)-1].end, b[len(b)-1].end) > math.Max(a[0].col, b[0].col)
}
