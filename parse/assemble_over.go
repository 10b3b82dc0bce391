package parse

import (
	"slices"
)

// rowsGoneOver puts a row of a table that names nothing with the named row above it, where that has
// no more of a time than its date and the lower one the times of day, and no field stands in both:
//
//	TK  PRODUCT   BEGAN         ENDED     GALLONS
//	1   REGULAR   05-SEP-2020
//	              9:03 AM       9:24 AM     3,002
func rowsGoneOver(r *reads) {
	own := ownName(r.kind)
	if sideFields[r.kind] == nil {
		return
	}
	for i := 1; i < len(r.entries); i++ {
		a, b := &r.entries[i-1], &r.entries[i]
		if !a.row || !b.row || a.table != b.table || a.table == 0 || !hasField(a.facts, own) || hasField(b.facts, own) || hasField(b.facts, "product") {
			continue
		}
		if facts, ok := goneOver(a.facts, b.facts); ok {
			a.facts = facts
			r.entries = slices.Delete(r.entries, i, i+1)
			i--
		}
	}
}

// goneOver are the facts of two rows that are one; false where they are two.
func goneOver(above, below []fact) ([]fact, bool) {
	date := -1
	for i := range above {
		if r := &above[i].read; !r.hasTime() {
			continue
		} else if date >= 0 || !r.hasDate() || r.hasClock() {
			return nil, false
		}
		date = i
	}
	if date < 0 {
		return nil, false
	}
	out := slices.Delete(slices.Clone(above), date, date+1)
	clocks := 0
	for _, f := range below {
		if f.read.hasTime() {
			both, ok := joinMoments(above[date].read, f.read)
			if !ok || f.read.hasDate() || f.field == fieldMoment {
				return nil, false
			}
			f.read = both
			clocks++
		}
		if f.field != "" && hasField(out, f.field) {
			return nil, false
		}
		out = append(out, f)
	}
	return out, clocks > 0
}

// dateBeside gives the time of day of a row the date in the column right before it, where the row has
// no other time: DATE   ENDED.
func dateBeside(r reads) {
	if _, ok := specOf(r.kind, "ended_at"); !ok {
		return
	}
	for i := range r.entries {
		e := &r.entries[i]
		if !e.row {
			continue
		}
		var date, clock *fact
		several := false
		for k := range e.facts {
			f := &e.facts[k]
			switch {
			case !f.read.hasTime() || f.field == "" || f.inherited:
			case f.field == fieldMoment && f.printed && date == nil && f.read.hasDate() && !f.read.hasClock():
				date = f
			case f.field != fieldMoment && clock == nil && f.read.hasClock() && !f.read.hasDate():
				clock = f
			default:
				several = true
			}
		}
		if several || date == nil || clock == nil || date.read.toks[len(date.read.toks)-1].end > clock.read.toks[0].col {
			continue
		}
		if both, ok := joinMoments(date.read, clock.read); ok {
			clock.read, date.field = both, ""
		}
	}
}
