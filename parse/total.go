package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// totals reports whether a line only sums up those above it: TOTAL 7337 7403.
// It says nothing of any tank.
func (d *doc) totals(toks []token) bool {
	if len(toks) < 2 {
		return false
	}
	if d.manifolded(toks) {
		return true
	}
	n := 0
	for n < len(toks) && n < 3 && !toks[n].number && toks[n].delim == 0 && (d.isTotal(toks[n]) || d.noun(toks[n])) {
		n++
	}
	if n < len(toks) && !toks[n].number && d.isTotal(toks[n]) {
		n++ // the one with the mark
	}
	total := false
	for _, t := range toks[:n] {
		total = total || d.isTotal(t)
	}
	if !total {
		return false
	}
	for _, t := range toks[n:] {
		if !t.number && !t.blank && !d.isUnit(t) {
			return false
		}
	}
	return n < len(toks)
}

// isTotal reports whether a word is one for a sum.
func (d *doc) isTotal(t token) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Cost == 0 && h.Sense == lexicon.Part && h.Code == "quantity" {
			return true
		}
	}
	return false
}

// totalsOf reports whether a line that looks like a sum is a labelled field of a
// kind, as TOTAL SALES is of a reconciliation.
func (d *doc) totalsOf(k record.Kind, toks []token) bool {
	for _, n := range d.names(toks) {
		if f, ok := d.field(k, n.bag); ok && n.bag != bagOf("quantity") && !isHeader(f) {
			return true
		}
	}
	return false
}
