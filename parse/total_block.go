package parse

import (
	"slices"

	"tankroll/record"
)

// manifolded reports whether a line sums up tanks that are joined by pipes, which are each
// a record of their own: MANIFOLD 1-2   37217  37808.
func (d *doc) manifolded(toks []token) bool {
	if len(toks) < 2 || !manifoldWord(toks[0]) {
		return false
	}
	n := 1
	for n < len(toks) && !toks[n].number && (d.isDevice(toks[n]) || d.isTotal(toks[n]) || toks[n].norm == "tanks" || toks[n].norm == "set") {
		n++
	}
	if n < len(toks) && !starts(toks, n) && hasDigit(toks[n].text) {
		n++ // 1-2
	}
	figures := 0
	for _, t := range toks[n:] {
		if !t.number && !t.blank && !d.isUnit(t) {
			return false
		}
		if t.number {
			figures++
		}
	}
	return figures > 0
}

// manifoldWord reports whether a word says that tanks are joined.
func manifoldWord(t token) bool {
	switch t.norm {
	case "manifold", "manifolded", "manif", "combined", "siphon", "siphoned":
		return true
	}
	return false
}

// totalsBelow reads a heading of sums and the lines of products and amounts below it, which
// say nothing of any one tank:
//
//	totals = heading newline { { product amount [ unit ] } }
//
//	PRODUCT TOTALS (GAL)
//	UNLEADED    7455    PREMIUM     2610
func (d *doc) totalsBelow(k record.Kind, lines []line, i int) int {
	toks := lines[i].toks
	if k != record.Inventory || len(toks) > 4 || hasFigures(toks) || !slices.ContainsFunc(toks, d.isTotal) {
		return 0
	}
	for _, t := range toks {
		if !d.isTotal(t) && !d.tradeWord(t) && t.norm != "by" {
			return 0
		}
	}
	n := 1
	for i+n < len(lines) && (d.productAmounts(lines[i+n].toks) || lines[i+n].rule && i+n+1 < len(lines) && d.productAmounts(lines[i+n+1].toks)) {
		n++
	}
	if n == 1 {
		return 0
	}
	return n
}

// productAmounts reports whether a line is products, each with its amount, and no more.
func (d *doc) productAmounts(toks []token) bool {
	from, some := 0, false
	for i := 0; i < len(toks); i++ {
		if !toks[i].number || i == from {
			continue
		}
		if i+1 < len(toks) && !starts(toks, i+1) && !d.isUnit(toks[i+1]) {
			continue // PREMIUM 98 6410
		}
		if _, cost, ok := d.grade(toks[from:i]); !ok || cost > 0 || d.isDevice(toks[from]) {
			return false
		}
		for i+1 < len(toks) && d.isUnit(toks[i+1]) {
			i++
		}
		from, some = i+1, true
	}
	return some && from == len(toks)
}
