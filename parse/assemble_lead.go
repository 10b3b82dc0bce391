package parse

// leads finds the field that each record of a section begins with: its own
// name, or something else that comes again for each record; "" when neither.
func (d *doc) leads(r reads) string {
	own := ownName(r.kind)
	var order []fact
	counts := map[string]int{}
	for _, e := range r.entries {
		if e.row || e.more || e.head {
			continue
		}
		for _, f := range e.facts {
			if !isHeader(f.field) {
				order = append(order, f)
				counts[f.field]++
			}
		}
	}
	switch counts[own] {
	case 0:
		return ""
	case 1:
		for _, f := range order {
			if f.field == own {
				return own
			}
			if !shareable[f.field] && f.field != "product" {
				return ""
			}
		}
		return ""
	}
	best, least := own, d.leadCost(order, counts, own, own)-ownBonus
	for _, f := range order {
		if f.field == own {
			break // what leads stands before the first name
		}
		n := counts[f.field]
		if n < 2 || n < counts[own]-1 || n > counts[own]+1 {
			continue
		}
		if c := d.leadCost(order, counts, f.field, own); c < least {
			best, least = f.field, c
		}
	}
	return best
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
func (d *doc) leadCost(order []fact, counts map[string]int, lead, own string) float64 {
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
func (d *doc) breakCost(f fact) float64 {
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
	case above.rule:
		return -afterBreak
	case len(above.toks) == 0 || above.head:
		return 0
	case l.toks[0].col < above.toks[0].col-0.6:
		return -afterBreak
	case l.toks[0].col > above.toks[0].col+0.6:
		return insideBlock
	}
	return 0
}
