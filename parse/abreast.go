package parse

import (
	"fmt"
	"slices"

	"tankroll/record"
)

// maxAbreast bounds how many lines a group of blocks side by side may have.
const maxAbreast = 40

// abreast reads blocks that stand side by side, one for each thing named in
// their first line:
//
//	abreast = name name { name } newline { part part { part } newline }
//	        | heading heading newline { row row newline }
//
// Each block is read by itself, as if the others were not there.
func (d *doc) abreast(k record.Kind, lines []line, i int) (structure, bool) {
	bounds := d.namesAbreast(k, lines[i].toks)
	rows := false
	if len(bounds) < 2 {
		bounds = d.headsTwice(lines[i].toks)
		rows = true
	}
	if d.inside || len(bounds) < 2 {
		return structure{}, false
	}
	parts := make([][]line, len(bounds))
	n := 0
	for ; i+n < len(lines) && n < maxAbreast; n++ {
		l := lines[i+n]
		if l.head || n > 0 && d.title(l).kind != "" {
			break
		}
		cut, ok := splitLine(l, bounds)
		if !ok {
			break
		}
		for p := range parts {
			parts[p] = append(parts[p], cut[p])
		}
	}
	if n < 2 {
		return structure{}, false
	}
	d.inside = true
	defer func() { d.inside = false }()
	s := structure{lines: n}
	for _, part := range parts {
		r := d.readLines(k, part, false)
		s.worth += r.worth
		s.entries = append(s.entries, r.entries...)
		rows = rows && !slices.ContainsFunc(r.entries, func(e entry) bool { return !e.row || len(e.facts) == 0 || len(e.facts[0].read.toks) == 0 })
	}
	if rows { // as they are printed
		slices.SortStableFunc(s.entries, func(a, b entry) int { return a.facts[0].read.toks[0].line - b.facts[0].read.toks[0].line })
	}
	return s, true
}

// headsTwice gives the left edges of the halves of a heading whose second half says the same as
// the first: NO PLACE STATE   NO PLACE STATE.
func (d *doc) headsTwice(toks []token) []float64 {
	n := len(toks) / 2
	if n < 2 || len(toks)%2 != 0 || !starts(toks, n) || !d.isHeading(toks) || phraseOf(toks[:n]) != phraseOf(toks[n:]) {
		return nil
	}
	return []float64{toks[0].col, toks[n].col}
}

// namesAbreast gives the left edges of the cells of a line that name a thing each; a cell between
// them may hold no more than its product.
func (d *doc) namesAbreast(k record.Kind, toks []token) []float64 {
	var out []float64
	own := ownName(k)
	for c := range eachCell(toks) {
		facts, worth := d.scan(k, c)
		if len(out) > 0 && len(c) > 0 && (len(facts) == 0 || facts[0].field != own) {
			if _, cost, known := d.grade(c); known && cost == 0 {
				continue // TANK 1   NO LEAD      TANK 2   DIESEL
			}
		}
		if worth <= 0 || len(facts) == 0 || facts[0].field != own || len(facts[0].label) == 0 && facts[0].weak {
			return nil
		}
		out = append(out, c[0].col)
	}
	return out
}

// splitLine cuts a line at the left edges of the blocks; not ok when a word
// goes over an edge.
func splitLine(l line, bounds []float64) ([]line, bool) {
	const slack = 1.2 // blocks are set in by as much
	out := make([]line, len(bounds))
	for p := range out {
		out[p] = line{rule: l.rule, wide: l.wide}
	}
	for _, t := range l.toks {
		p := len(bounds) - 1
		for p > 0 && t.col < bounds[p]-slack {
			p--
		}
		if p+1 < len(bounds) && t.end > bounds[p+1] {
			return nil, false
		}
		out[p].toks = append(out[p].toks, t)
	}
	return out, true
}

// abreast reports whether a line holds one field twice: blocks that stand side
// by side.
func abreast(facts []fact) bool {
	for i := range facts {
		f := &facts[i]
		if f.read.hasTime() || f.field == "" || f.field == fieldLoose || f.field == "event" {
			continue
		}
		for j := range i {
			if o := &facts[j]; o.field == f.field && !o.read.hasTime() && fmt.Sprint(o.read.value) != fmt.Sprint(f.read.value) {
				return true
			}
		}
	}
	return false
}
