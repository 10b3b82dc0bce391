package parse

// doubtSides doubts products that stand on a line of their own above the name of some records of a
// section and below that of others: one of the two sides belongs to the neighbours.
func (d *doc) doubtSides(drafts []*draft) {
	type sides struct{ above, below []*fact }
	of := map[*part]*sides{}
	for _, dr := range drafts {
		name, product := -1, -1
		for i := range dr.facts {
			switch f := &dr.facts[i]; {
			case len(f.read.toks) == 0:
			case f.field == ownName(dr.kind):
				name = i
			case f.field == "product":
				product = i
			}
		}
		if dr.part == nil || name < 0 || product < 0 {
			continue
		}
		f := &dr.facts[product]
		at, own := f.read.toks[0].line, dr.facts[name].read.toks[0].line
		s := of[dr.part]
		if s == nil {
			s = &sides{}
			of[dr.part] = s
		}
		switch {
		case at < own:
			s.above = append(s.above, f)
		case at > own:
			s.below = append(s.below, f)
		}
	}
	for _, s := range of {
		if len(s.above) == 0 || len(s.below) == 0 {
			continue
		}
		for _, f := range append(s.above, s.below...) {
			if f.danger == "" {
				f.danger = "it stands above the name of some and below that of others; it may be its neighbour's"
			}
		}
	}
}
