package parse

import (
	"slices"

	"tankroll/record"
)

// ofAllRows are the fields that may stand once above or below a table whose rows are a test, a
// delivery or an account each.
var ofAllRows = map[string]bool{
	"started_at": true, "ended_at": true, "test_rate": true, "test_class": true, fieldType: true, "method": true, "duration": true, "threshold": true, "from": true, "to": true, fieldPeriod: true, "at": true,
}

// sharedRows gives what stands once above or below a table of named things, and which none of
// its rows says, to each of them:
//
//	         TANK 1  TANK 2
//	RATE      -0.04   -0.15
//	RESULT     PASS    PASS
//	-----------------------
//	START  05/25/08 23:30
//	END    05/26/08 05:30
func sharedRows(r *reads) {
	first := slices.IndexFunc(r.entries, func(e entry) bool { return e.row })
	if first < 0 || r.kind == record.Alarm || r.kind == record.LineSummary {
		return
	}
	end := first
	own, rows := ownName(r.kind), 0
	said := map[string]bool{}
	for end < len(r.entries) && (r.entries[end].row || r.entries[end].more) {
		e := r.entries[end]
		if e.row {
			rows++
		}
		if e.row && !hasField(e.facts, own) {
			return // rows below a name of their own
		}
		for _, f := range e.facts {
			said[f.field] = true
		}
		end++
	}
	if rows < 2 || slices.ContainsFunc(r.entries[end:], func(e entry) bool { return e.row || e.more || e.head }) {
		return
	}
	above, given := shareOf(r.entries[:first], said)
	below, more := shareOf(r.entries[end:], said)
	if !above && !below {
		return
	}
	for i := first; i < end; i++ {
		if e := &r.entries[i]; e.row {
			if above {
				e.facts = append(e.facts, given...)
			}
			if below {
				e.facts = append(e.facts, more...)
			}
		}
	}
	for i := range r.entries {
		if e := &r.entries[i]; above && i < first || below && i >= end {
			e.facts = slices.DeleteFunc(e.facts, func(f fact) bool { return ofAllRows[f.field] })
		}
	}
}

// shareOf are the facts of entries that all rows share, when the entries say nothing else of
// records, each once, and one is a time that no record of a table begins with.
func shareOf(entries []entry, said map[string]bool) (bool, []fact) {
	var out []fact
	timed := false
	for _, e := range entries {
		for _, f := range e.facts {
			switch {
			case isHeader(f.field) || f.field == "" || f.field == fieldNone || f.field == fieldMoment:
				continue
			case !ofAllRows[f.field] || said[f.field] || hasField(out, f.field):
				return false, nil
			}
			timed = timed || f.field == "started_at" || f.field == "ended_at"
			f.inherited = true
			out = append(out, f)
		}
	}
	return timed, out
}
