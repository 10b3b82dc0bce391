package parse

import (
	"slices"
	"strconv"

	"tankroll/parse/value"
	"tankroll/record"
)

// A test may show what was read while it ran, a row for each time of day, below the name of its
// tank. Such rows are no tests:
//
//	TEST OF TANK 2
//	         TIME     GALLONS   DEG F
//	BEGIN   01:00     3,350.4    40.2
//	        02:00     3,350.4    40.2
//	END     03:00     3,350.3    40.1
//	RATE    -0.018 GAL/H    PASSED

// readingsOfTest puts runs of such rows together: what the first and the last say is of the start
// and the end, a temperature that all say is the test's, and the rest has its place and says
// nothing more.
func (d *doc) readingsOfTest(r *reads) {
	const fewest = 2 // rows
	if r.kind != record.TankTest && r.kind != record.LineTest || !slices.ContainsFunc(r.entries, func(e entry) bool { return e.row && hasField(e.facts, fieldMoment) }) {
		return
	}
	own := ownName(r.kind)
	var out []entry
	named := false
	for i := 0; i < len(r.entries); {
		e := r.entries[i]
		n := 0
		for named && i+n < len(r.entries) && r.entries[i+n].row && (n == 0 || r.entries[i+n].table == e.table) && d.onlyReading(r.entries[i+n].facts, own, n+1) {
			n++
		}
		if n < fewest || i+n < len(r.entries) && r.entries[i+n].row && r.entries[i+n].table == e.table || !sameDay(r.entries[i:i+n]) || !oneVerdict(r.entries[i:i+n]) {
			named = !e.row && (named || hasField(e.facts, own))
			out = append(out, e)
			i++
			continue
		}
		out = append(out, d.readingsEntry(r.entries[i:i+n], r.entries[i+n:], out, own))
		i += n
	}
	r.entries = out
}

// onlyReading reports whether the facts of a row are a time and what a gauge reads then, with a
// verdict or not, and with the number of the row if they have one.
func (d *doc) onlyReading(facts []fact, own string, row int) bool {
	read := false
	for _, f := range facts {
		switch f.field {
		case "volume", "height", "water_height", "temperature", "pressure":
			read = true
		case own:
			if bag, _, _ := d.bag(f.label); bag != bagOf("number") || f.read.value != strconv.Itoa(row) {
				return false
			}
		case fieldMoment, "result", "", fieldNone:
		default:
			return false
		}
	}
	return read && hasField(facts, fieldMoment)
}

// sameDay reports whether the times of rows are all without a date or all of one.
func sameDay(rows []entry) bool {
	moment := func(e entry) value.Moment {
		at := slices.IndexFunc(e.facts, func(f fact) bool { return f.field == fieldMoment })
		return e.facts[at].read.moment()
	}
	for i := 1; i < len(rows); i++ {
		if a, b := moment(rows[0]), moment(rows[i]); a.HasDate != b.HasDate || a.HasDate && a.Date != b.Date {
			return false
		}
	}
	return true
}

// oneVerdict reports whether no row but the last has a verdict.
func oneVerdict(rows []entry) bool {
	return !slices.ContainsFunc(rows[:len(rows)-1], func(e entry) bool { return hasField(e.facts, "result") })
}

// readingsEntry is what rows of readings say of the test whose entries stand above and below them.
func (d *doc) readingsEntry(rows, below, above []entry, own string) entry {
	said := func(field string) bool {
		for i := len(above) - 1; i >= 0; i-- {
			if hasField(above[i].facts, field) {
				return true
			}
			if hasField(above[i].facts, own) {
				break
			}
		}
		for _, e := range below {
			if hasField(e.facts, own) {
				return false
			}
			if hasField(e.facts, field) {
				return true
			}
		}
		return false
	}
	var out entry
	for i, e := range rows {
		bag := d.rowLabel(e).bag
		for _, f := range e.facts {
			side := ""
			switch {
			case i == 0:
				side = "start"
				if bag != startBag() && f.guess == "" {
					f.guess = "it is taken from the first of several readings"
				}
			case i == len(rows)-1:
				side = "end"
				if bag != endBag() && !hasField(e.facts, "result") && f.guess == "" {
					f.guess = "it is taken from the last of several readings"
				}
			}
			switch {
			case f.field == "result":
			case f.field == "volume" && side != "":
				f.field = side + "_volume"
			case f.field == fieldMoment && side == "start":
				f.field = "started_at"
			case f.field == fieldMoment && side == "end":
				f.field = "ended_at"
			case (f.field == "temperature" || f.field == "pressure") && side == "start" && sameInAll(rows, f.field):
				f.guess = ""
			default:
				f.field = ""
			}
			if f.field != "" && (said(f.field) || hasField(out.facts, f.field)) {
				f.field = ""
			}
			out.facts = append(out.facts, f)
		}
	}
	return out
}

// rowLabel is the word for a start or an end that the line of a row begins with.
func (d *doc) rowLabel(e entry) name {
	for _, f := range e.facts {
		if len(f.read.toks) == 0 {
			continue
		}
		if _, l, ok := d.where(f.read.toks[:1], nil); ok {
			return d.sideName(l.toks)
		}
	}
	return name{}
}

// sameInAll reports whether all rows say the same for a field.
func sameInAll(rows []entry, field string) bool {
	var first any
	for i, e := range rows {
		at := slices.IndexFunc(e.facts, func(f fact) bool { return f.field == field })
		if at < 0 || i > 0 && e.facts[at].read.value != first {
			return false
		}
		first = e.facts[at].read.value
	}
	return true
}
