package parse

import "slices"

// severalMonths is the doubt about what stands for this month among others.
const severalMonths = "the first passes of several months are listed; which of them is this month's follows from the time of printing"

// ofMonths makes the summary of a test of which the slip lists the first pass of each month:
// that of the month of printing is this month's, where it is among them. It is nil where no
// such list is.
func (d *doc) ofMonths(dr *draft) *draft {
	t := labelTables()
	var listed []fact
	for _, f := range dr.facts {
		if f.field != fieldMoment || len(f.label) == 0 || !f.read.hasDate() {
			continue
		}
		if bag, _, _ := d.bag(f.label); t.has(bag, "first") {
			listed = append(listed, f)
		}
	}
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
