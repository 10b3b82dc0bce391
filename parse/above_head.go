package parse

import "tankroll/record"

// headAbove is a label over others that are set in below it, which it completes.
type headAbove struct {
	bag, unit string
	cost      float64
	toks      []token
}

// headOver reads a label that has a line of its own over lines whose labels say the rest,
// and are set in:
//
//	head = label newline { label value }
//
//	VOLUME (GAL)
//	  START ..... 1564
//	  END ....... 2826
//
// A line below whose label needs no more is read as it stands.
func (d *doc) headOver(k record.Kind, lines []line, i int) (structure, bool) {
	head := lines[i].toks
	if d.over.bag != "" || len(head) > maxNameTokens || i+1 >= len(lines) {
		return structure{}, false
	}
	if below := lines[i+1].toks; len(below) < 2 || below[0].col < head[0].col+0.9 {
		return structure{}, false
	}
	var over headAbove
	for _, n := range d.names(head) {
		if n.used == len(head) && n.bag != "" && n.cost <= sureLabelCost {
			over = headAbove{n.bag, n.unit, n.cost, head}
		}
	}
	if over.bag == "" {
		return structure{}, false
	}
	s := structure{worth: float64(len(head)) * freeWorth, lines: 1}
	completed := 0
	d.over = over
	defer func() { d.over = headAbove{} }()
	for _, l := range lines[i+1:] {
		if l.rule || l.head || len(l.toks) < 2 || l.toks[0].col < head[0].col+0.9 {
			break
		}
		facts, worth := d.scanAnew(k, l.toks)
		if len(facts) == 0 || worth <= 0 || !d.complete(facts, l.toks) {
			break
		}
		for _, f := range facts {
			if len(f.above) > 0 {
				completed++
			}
		}
		s.entries = append(s.entries, entry{facts: facts})
		s.worth, s.lines = s.worth+worth, s.lines+1
	}
	return s, completed > 0
}

// underHead tries a label below another as the rest of that: START below VOLUME. It
// reports whether the two together name a field and its value stands here.
func (s *scanner) underHead(i, j int, n name, marked bool, try *ways) bool {
	over := s.d.over
	bag := withBag(over.bag, n.bag)
	if n.unit == "" {
		n.unit = over.unit
	}
	field, spec, cost, ok := s.d.fieldOf(s.kind, bag, n.unit)
	if !ok || cost > 0 || isHeader(field) || spec.Type != record.Number && spec.Type != record.Time || bag == n.bag {
		return false
	}
	n.cost += over.cost
	try.field, try.above, try.offered = field, over.toks, false
	s.pair(i, j, n, field, marked, -0.4, try)
	try.field, try.above = "", nil
	return try.offered
}

// measuredUnderHead tries a word without weight below a label as what that is of: MEASURED
// -0.041 below LEAK RATE.
func (s *scanner) measuredUnderHead(i int, try *ways) {
	j := i
	for j < len(s.toks) && !s.toks[j].number && !s.toks[j].letter {
		if _, little := s.d.filler(s.toks[j]); !little {
			return
		}
		j++
	}
	if i == 0 && j > 0 && j < len(s.toks) {
		s.underHead(i, j, name{used: j, cost: 0.05}, s.toks[j-1].delim != 0, try)
	}
}
