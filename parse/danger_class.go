package parse

import (
	"fmt"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// markMethods puts a danger on how a tank was tested where its line speaks of another way
// as well: STATIC AND CONTINUOUS TESTS.
func (p *placing) markMethods() {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if f.field != "method" && f.field != fieldType || len(f.read.toks) == 0 || f.read.class != "" {
			continue
		}
		for _, t := range p.d.lines[p.rows[f.read.toks[0].at]].toks {
			if !p.placed.has(t.at) && p.d.spelt(t, lexicon.Method) {
				f.danger = fmt.Sprintf("%q beside it speaks of another way to test", t.text)
			}
		}
	}
}

// markClass puts a danger on the rate that a record was tested for where another is named
// on a line between it and the record.
func (p *placing) markClass() {
	begins, ok := p.rows[p.begins()]
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if !ok || f.read.class == "" || len(f.read.toks) == 0 || f.danger != "" {
			continue
		}
		for row := p.rows[f.read.toks[0].at] + 1; row < begins; row++ {
			l := p.d.lines[row]
			if c := p.d.namesClass(p.dr.kind, l.toks); c != "" && c != f.read.class {
				if p.d.namesThreshold(p.dr.kind, l.toks) {
					continue
				}
				f.danger = fmt.Sprintf("a line between it and the record speaks of the %s gal/h test", c)
			} else if c == "" && f.inherited && !l.rule && !l.head && len(l.toks) > 0 && !p.holds(l) && !p.d.courtesy(l.toks) {
				f.danger = "taken from above; a line between could not be read and may name another"
			}
		}
		p.markClassWithin(f)
	}
}

// markClassWithin doubts a rate among whose passes a line names another that nothing
// took: it may head those below it.
func (p *placing) markClassWithin(f *fact) {
	for row, last := p.rows[f.read.toks[0].at]+1, p.lastRow(); row < last && f.danger == ""; row++ {
		toks := p.d.lines[row].toks
		for i, t := range toks {
			if p.placed.has(t.at) {
				continue
			}
			if r, ok := p.d.readClass(p.dr.kind, toks[i:], ""); ok && r.class != f.read.class && (!t.number || r.unitFrom == unitBeside) {
				f.danger = fmt.Sprintf("a line among its passes speaks of the %s gal/h test", r.class)
			}
		}
	}
}

// lastRow is the last line that holds something of the record's own.
func (p *placing) lastRow() int {
	last := 0
	for _, o := range slices.Concat(p.dr.facts, p.dr.again) {
		if !o.inherited && len(o.read.toks) > 0 {
			last = max(last, p.rows[o.read.toks[0].at])
		}
	}
	return last
}

// namesThreshold reports whether a line is the rate that a test fails by and its label, which
// may be as large as the rate that another test is for: THRESHOLD 0.1 GAL/H.
func (d *doc) namesThreshold(k record.Kind, toks []token) bool {
	facts, _ := d.scan(k, toks)
	return d.complete(facts, toks) && !slices.ContainsFunc(facts, func(f fact) bool {
		return f.field != "threshold" || len(f.label) == 0 || f.cost > sureLabelCost
	})
}

// namesClass is the rate of a test that a line names with its unit or in a word; "" for
// none.
func (d *doc) namesClass(k record.Kind, toks []token) string {
	for i := range toks {
		if r, ok := d.readClass(k, toks[i:], ""); ok && (!toks[i].number || r.unitFrom == unitBeside) {
			return r.class
		}
	}
	return ""
}
