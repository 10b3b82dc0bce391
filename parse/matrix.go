package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// matrix reads a table whose labels stand at the left, with a column for each
// tank, or columns whose labels complete those at the left, as start and end:
//
//	matrix = [ { thing | label } ] { label value value { value } }
//
// The things may also stand in the first labelled line: TANK 1 2 3.
func (d *doc) matrix(k record.Kind, lines []line, i int) (structure, bool) {
	if s, ok := d.productsAbove(k, lines, i); ok {
		return s, true
	}
	heads, n := d.matrixHead(k, lines[i].toks)
	if n < 2 {
		if named := d.numberHeads(k, lines[i].toks); d.productsBelow(lines, i, named) > i {
			heads, n = named, len(named)
		} else if named := d.bareHeads(k, lines, i); len(named) > 1 {
			heads, n = named, len(named)
		}
	}
	next := d.productsBelow(lines, i, heads)
	if next > i {
		if _, ok := d.productsGoOn(lines, next+1, d.withProducts(k, heads, lines[next].toks)); ok {
			next++
		}
	}
	if !d.rowSoon(k, lines, max(i, next), heads) {
		return structure{}, false
	}
	if n < 2 {
		heads = nil
	}
	best, ok := d.matrixUnder(k, lines, i, heads, n)
	if n < 2 {
		return best, ok
	}
	if s, fits := d.matrixUnder(k, lines, i, nil, 0); fits && (!ok || s.worth > best.worth) {
		return s, true // what the columns are stands in the first labelled line
	}
	return best, ok
}

// headsInTitle reads a matrix whose title stands in the line of the heads of its columns:
//
//	TANK LEVELS        T1      T2
//	GROSS GAL        6102    3377
func (d *doc) headsInTitle(k record.Kind, lines []line, i int) (structure, bool) {
	toks := lines[i].toks
	n := cellEndOf(toks)
	if n == len(toks) || d.title(line{toks: toks[:n]}).kind == "" {
		return structure{}, false
	}
	heads, found := d.matrixHead(k, toks[n:])
	if found < 2 {
		under := slices.Clone(lines)
		under[i].toks = toks[n:]
		heads = d.bareHeads(k, under, i) // ON HAND   REG   PLUS   DSL
		found = len(heads)
	}
	if found < 2 || found != cellCount(toks[n:]) || heads[0].fact == nil && heads[0].product == nil || !d.rowBelow(k, lines, i) {
		return structure{}, false
	}
	return d.matrixUnder(k, lines, i, heads, found)
}

// rowBelow reports whether the next line that is no rule may be a row of a matrix: one
// must stand there, below the heads of the columns or below the first row.
func (d *doc) rowBelow(k record.Kind, lines []line, i int) bool {
	for j, l := range lines[i+1:] {
		if l.rule {
			continue
		}
		if _, ok := d.leadOfRows(k, lines, i+1+j); ok && j < 3 {
			continue // VOLUMES, L
		}
		if k == record.LineSummary {
			if _, ok := d.classHead(k, l.toks); ok {
				continue
			}
			if p, ok := d.passHeading(l.toks[:cellEndOf(l.toks)]); ok && len(p) == 1 && p[0].class != nil && len(l.toks) >= fewestInRow {
				return true
			}
			if r, ok := d.readClass(k, l.toks, ""); ok && r.num.Decimals > 0 {
				l.toks = l.toks[r.used:] // 3.0 PASSES   19   18
			}
		}
		if len(l.toks) >= fewestInRow && d.isUnit(l.toks[0]) && l.toks[1].gap >= wideGap {
			return true // GAL   1050   13
		}
		return len(l.toks) >= fewestInRow && slices.ContainsFunc(d.names(l.toks), func(n name) bool { return leadsRow(n, l.toks) })
	}
	return false
}

// cellEndOf is where the first cell of a line ends, 0 for an empty line.
func cellEndOf(toks []token) int {
	if len(toks) == 0 {
		return 0
	}
	return cellEnd(toks, 0)
}

// fewestInRow are the tokens of a matrix row at least: a label and two values.
const fewestInRow = 3

// leadsRow reports whether a label is set off from what stands behind it, as from the
// values of its row.
func leadsRow(n name, toks []token) bool {
	return n.used < len(toks) && (toks[n.used].gap >= 1.5 || toks[n.used].bar || toks[n.used-1].delim != 0)
}

// leadsColumns are the fields that say what each column of a matrix is about.
var leadsColumns = map[string]bool{"tank": true, "line": true, "sensor": true, "test_rate": true, "test_class": true, fieldType: true}

// matrixUnder is matrix below the heads of its columns, n of them, or below none.
func (d *doc) matrixUnder(k record.Kind, lines []line, i int, heads []matrixHead, n int) (structure, bool) {
	first := i
	headWorth := 0.0
	if n >= 2 {
		first = i + 1
		headWorth = float64(len(lines[i].toks)) * freeWorth
		if at := d.productsBelow(lines, i, heads); at > i {
			heads, first = d.withProducts(k, heads, lines[at].toks), at+1
			if more, ok := d.productsGoOn(lines, first, heads); ok {
				heads, first = more, first+1
			}
			headWorth += float64(len(lines[at].toks)) * freeWorth
		}
	}
	var rows []matrixRow
	strange := 0.0  // the cost of rows that were not understood
	var class *fact // of the rows below it
	var lead name   // a part of labels that stands above the rows
	leadCol := 0.0
	bounds := boundsOf(heads)
	j, passed, end := first, 0, 0 // end is behind the last row
	for ; j < len(lines) && len(rows) < maxMatrixRows; j++ {
		if lines[j].rule {
			continue
		}
		if f, ok := d.classHead(k, lines[j].toks); ok && (n >= 2 || len(rows) > 0) {
			head := f
			class = &head
			strange -= float64(len(lines[j].toks)) * wordWorth
			continue
		}
		if n := len(rows); n > 0 && d.clocksUnder(&rows[n-1], lines[j]) {
			strange -= float64(len(lines[j].toks)) * wordWorth
			continue
		}
		if at, ok := d.leadOfRows(k, lines, j); ok && len(heads) > 0 && heads[0].fact != nil {
			lead, leadCol = at, lines[j].toks[0].col
			strange -= float64(len(lines[j].toks)) * wordWorth
			continue
		}
		if len(lines[j].toks) > 0 && lines[j].toks[0].col < leadCol+0.9 {
			lead = name{}
		}
		d.lead = lead
		r, ok := d.matrixRow(k, lines[j].toks, heads, bounds)
		d.lead = name{}
		if !ok && len(rows) > 0 {
			if r, ok = d.brokenLabel(k, lines, j, heads, bounds); ok {
				j++
			}
		}
		if ok && r.class == nil {
			r.class = class
		}
		if named := n >= 2 || len(rows) > 1 && leadsColumns[rows[0].field]; !ok && named && passed < maxStrange && d.strangeRow(k, lines[j], bounds, heads) {
			strange += leaveCost * float64(len(lines[j].toks))
			passed++
			continue // a row of something that no field is for, or a line that was not understood
		}
		if !ok || len(rows) > 0 && (!rows[0].like(r) || leadsColumns[rows[0].field] && r.field == rows[0].field) {
			break
		}
		if rows = append(rows, r); len(bounds) == 0 {
			bounds = r.bounds()
		}
		end, passed = j+1, 0
	}
	for j > first && (lines[j-1].rule || j > end && passed > 0) {
		j--
	}
	if len(rows) < 2 || n < 2 && !leadsColumns[rows[0].field] {
		return structure{}, false
	}
	return d.matrixEntries(heads, rows, headWorth-strange, j-i), true
}

// rowSoon is rowBelow, where lines that were not understood may stand between the heads and the row.
func (d *doc) rowSoon(k record.Kind, lines []line, i int, heads []matrixHead) bool {
	if d.rowBelow(k, lines, i) {
		return true
	}
	if len(heads) < 2 {
		return false
	}
	bounds := boundsOf(heads)
	for n := 0; n <= maxStrange; n++ {
		if n > 0 && d.rowBelow(k, lines, i) {
			return true
		}
		i = skipRules(lines, i+1)
		if i >= len(lines) || !d.strangeRow(k, lines[i], bounds, heads) {
			break
		}
	}
	return false
}

// boundsOf are where the heads of columns stand.
func boundsOf(heads []matrixHead) []bound {
	var out []bound
	for _, h := range heads {
		out = append(out, bound{h.l, h.r})
	}
	return out
}

// maxStrange is how many lines that were not understood may stand together among the rows of a matrix.
const maxStrange = 2

// strangeRow reports whether a line among the rows of a matrix says nothing that is understood and
// may be passed over: a cell in each column, with words before them or none, or words alone that
// mean nothing. The heads of other columns and titles may not. Below a start and an end, what does
// not fit may end the matrix, so that there only words and a number in each column may.
func (d *doc) strangeRow(k record.Kind, l line, bounds []bound, heads []matrixHead) bool {
	if l.head || len(l.toks) == 0 || d.title(l).kind != "" {
		return false
	}
	cut := cellCount(l.toks)
	sides := len(heads) > 0 && heads[0].bag != ""
	if cut == 1 {
		return !sides && d.strangeLine(k, l)
	}
	if cut != len(bounds) && cut != len(bounds)+1 {
		return false
	}
	all := cells(l.toks)
	switch {
	case len(all) == len(bounds)+1 && !(sides && hasFigures(all[0])):
		all = all[1:]
	case len(all) != len(bounds) || sides:
		return false
	}
	if d.isHeading(l.toks) && !sides {
		return false
	}
	for i, c := range all {
		if sides && (len(c) != 1 || !c[0].number && !c[0].blank) || math.Min(c[len(c)-1].end, bounds[i].r) <= math.Max(c[0].col, bounds[i].l) {
			return false
		}
	}
	_, n := d.matrixHead(k, l.toks)
	return n < 2
}

// maxMatrixRows bounds the rows of a matrix: no record has more fields.
const maxMatrixRows = 24

// matrixHead finds what each column of a matrix stands for.
type matrixHead struct {
	l, r float64
	bag  string // the parts of labels: start, end, gross ...
	fact *fact  // the tank or line

	product *fact // that stands above or below it, nil for none
}

func (d *doc) matrixHead(k record.Kind, toks []token) ([]matrixHead, int) {
	var out []matrixHead
	strange := 0 // heads that were not understood
	for c := range eachCell(toks) {
		h := matrixHead{l: c[0].col, r: c[len(c)-1].end}
		bag, unit, _ := d.bag(c)
		if part := quantityPart[quantityOf(unitCodes[unit])]; bag == "" && part != "" && d.isHeading(c) {
			bag = bagOf(part) // START   GAL   F
		}
		switch t := labelTables(); {
		case bag != "" && d.isHeading(c) && !t.has(bag, "tank") && !t.has(bag, "line") && !t.has(bag, "sensor"):
			h.bag = bag
		default:
			if r, ok := d.readClass(k, c, ""); ok && r.used == len(c) && !plainDigits(c[0].text, 1, 2) && specs[k]["test_class"].Name != "" {
				h.fact = &fact{field: "test_rate", read: r}
				break
			}
			facts, worth := d.scan(k, c)
			if len(facts) == 0 || worth < 1 || facts[0].field != "tank" && facts[0].field != "line" && facts[0].field != "sensor" {
				numbered := len(c) == 2 && plainDigits(c[1].text, 1, 2)
				if len(out) == 0 && len(toks) > len(c) && !numbered {
					continue // what the labels are called
				}
				if strange++; len(c) > 2 {
					return nil, 0
				}
				if own := ownName(k); numbered && (own == "tank" || own == "line") {
					r, _ := d.readIdent(own, c[1:])
					h.fact = &fact{field: own, read: r, label: c[:1], guess: "the word before its number is not one for a " + own}
				}
				break // the column alone is lost
			}
			h.fact = &facts[0]
			if len(facts) == 2 && facts[1].field == "product" {
				h.product = &facts[1]
			}
		}
		out = append(out, h)
	}
	if strange > 0 && (2*strange >= len(out) || len(out)-strange < 2 || slices.ContainsFunc(out, func(h matrixHead) bool { return h.bag != "" })) {
		return nil, 0
	}
	return out, len(out)
}

// matrixEntries makes one record of each column, or one of all when the
// columns are a start and an end.
func (d *doc) matrixEntries(heads []matrixHead, rows []matrixRow, worth float64, lines int) structure {
	s := structure{worth: worth, lines: lines}
	one := len(heads) > 0 && heads[0].bag != ""
	for col := range rows[0].values {
		if len(heads) > 1 && heads[0].fact != nil && heads[col].fact == nil && heads[col].product == nil {
			continue // TOTAL, beside tanks
		}
		e := entry{row: !one}
		if col < len(heads) && heads[col].fact != nil {
			e.facts = append(e.facts, *heads[col].fact)
		}
		if col < len(heads) && heads[col].product != nil {
			e.facts = append(e.facts, *heads[col].product)
		}
		e.facts = append(e.facts, columnFacts(rows, col, nil)...)
		classed := false
		for i, r := range rows {
			if r.class == nil || i > 0 && sameTest(r.class, rows[i-1].class) {
				continue
			}
			classed = true
			if said := columnFacts(rows[i:], col, r.class); len(said) > 0 {
				s.entries = append(s.entries, entry{row: true, facts: slices.Concat(e.facts, []fact{*r.class}, said)})
			}
		}
		if !classed {
			s.entries = append(s.entries, e)
		}
	}
	for _, r := range rows {
		s.worth += r.worth
	}
	return s
}

// columnFacts are what the rows of one test say in a column, from the first of them to
// the next test; those of none where class is nil.
func columnFacts(rows []matrixRow, col int, class *fact) []fact {
	var out []fact
	for _, r := range rows {
		if !sameTest(r.class, class) {
			if class != nil {
				break
			}
			continue
		}
		if !r.blanks[col] {
			out = append(out, fact{field: r.fields[col], read: r.values[col], label: r.label, cost: r.cost, printed: true})
		}
	}
	return out
}

// sameTest reports whether two rates, nil for none, are of one test.
func sameTest(a, b *fact) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.read.class == b.read.class
}
