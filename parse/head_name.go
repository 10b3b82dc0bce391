package parse

import "slices"

// nameCandidate are words that may be the site's name.
type nameCandidate struct {
	item   headItem
	line   int // among the lines of the head
	worth  int
	number bool // figures are part of it
}

// How much speaks for words as the site's name.
const (
	besideNumber = 4 // on the line of the site's number
	overAddress  = 4 // right above the address, or on its line
	nearNumber   = 3 // on the line above or below the site's number
	nearPrinted  = 2 // on the line above or below the time of printing
	leadsSlip    = 1 // the first words of the slip, or right below its title
)

// site finds the site's name among the words that are left.
func (r *headReader) site() {
	if r.out.site != nil {
		return
	}
	var all []nameCandidate
	first := true
	for i, l := range r.lines {
		if l.title {
			continue
		}
		for k, it := range l.items {
			if it.field != itemWords || r.d.wordsKind(it.toks) != wordsName || r.ofMoment(l, k) {
				continue
			}
			c := nameCandidate{item: it, line: i, worth: r.nameWorth(i)}
			for _, t := range it.toks {
				c.number = c.number || t.number
			}
			if first && !l.foot && (!l.under || r.d.title(r.d.lines[r.lines[max(i-1, 0)].at]).whole) {
				c.worth += leadsSlip
			}
			first = false
			if n := len(all) - 1; n >= 0 && r.setIn(all[n], c) {
				all[n].item.toks = append(all[n].item.toks[:len(all[n].item.toks):len(all[n].item.toks)], it.toks...)
				all[n].worth = max(all[n].worth, c.worth)
				r.taken[l.at] = true
				continue
			}
			all = append(all, c)
		}
	}
	if len(all) > 1 && all[0].line == 0 && all[1].line == 1 && r.together(0, 1) && all[0].worth == leadsSlip && all[1].worth == nearPrinted {
		all[0].worth += nearPrinted // the time stands below both, as below a name and its department
	}
	best := -1
	for i, c := range all {
		if c.worth > 0 && (best < 0 || c.worth > all[best].worth) {
			best = i
		}
	}
	if best < 0 && len(all) == 1 && r.apartAtFoot(all[0].line) {
		best = 0
	}
	if best < 0 && len(all) == 2 && r.together(all[0].line, all[1].line) && r.apartAtFoot(all[1].line) && r.parted(all[0].line) && len(r.lines[all[0].line].items) == 1 {
		best = 0 // a name over its place, below the records
		r.take(&r.out.address, "address", all[1].item)
		r.out.address.weak = true
	}
	if best < 0 {
		return
	}
	c := all[best]
	for i, o := range all {
		if i != best && (o.worth >= c.worth-1 || r.together(o.line, c.line)) && !r.goesOn(c, o) {
			r.out.guessed = true // another line could be the name
		}
	}
	alone := len(all) == 1 && r.overTitle(c.line)
	r.out.guessed = r.out.guessed || c.number || c.worth <= leadsSlip && !alone
	for _, o := range all {
		if r.goesOn(c, o) {
			c.item.toks = append(c.item.toks[:len(c.item.toks):len(c.item.toks)], o.item.toks...)
			break
		}
	}
	c.item.toks = withoutLead(r.numberIn(c.item))
	r.take(&r.out.site, "site", c.item)
}

// apartAtFoot reports whether line k of the head is the last of the slip, says no more than a name
// and is parted from the records, with the line above it or not.
func (r *headReader) apartAtFoot(k int) bool {
	i, l := k, r.lines[k]
	for i+1 < len(r.lines) && r.lines[i+1].rule {
		i++ // the slip's last rule
	}
	return l.foot && i == len(r.lines)-1 && len(l.items) <= 2 && l.at > 0 && (r.parted(k) || k > 0 && r.above(k) != nil && r.parted(k-1)) && !slices.ContainsFunc(l.items, func(it headItem) bool {
		return it.field != itemOther && (it.field != itemWords || hasFigures(it.toks))
	})
}

// parted reports whether an empty line or a rule stands above line i of the head.
func (r *headReader) parted(i int) bool {
	at := r.lines[i].at
	return at > 0 && (r.d.lines[at].gap || r.d.lines[at-1].rule)
}

// ofMoment reports whether the words of item k of a line go with the date and time
// beside them: LOCAL TIME 12:30, RUN: ..., ... BY ATTENDANT.
func (r *headReader) ofMoment(l headLine, k int) bool {
	beside := func(o int) bool {
		if o < 0 || o >= len(l.items) || l.items[o].field != fieldMoment && l.items[o].field != "printed_at" {
			return false
		}
		second := max(k, o)
		toks := append(l.items[second].label[:len(l.items[second].label):len(l.items[second].label)], l.items[second].toks...)
		return len(toks) > 0 && toks[0].gap < wideGap && !toks[0].bar && !toks[0].open
	}
	toks := l.items[k].toks
	if beside(k + 1) {
		return toks[len(toks)-1].delim != 0 || len(toks) == 1
	}
	return beside(k-1) && toks[0].norm == "by"
}

// withoutLead takes the words off the front of a name that only say that it is one:
// REPORT FOR NAME.
func withoutLead(toks []token) []token {
	for len(toks) > 1 && (joint[toks[0].norm] || toks[0].norm == "report" || toks[0].norm == "for" || toks[0].norm == "from" || toks[0].norm == "printed" && joint[toks[1].norm]) {
		toks = toks[1:]
	}
	return toks
}

// goesOn reports whether a name goes on with the words that stand before the
// address on the next line.
func (r *headReader) goesOn(c, o nameCandidate) bool {
	last, first := c.item.toks[len(c.item.toks)-1], o.item.toks[0]
	return o.line == c.line+1 && r.next(c.line) != nil && last.at == r.lastOf(c.line).at && last.stop == 0 && r.d.full(r.d.lines[last.line]) &&
		first.at == r.d.lines[first.line].toks[0].at && o.item.toks[len(o.item.toks)-1].stop == ',' && r.out.address != nil && r.out.address.read.toks[0].line == first.line
}

// setIn reports whether the words o stand alone on the line below the words c and
// are set in, or c ends in an "and": the name goes on there. Lines that are set in
// because all are centred do not count.
func (r *headReader) setIn(c, o nameCandidate) bool {
	last, first := c.item.toks[len(c.item.toks)-1], o.item.toks[0]
	if o.line != c.line+1 || r.d.lines[first.line].gap || r.next(c.line) == nil || last.at != r.lastOf(c.line).at || last.stop != 0 || len(r.lines[o.line].items) != 1 {
		return false
	}
	a, b := r.d.lines[last.line].toks[0].col, first.col
	middle := a + last.end - b - r.lastOf(o.line).end
	centred := middle > -2.5 && middle < 2.5
	return last.norm == "&" || last.norm == "and" || b >= a+0.9 && b <= a+6 && !centred
}

// numberIn takes the figures before a name, or behind it and the word for a
// number, for the site's number, which is a guess: they may be part of the name.
// It returns the rest.
func (r *headReader) numberIn(it headItem) []token {
	toks := it.toks
	n := len(toks) - 1
	if n < 1 || r.out.number != nil {
		return toks
	}
	num := it
	switch {
	case toks[0].number && plainNumber(toks[0]) && toks[0].stop == 0:
		num.toks, toks = toks[:1], toks[1:]
	case n > 1 && r.d.numberWord(toks[0]) && plainNumber(toks[1]) && toks[1].stop == 0:
		num.toks, toks = toks[1:2], toks[2:]
	case n > 1 && r.d.numberWord(toks[n-1]) && plainNumber(toks[n]):
		num.toks, toks = toks[n:], toks[:n-1]
	default:
		return toks
	}
	asNumber(&num)
	r.take(&r.out.number, "site_number", num)
	r.out.number.weak = true
	return toks
}

// overTitle reports whether line i of the head is the first of the slip and stands
// above its title.
func (r *headReader) overTitle(i int) bool {
	if l := r.lines[i]; l.under || l.foot {
		return false
	}
	for k, o := range r.lines {
		if !o.foot && o.title {
			return k > i
		}
	}
	return false
}

// together reports whether two lines of the head stand in one block.
func (r *headReader) together(a, b int) bool {
	for i := min(a, b); i < max(a, b); i++ {
		if r.next(i) == nil || r.lines[i].foot != r.lines[i+1].foot {
			return false
		}
	}
	return true
}

// nameWorth says how much speaks for line i of the head to hold the site's name.
func (r *headReader) nameWorth(i int) int {
	worth := 0
	here := r.lines[i].at
	if f := r.out.address; f != nil {
		switch at := f.read.toks[0].line; {
		case at == here, at == here+1 && r.next(i) != nil:
			worth += overAddress
		}
	}
	if f := r.out.number; f != nil {
		switch at := f.read.toks[0].line; {
		case at == here:
			worth += besideNumber
		case at == here+1 && r.next(i) != nil, at == here-1 && r.above(i) != nil:
			worth += nearNumber
		}
	}
	for _, l := range []*headLine{r.next(i), r.above(i), &r.lines[i]} {
		if l == nil {
			continue
		}
		for _, it := range l.items {
			if it.field == "printed_at" || it.field == fieldMoment && it.read.hasDate() && (!l.foot || r.opens(i)) {
				return worth + nearPrinted
			}
		}
	}
	return worth
}

// closing reports whether line i of the head is no more than a usual closing line:
// the records end above it.
func (r *headReader) closing(i int) bool {
	for _, it := range r.lines[i].items {
		if it.field != itemOther {
			return false
		}
	}
	return len(r.lines[i].items) > 0
}

// opens reports whether a rule or the slip's edge stands above the block of line
// i of the head: it does not go on with the records.
func (r *headReader) opens(i int) bool {
	for i > 0 && r.above(i) != nil {
		if i--; r.closing(i) {
			return true
		}
	}
	return r.lines[i].at == 0 || i > 0 && r.lines[i-1].at == r.lines[i].at-1 && (r.lines[i-1].rule || r.lines[i-1].title)
}
