package parse

import (
	"strings"

	"tankroll/parse/lexicon"
)

// spanOfTime reports whether tokens begin with a number of days, weeks, months or years, as a
// request to keep a slip says for how long: 12 MONTHS, 3 YRS.
func spanOfTime(toks []token) bool {
	if len(toks) < 2 || !plainDigits(toks[0].text, 1, 3) {
		return false
	}
	switch strings.TrimSuffix(toks[1].norm, "s") {
	case "day", "week", "month", "year", "wk", "mth", "mo", "yr":
		return true
	}
	return false
}

// makeByPage reports whether a line is a page number in a cell of its own beside cells that each
// begin with a word for the console's make, which then needs no figure that no equipment has:
// MODEL 3E     PAGE 1/1.
func (d *doc) makeByPage(toks []token) bool {
	pages, makes := 0, 0
	for c := range eachCell(toks) {
		switch code, cost, n := d.code(lexicon.Apparatus, c); {
		case d.pageOnly(c):
			pages++
		case n > 0 && cost == 0 && code == "make" && n < len(c) && len(c) <= n+2 && hasDigit(c[n].text):
			makes++
		default:
			return false
		}
	}
	return pages == 1 && makes > 0
}
