package parse

import (
	"slices"

	"tankroll/record"
)

// Doubts about what follows from a list of passes.
const (
	severalMonths = "the first passes of several months are listed; which of them is this month's follows from the time of printing"
	newestListed  = "passes are listed without a word for the last; it is taken for the newest of them"
	firstListed   = "passes are listed without a word for the first of the month; it is taken for the oldest of them that is of the month of printing"
)

// ofMonths makes the summary of a test of which the slip lists the first pass of each month:
// that of the month of printing is this month's, where it is among them. It is nil where no
// such list is.
func (d *doc) ofMonths(dr *draft) *draft {
	listed := d.listed(dr, true)
	if len(listed) < 2 || !hasClass(dr.facts) {
		return nil
	}
	out := newDraft(dr.kind, dr.from)
	out.part, out.split, out.muddy, out.row = dr.part, dr.split, dr.muddy, dr.row
	for _, f := range dr.facts {
		if f.field == "line" || f.field == "product" || f.read.class != "" {
			out.facts = append(out.facts, f)
		}
	}
	if n := slices.IndexFunc(listed, d.ofThisMonth); n >= 0 {
		f := listed[n]
		f.field = "first_pass_of_month"
		out.facts = append(out.facts, f)
	}
	out.doubt = severalMonths
	if dr.doubt != "" {
		out.doubt = dr.doubt
	}
	return out
}

// listed are the dated passes of a draft that stand in a list: those under a label for the
// first of each month, or those under no word for which they are.
func (d *doc) listed(dr *draft, first bool) []fact {
	t := labelTables()
	var out []fact
	for _, f := range dr.facts {
		if f.field != fieldMoment || !f.read.hasDate() {
			continue
		}
		bag, _, _ := d.bag(f.label)
		if t.has(bag, "first") == first && !t.has(bag, "earlier") {
			out = append(out, f)
		}
	}
	return out
}

// newest makes the last pass of a test of the newest of the passes that the slip lists for
// it, where none is said to be the last, and the first of the month of the oldest that is of
// the month of printing; nil where there is no such list.
func (d *doc) newest(dr *draft) *draft {
	listed := d.listed(dr, false)
	if len(listed) == 0 || dr.kind != record.LineSummary || dr.has("last_pass_at") || dr.has(fieldNone) || !hasClass(dr.facts) || !dr.has("line") {
		return nil
	}
	last, first, at, month := 0, -1, "", ""
	for i, f := range listed {
		s, ok := d.timeText(f.read.moment())
		if !ok {
			continue
		}
		if s > at {
			last, at = i, s
		}
		if d.ofThisMonth(f) && (first < 0 || s < month) {
			first, month = i, s
		}
	}
	out := newDraft(dr.kind, dr.from)
	out.part, out.split, out.muddy, out.row, out.doubt = dr.part, dr.split, dr.muddy, dr.row, dr.doubt
	for _, f := range dr.facts {
		if f.field != fieldMoment {
			out.facts = append(out.facts, f)
		}
	}
	f := listed[last]
	if f.field = "last_pass_at"; dr.summary() {
		f.guess = newestListed
	}
	out.facts = append(out.facts, f)
	if first >= 0 && len(listed) > 1 && !dr.has("first_pass_of_month") {
		f := listed[first]
		f.field, f.guess = "first_pass_of_month", firstListed
		out.facts = append(out.facts, f)
	}
	if !dr.summary() && out.doubt == "" {
		out.doubt = newestListed
	}
	return out
}

// ofThisMonth reports whether a date is of the month in which the slip was printed.
func (d *doc) ofThisMonth(f fact) bool {
	if d.front.printed == nil || !d.front.printed.read.hasDate() {
		return false
	}
	a, ok := d.timeText(f.read.moment())
	b, too := d.timeText(d.front.printed.read.moment())
	const month = len("2006-01")
	return ok && too && len(a) >= month && len(b) >= month && a[:month] == b[:month]
}
