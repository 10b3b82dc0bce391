package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// leads finds the field that each record of a section begins with: its own
// name, or something else that comes again for each record; "" when neither.
func (d *doc) leads(r reads) string {
	own := ownName(r.kind)
	var order []*fact
	counts := map[string]int{}
	for _, e := range r.entries {
		if e.row || e.more || e.head {
			continue
		}
		for i := range e.facts {
			if f := &e.facts[i]; !isHeader(f.field) {
				order = append(order, f)
				counts[f.field]++
			}
		}
	}
	switch counts[own] {
	case 0:
		return ""
	case 1:
		above := false
		for i, f := range order {
			if f.field == own {
				if !above || r.kind == record.LineSummary && slices.ContainsFunc(order[i+1:], func(f *fact) bool { return isPassField(f.field) }) {
					return own // the record above has its name on the page before
				}
				return ""
			}
			above = above || !shareable[f.field] && f.field != "product"
		}
		return ""
	}
	best, least := own, d.leadCost(order, counts, own, own)-ownBonus
	for _, f := range order {
		if f.field == own {
			break // what leads stands before the first name
		}
		n := counts[f.field]
		if n < 2 || n < counts[own]-1 || n > counts[own]+1 && !d.behindBreaks(order, f.field, n) {
			continue
		}
		if c := d.leadCost(order, counts, f.field, own); c < least {
			best, least = f.field, c
		}
	}
	return best
}

// behindBreaks reports whether the paper says that records begin with a field, though not
// all of them have a name: all of its n facts but one, which may close the slip, stand first
// behind a rule or an empty line.
func (d *doc) behindBreaks(order []*fact, field string, n int) bool {
	const fewest = 3
	breaks := 0
	for _, f := range order {
		if f.field == field && d.breakCost(f) == -afterBreak {
			breaks++
		}
	}
	return breaks >= fewest && breaks >= n-1
}

// What speaks against and for a field as the one that records begin with.
const (
	twiceInOne  = 3.0 // a field comes twice in a record
	againOfOwn  = 0.3 // a field comes twice under one name, which may head several records
	orphanCost  = 1.0 // facts before the first record
	afterBreak  = 1.0 // a record begins behind a rule, or less set in than the line above
	insideBlock = 1.0 // a record begins more set in than the line above
	ownBonus    = 0.6 // records usually begin with their name
)

// leadCost weighs a field as the one that records begin with.
func (d *doc) leadCost(order []*fact, counts map[string]int, lead, own string) float64 {
	twice := twiceInOne
	if lead == own {
		twice = againOfOwn
	}
	cost, orphans := 0.0, 0.0
	begun := false
	seen := map[string]bool{}
	for _, f := range order {
		if f.field == lead {
			begun = true
			seen = map[string]bool{lead: true}
			cost += d.breakCost(f)
			continue
		}
		switch {
		case !begun && (!shareable[f.field] || counts[f.field] >= counts[own] && f.field != fieldMoment):
			orphans = orphanCost
		case seen[f.field] && f.field != fieldMoment && f.field != fieldLoose && f.field != "result":
			cost += twice
		}
		seen[f.field] = true
	}
	return cost + orphans
}

// breakCost says how much the paper speaks against a record beginning with a
// fact; it is negative when it speaks for it.
func (d *doc) breakCost(f *fact) float64 {
	toks := f.label
	if len(toks) == 0 {
		toks = f.read.toks
	}
	if len(toks) == 0 || toks[0].line == 0 || toks[0].line >= len(d.lines) {
		return 0
	}
	l, above := d.lines[toks[0].line], d.lines[toks[0].line-1]
	switch {
	case len(l.toks) == 0 || l.toks[0].at != toks[0].at:
		return 0 // not the first of its line
	case above.rule, l.gap:
		return -afterBreak
	case len(above.toks) == 0 || above.head:
		return 0
	case markedAt(l.toks, above.toks):
		return 0 // labels that are set to the right begin anywhere
	case l.toks[0].col < above.toks[0].col-0.6:
		return -afterBreak
	case l.toks[0].col > above.toks[0].col+0.6:
		return insideBlock
	}
	return 0
}

// markedAt reports whether the first label marks of two lines stand at one place.
func markedAt(a, b []token) bool {
	end := func(toks []token) float64 {
		for _, t := range toks {
			if t.delim == ':' {
				return t.end
			}
		}
		return -1
	}
	x, y := end(a), end(b)
	return x >= 0 && math.Abs(x-y) < alignSlack && a[0].col != b[0].col
}

// orphaned reports whether a field of its own stands before the first of the records'
// leading fields, as often as that and not below the last: each may belong to the record above or below
// it, unless an empty line or rule says where records begin.
func (d *doc) orphaned(r reads, lead string) bool {
	if lead == "" {
		return false
	}
	counts := map[string]int{}
	after := map[string]bool{} // fields below the last of the leading ones
	var before []fact
	for _, e := range r.entries {
		if e.row || e.more || e.head {
			return false
		}
		for _, f := range e.facts {
			if counts[f.field]++; counts[lead] == 0 && !isHeader(f.field) && !shareable[f.field] && f.field != "product" {
				before = append(before, f)
			}
			if after[f.field] = true; f.field == lead {
				clear(after)
			}
			if f.field == lead && counts[lead] == 2 && d.breakCost(&f) < 0 {
				return false
			}
		}
	}
	for _, f := range before {
		if n := counts[f.field]; counts[lead] >= 2 && n >= counts[lead] && n <= counts[lead]+1 && !after[f.field] && !sameLine(r, f, lead) {
			return true
		}
	}
	return false
}

// sameLine reports whether a fact shares its entry with one of a field.
func sameLine(r reads, f fact, field string) bool {
	for _, e := range r.entries {
		for _, o := range e.facts {
			if o.field == f.field && place(o) == place(f) {
				return hasField(e.facts, field)
			}
		}
	}
	return false
}
