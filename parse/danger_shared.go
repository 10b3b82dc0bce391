package parse

// doubtShared doubts a product that stands once and is taken for that of several records, where other
// products stand on its line, each in a cell of its own: they are headings of which the columns were
// not understood.
func (d *doc) doubtShared(drafts []*draft) {
	users := map[int][]*fact{} // of a product, by its first token
	own := map[int]map[any]bool{}
	for _, dr := range drafts {
		for i := range dr.facts {
			f := &dr.facts[i]
			if f.field != "product" || len(f.read.toks) == 0 {
				continue
			}
			at := f.read.toks[0].at
			users[at] = append(users[at], f)
			if own[at] == nil {
				own[at] = map[any]bool{}
			}
			for _, o := range dr.facts {
				if o.field == ownName(dr.kind) {
					own[at][o.read.value] = true
				}
			}
		}
	}
	for at, facts := range users {
		if len(own[at]) < 2 || !d.besideOthers(facts[0].read.toks) {
			continue
		}
		for _, f := range facts {
			if f.danger == "" {
				f.danger = "other products stand beside it; which belongs to which is not certain"
			}
		}
	}
}

// besideOthers reports whether another product stands on the printed line of a product, in another cell.
func (d *doc) besideOthers(toks []token) bool {
	row := toks[0].seen.row
	for _, l := range d.lines {
		for i := range l.toks {
			t := &l.toks[i]
			if t.seen.row != row || i > 0 && !starts(l.toks, i) || t.at >= toks[0].at && t.at <= toks[len(toks)-1].at {
				continue
			}
			n := cellEnd(l.toks, i)
			if code, cost, ok := d.grade(l.toks[i:n]); ok && code != "" && cost == 0 && !t.number {
				return true
			}
		}
	}
	return false
}
