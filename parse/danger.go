package parse

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// part is a section as it was read: its drafts point to it.
type part struct {
	section
	left []int // lines that no structure took
}

// unread is a number that was read well and that nothing holds. What it can do to a
// field depends on where the two stand: it may be a value that was passed over, the rest
// of one, or the number of a thing whose name was not understood.
type unread struct {
	token
	row      int  // its line
	first    bool // nothing that has a place stands before it on its line
	labelled bool // words of its own stand right before it
	names    bool // it may be the number of a tank, line or sensor
	dated    bool // it is part of a date or time of day
	alone    bool // no fact stands on its line
}

// dangers marks the facts whose place something that was not understood calls in
// question. A number with a label of its own takes no other label's value; one below the
// last record or above the first name harms nothing; one in the line of a fact, right
// below it or between it and the name of its thing may.
func (d *doc) dangers(drafts []*draft, h *head) {
	placed := d.newPlaces()
	for _, dr := range drafts {
		markAll(placed, dr.facts)
		markAll(placed, dr.again)
	}
	for _, f := range slices.Concat([]*fact{h.site, h.number, h.address, h.printed}, pointers(h.others), pointers(d.headFacts)) {
		if f != nil {
			markPlaced(placed, f)
		}
	}
	rows := d.rowsOfTokens()
	done := map[*part][]unread{}
	columns := columnEdges(drafts)
	for _, dr := range drafts {
		if dr.part == nil {
			continue
		}
		left, ok := done[dr.part]
		if !ok {
			left = d.unreadNumbers(dr.part, placed)
			done[dr.part] = left
			for _, u := range left {
				columns[noColumn] = append(columns[noColumn], u.token)
			}
		}
		p := placing{d: d, dr: dr, rows: rows, placed: placed, name: ownPlace(dr)}
		p.markColumns(columns)
		p.mark(append(left[:len(left):len(left)], p.clocks()...))
		p.markGoingOn()
		p.markBehind()
		p.markApart()
		p.markStates(dr.part)
		p.markMethods()
		p.markParted()
		p.markNumbers()
		p.markClass()
		p.markInherited()
		p.markBelow(d.strangeLines(dr.part, placed))
	}
}

func pointers(facts []fact) []*fact {
	var out []*fact
	for i := range facts {
		out = append(out, &facts[i])
	}
	return out
}

// rowsOfTokens says for every token in which line it stands now.
func (d *doc) rowsOfTokens() map[int]int {
	out := make(map[int]int, len(d.places))
	for i, l := range d.lines {
		for _, t := range l.toks {
			out[t.at] = i
		}
	}
	return out
}

// unreadNumbers lists the numbers of a section that nothing holds.
func (d *doc) unreadNumbers(s *part, placed placeSet) []unread {
	var out []unread
	for i := s.from; i < s.to; i++ {
		l := d.lines[i]
		noted := slices.ContainsFunc(l.toks, func(t token) bool { return placed.has(t.at) })
		if l.head || i == s.from && s.title.kind != "" || !noted && (d.note(l.toks) || d.totals(l.toks)) {
			continue
		}
		dated := d.datedTokens(l.toks)
		for k, t := range l.toks {
			if t.blank || !strings.ContainsAny(t.text, "0123456789") || placed.has(t.at) || t.conf < clearPrint || t.ordinal || d.inPhrase(l.toks, k) || counted(l.toks, k) || !noted && unreadLabel(l.toks[:k]) {
				continue
			}
			u := unread{token: t, row: i, first: !slices.ContainsFunc(l.toks[:k], func(t token) bool { return placed.has(t.at) }), dated: dated[t.at], alone: !noted}
			u.labelled = d.ownLabel(l.toks, k, placed)
			u.names = !u.dated && d.maybeName(l.toks, k)
			out = append(out, u)
		}
	}
	return out
}

// datedTokens are the places of the tokens that are part of a date or time of day.
func (d *doc) datedTokens(toks []token) map[int]bool {
	out := map[int]bool{}
	for i := 0; i < len(toks); {
		r, ok := d.readTime(toks[i:], false)
		if !ok || !r.hasDate() && !strings.Contains(textOf(r.toks), ":") {
			i++
			continue
		}
		for _, t := range toks[i : i+r.used] {
			out[t.at] = true
		}
		i += r.used
	}
	return out
}

// ownLabel reports whether words without a place stand right before number k, as the
// label of a value that no field is for: SER 004417.
func (d *doc) ownLabel(toks []token, k int, placed placeSet) bool {
	for i := k - 1; i >= 0; i-- {
		t := toks[i]
		switch {
		case placed.has(t.at) || t.number:
			return false
		case t.blank || d.littleWord(t) || d.isUnit(t) && !d.spelt(t, lexicon.Part):
			continue
		}
		return strings.ContainsAny(t.text, letters)
	}
	return false
}

// maybeName reports whether number k may be that of a tank, line or sensor: it is short
// and whole, and no unit or word of something else stands with it.
func (d *doc) maybeName(toks []token, k int) bool {
	t := toks[k]
	prefix, number, _, ok := t.ident()
	if !ok || len(number) > longestNumber || prefix == "" && len(strings.Trim(t.text, "#.:()[]-")) > longestNumber || k > 0 && d.isUnit(toks[k-1]) && !d.spelt(toks[k-1], lexicon.Device) {
		return false
	}
	if _, _, used := d.unitAfter(toks[k+1:]); used > 0 || k > 0 && d.spelt(toks[k-1], lexicon.Apparatus) {
		return false
	}
	return true
}

// ownPlace is where a draft's own name ends; -1 when it has none or takes it from above.
func ownPlace(dr *draft) int {
	for _, f := range dr.facts {
		if n := len(f.read.toks); n > 0 && f.field == ownName(dr.kind) && !f.inherited {
			return f.read.toks[n-1].at
		}
	}
	return -1
}

// placing says where the facts of a draft stand.
type placing struct {
	d      *doc
	dr     *draft
	rows   map[int]int
	placed placeSet
	name   int // where its own name ends, -1 for none
}

// mark puts a danger on the facts that an unread number may change.
func (p *placing) mark(left []unread) {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if len(f.read.toks) == 0 || f.danger != "" {
			continue
		}
		for _, u := range left {
			if p.endangers(u, f) {
				f.danger = fmt.Sprintf("%q near it has no place in what was understood; the value may belong to something else", u.text)
				break
			}
		}
	}
}
