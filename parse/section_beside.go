package parse

import (
	"math"

	"tankroll/parse/lexicon"
)

// withoutSite leaves out what the last cells of a title say of the site, with its label:
//
//	title = words far-gap "site" number      LINE TEST SUMMARY          Site 412
//
// A printer that has one line for the title and the site's number sets them at its ends.
func (d *doc) withoutSite(toks []token) []token {
	for i := cellEnd(toks, 0); i < len(toks); i = cellEnd(toks, i) {
		if it, n := d.siteItem(toks, i); n > 0 && i+n == len(toks) && it.firm && len(it.label) > 0 {
			return toks[:i]
		}
	}
	return toks
}

// withoutUnits leaves out what stands in brackets at the end of a title and begins with a
// unit: TANK LIMITS (gal, water in inches).
func (d *doc) withoutUnits(toks []token) []token {
	for i := cellEnd(toks, 0); i < len(toks); i = cellEnd(toks, i) {
		if d.unitsAlone(toks[i:]) {
			return toks[:i] // INVENTORY            gal   in   deg F
		}
	}
	for i := 1; i < len(toks); i++ {
		if !toks[i].open {
			continue
		}
		if _, cost, n := d.code(lexicon.Unit, toks[i:]); n > 0 && cost == 0 && toks[len(toks)-1].shut {
			return toks[:i]
		}
		return toks
	}
	return toks
}

// headsFigures reports whether a line is several labels with a figure below each and
// nothing else there: columns of which one may be named as a title is.
//
//	Low product  Delivery needed
//	        600            2,000
func (d *doc) headsFigures(i int) bool {
	if i+1 >= len(d.lines) || d.lines[i+1].gap || cellCount(d.lines[i].toks) < 2 || hasFigures(d.lines[i].toks) {
		return false
	}
	upper, lower := cells(d.lines[i].toks), cells(d.lines[i+1].toks)
	if len(upper) != len(lower) {
		return false
	}
	for k, c := range lower {
		u := upper[k]
		if !c[0].number || len(c) > 2 || len(c) == 2 && !d.isUnit(c[1]) || math.Min(c[len(c)-1].end, u[len(u)-1].end) <= math.Max(c[0].col, u[0].col) {
			return false
		}
	}
	return true
}

// withinHeading reports whether a line is one of the lines of a heading: labels without figures in
// cells below others, and a row of figures below it.
func (d *doc) withinHeading(i int) bool {
	const fewest = 2 // cells, and figures of a row
	if i == 0 || d.lines[i].gap || d.lines[i-1].rule || d.lines[i-1].head || len(d.lines[i].toks) < fewest || hasFigures(d.lines[i].toks) || hasFigures(d.lines[i-1].toks) || d.saysResult(d.lines[i-1].toks) ||
		cellCount(d.lines[i-1].toks) < fewest || d.title(d.lines[i]).kind == "" || !d.isHeading(d.lines[i-1].toks) || !d.isHeading(d.lines[i].toks) {
		return false
	}
	j := skipRules(d.lines, i+1)
	if j < len(d.lines) && !d.lines[j].gap && d.isHeading(d.lines[j].toks) {
		j = skipRules(d.lines, j+1)
	}
	figures := 0
	if j < len(d.lines) {
		for _, t := range d.lines[j].toks {
			if hasDigit(t.text) {
				figures++
			}
		}
	}
	return figures >= fewest
}
