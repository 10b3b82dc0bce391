package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// holding marks the column of tanks or lines of a table in which no other is for what they hold:
// that may stand behind the names.
//
//	ENDED           TANK            RESULT
//	03/14/25 05:00  T1 REGULAR      PASS
func holding(k record.Kind, cols []column) {
	own := ownName(k)
	if own != "tank" && own != "line" {
		return
	}
	at := -1
	for i, c := range cols {
		switch c.field {
		case "product":
			return
		case own:
			at = i
		}
	}
	if at >= 0 && len(cols) > 1 {
		cols[at].holds = true
	}
}

// fillHolding offers a name and the product behind it in one cell from token t on.
func (d *doc) fillHolding(c column, toks []token, t int, offer func(reading, float64)) {
	const most = 5 // words of a product and its name
	end := cellEnd(toks, t)
	n := end - t
	if !starts(toks, t) && math.Abs(toks[t].col-c.l) > alignSlack || n < 2 || n > most {
		return
	}
	r, ok := d.readIdent(c.field, toks[t:t+1])
	if !ok || r.used != 1 {
		return
	}
	if !d.onlyGrade(toks[t+1 : end]) {
		return
	}
	fit := align(c, toks[t:end])
	if fit <= -1 {
		return
	}
	r.used = n
	offer(r, float64(n)+0.5+fit-(r.cost+float64(r.fixed)*0.3)*misreadCost)
}

// onlyGrade reports whether words are a product, most of them by themselves, and no time.
func (d *doc) onlyGrade(toks []token) bool {
	s := scanner{d: d}
	_, cost, ok := d.grade(toks)
	return (ok && cost == 0 || d.endsInGrade(toks)) && toks[0].line == toks[len(toks)-1].line && s.mostlyGrade(toks) && !hasMoment(d, toks)
}

// onlyHolds reports whether a row says no more than what tanks or lines hold: it is no row but
// of a legend.
func onlyHolds(k record.Kind, cols []column, facts []fact) bool {
	if !slices.ContainsFunc(cols, func(c column) bool { return c.holds }) {
		return false
	}
	return !slices.ContainsFunc(facts, func(f fact) bool { return f.field != ownName(k) && f.field != "product" })
}
