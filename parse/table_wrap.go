package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// rowOver fits a line and what goes over from it to the next to the columns:
//
//	LINE  TEST  PASS  DATE AND TIME
//	1     3.0   LAST
//	  19:35 01/17/2026
//
// The next line must be set in. It gives 2 lines where both together fit better than the
// first alone, which is worth so much when it fits.
func (d *doc) rowOver(k record.Kind, cols []column, lines []line, i int, alone float64, fits bool) ([]fact, float64, bool) {
	if i+1 >= len(lines) || len(lines[i].toks) == 0 || len(cols) < 2 {
		return nil, 0, false
	}
	next := lines[i+1]
	if next.rule || next.head || next.gap || len(next.toks) == 0 || next.toks[0].col < lines[i].toks[0].col+0.9 {
		return nil, 0, false
	}
	toks := lines[i].toks
	last := toks[len(toks)-1]
	under := underColumn(cols, next.toks[0])
	if !under && !hasFigures(toks) {
		return nil, 0, false // a label
	}
	if fits && last.end > cols[len(cols)-1].r+1.5 && !d.clockMissing(toks) {
		return nil, 0, false // the row is whole
	}
	at := last.end + 1
	if last.end < cols[len(cols)-1].l-0.6 && !d.clockMissing(toks) {
		at = cols[len(cols)-1].l
	}
	if under {
		at = max(at, next.toks[0].col)
	}
	shift := at - next.toks[0].col
	joined := append([]token(nil), toks...)
	for n, t := range next.toks {
		t.col, t.end, t.edge = t.col+shift, t.end+shift, false
		if n == 0 {
			t.gap, t.line, t.edge = at-last.end, last.line, under
		} else {
			t.line = last.line
		}
		joined = append(joined, t)
	}
	facts, worth, ok := d.row(k, cols, joined)
	if !ok || fits && worth < alone+0.5 {
		return nil, 0, false
	}
	over := false // something of the next line is read
	for _, f := range facts {
		for _, t := range f.read.toks {
			over = over || t.at == next.toks[0].at
		}
	}
	return facts, worth, over
}

// clockMissing reports whether a line ends with a date whose time of day may follow.
func (d *doc) clockMissing(toks []token) bool {
	for i := max(0, len(toks)-5); i < len(toks); i++ {
		if r, ok := d.readTime(toks[i:], false); ok && r.hasDate() && !r.hasClock() {
			rest := toks[i+r.used:]
			return len(rest) == 0 || len(rest) == 1 && (joint[rest[0].norm] || rest[0].blank)
		}
	}
	return false
}

// underColumn reports whether a token begins where a column but the first does: the text of the
// cell before it had no room beside it.
func underColumn(cols []column, t token) bool {
	const slack = 0.6
	return slices.ContainsFunc(cols[1:], func(c column) bool { return c.toks[0].gap >= wideGap && math.Abs(c.l-t.col) < slack })
}
