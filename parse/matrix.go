package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
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
	if !d.rowBelow(k, lines, max(i, next)) {
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
	if found < 2 || found != cellCount(toks[n:]) || heads[0].fact == nil || !d.rowBelow(k, lines, i) {
		return structure{}, false
	}
	return d.matrixUnder(k, lines, i, heads, found)
}

// rowBelow reports whether the next line that is no rule may be a row of a matrix: one
// must stand there, below the heads of the columns or below the first row.
func (d *doc) rowBelow(k record.Kind, lines []line, i int) bool {
	for _, l := range lines[i+1:] {
		if l.rule {
			continue
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
	return n.used < len(toks) && (toks[n.used].gap >= 1.5 || toks[n.used-1].delim != 0)
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
	strange := 0.0 // the cost of rows that were not understood
	var bounds []bound
	var class *fact // of the rows below it
	var lead name   // a part of labels that stands above the rows
	leadCol := 0.0
	for _, h := range heads {
		bounds = append(bounds, bound{h.l, h.r})
	}
	j := first
	for ; j < len(lines) && len(rows) < maxMatrixRows; j++ {
		if lines[j].rule {
			continue
		}
		if f, ok := d.classHead(k, lines[j].toks); ok && (n >= 2 || len(rows) > 0) {
			class = &f
			continue
		}
		if at, ok := d.leadOfRows(k, lines, j); ok && len(heads) > 0 && heads[0].fact != nil {
			lead, leadCol = at, lines[j].toks[0].col
			strange -= float64(len(lines[j].toks)) * wordWorth
			continue
		}
		if lead.bag != "" && len(lines[j].toks) > 0 && lines[j].toks[0].col < leadCol+0.9 {
			lead = name{}
		}
		d.lead = lead
		r, ok := d.matrixRow(k, lines[j].toks, heads, bounds)
		d.lead = name{}
		if ok && r.class == nil {
			r.class = class
		}
		if !ok && n >= 2 && len(rows) > 0 && strangeRow(lines[j].toks, bounds) {
			strange += leaveCost * float64(len(lines[j].toks))
			continue // a row of something that no field is for
		}
		if !ok || len(rows) > 0 && (!rows[0].like(r) || leadsColumns[rows[0].field] && r.field == rows[0].field) {
			break
		}
		if rows = append(rows, r); len(bounds) == 0 {
			bounds = r.bounds()
		}
	}
	for j > first && lines[j-1].rule {
		j--
	}
	if len(rows) < 2 || n < 2 && !leadsColumns[rows[0].field] {
		return structure{}, false
	}
	return d.matrixEntries(heads, rows, headWorth-strange, j-i), true
}

// strangeRow reports whether a line is words and a number in each of the columns.
func strangeRow(toks []token, bounds []bound) bool {
	if cellCount(toks) != len(bounds)+1 {
		return false
	}
	all := cells(toks)
	if hasFigures(all[0]) {
		return false
	}
	for i, c := range all[1:] {
		if len(c) != 1 || !c[0].number && !c[0].blank || math.Min(c[0].end, bounds[i].r) <= math.Max(c[0].col, bounds[i].l) {
			return false
		}
	}
	return true
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
	for _, c := range cells(toks) {
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
				if len(out) == 0 && len(toks) > len(c) {
					continue // what the labels are called
				}
				return nil, 0
			}
			h.fact = &facts[0]
			if len(facts) == 2 && facts[1].field == "product" {
				h.product = &facts[1]
			}
		}
		out = append(out, h)
	}
	return out, len(out)
}

type matrixRow struct {
	field  string
	label  []token
	class  *fact // the rate of the test that the row is of, nil for none
	bag    string
	unit   string
	cost   float64 // of the label
	spec   record.FieldSpec
	values []reading
	blanks []bool
	worth  float64
	fields []string // by column, with the column's start or end
}

// like reports whether two rows stand in the same columns.
func (r matrixRow) like(o matrixRow) bool { return len(r.values) == len(o.values) }

// bound is where a column of a matrix stands.
type bound struct{ l, r float64 }

// bounds are the columns that the values of a row stand in.
func (r matrixRow) bounds() []bound {
	var out []bound
	for i, v := range r.values {
		if r.blanks[i] {
			return nil
		}
		out = append(out, bound{v.toks[0].col, v.toks[len(v.toks)-1].end})
	}
	return out
}

// inColumn is how many of the tokens stand in a column, whose values line up at
// their ends or at their beginnings: text of one may reach up to that of the
// next.
func inColumn(toks []token, bounds []bound, col int) int {
	const slack = 0.6
	if col >= len(bounds) || cellCount(toks) == len(bounds)-col {
		return cellEnd(toks, 0)
	}
	for n, t := range toks {
		if math.Abs(t.end-bounds[col].r) < slack {
			return n + 1
		}
	}
	n := 1
	for n < len(toks) && (col+1 >= len(bounds) || toks[n].col < bounds[col+1].l-slack) {
		n++
	}
	return n
}

func (d *doc) matrixRow(k record.Kind, toks []token, heads []matrixHead, bounds []bound) (matrixRow, bool) {
	if len(toks) < fewestInRow {
		return matrixRow{}, false
	}
	if r, ok := d.readClass(k, toks, ""); k == record.LineSummary && ok && toks[0].number && r.num.Decimals > 0 && len(toks)-r.used >= fewestInRow && toks[r.used].gap < wideGap {
		row, ok := d.matrixRow(k, toks[r.used:], heads, bounds) // 3.0 PASSES   19   18
		row.class = &fact{field: "test_rate", read: r, weak: true}
		return row, ok
	}
	if row, ok := d.ratedRow(k, toks, heads, bounds); ok {
		return row, true
	}
	names := d.names(toks)
	if code, cost, n := d.code(lexicon.Unit, toks); len(names) == 0 && n > 0 && cost == 0 && n < len(toks) {
		names = []name{{used: n, unit: code, words: n}}
	}
	for x := len(names) - 1; x >= 0; x-- {
		n := names[x]
		if part := quantityPart[quantityOf(unitCodes[n.unit])]; n.bag == "" && len(heads) > 0 && heads[0].bag != "" && part != "" {
			n.bag = bagOf(part) // GAL   5200   8100
		}
		full := n.unit != "" && n.used < len(toks) && toks[n.used].number && cellCount(toks[n.used:]) == max(len(heads), len(bounds)) // HIGH PROD. L 28.500   14.250
		if n.bag == "" || !leadsRow(n, toks) && !full {
			continue
		}
		r := matrixRow{label: toks[:n.used], bag: n.bag, unit: n.unit}
		if d.matrixValues(k, &r, toks[n.used:], heads, bounds) {
			r.worth += float64(n.used)*freeWorth - n.cost*misreadCost
			return r, true
		}
	}
	return matrixRow{}, false
}

// ratedRow reads a row whose label names its test behind what is said of it: LAST 0.2 GPH,
// 3.0/24H.
func (d *doc) ratedRow(k record.Kind, toks []token, heads []matrixHead, bounds []bound) (matrixRow, bool) {
	n := cellEnd(toks, 0)
	if k != record.LineSummary || n >= len(toks) {
		return matrixRow{}, false
	}
	p, ok := d.passHeading(toks[:n])
	if !ok || len(p) != 1 || p[0].class == nil || !d.namesPass(p[0].toks) {
		return matrixRow{}, false
	}
	r := matrixRow{label: toks[:n], class: p[0].class}
	r.bag, r.unit, _ = d.bag(p[0].toks)
	if !d.matrixValues(k, &r, toks[n:], heads, bounds) {
		return matrixRow{}, false
	}
	r.worth += float64(n) * freeWorth
	return r, true
}

// matrixValues reads the values of a row, one for each column.
func (d *doc) matrixValues(k record.Kind, r *matrixRow, toks []token, heads []matrixHead, bounds []bound) bool {
	if code, _, n := d.code(lexicon.Unit, toks); n > 0 && len(toks) > n && !toks[0].number {
		r.unit, toks = code, toks[n:]
	}
	for len(toks) > 0 {
		col := len(r.values)
		bag := r.bag
		if col < len(heads) {
			for i := range heads[col].bag {
				bag = withPart(bag, heads[col].bag[i])
			}
		}
		f, spec, cost, ok := d.fieldUnder(k, bag, &r.unit)
		if !ok && col < len(heads) && heads[col].bag != "" {
			f, ok = d.fieldOfAmount(k, bag)
			spec, _ = specOf(k, f)
		}
		if !ok && col > 0 && col < len(heads) && heads[col].bag != "" && toks[0].number {
			// The amount of a start or an end that no record has.
			r.values, r.blanks, r.fields = append(r.values, reading{}), append(r.blanks, true), append(r.fields, "")
			toks = toks[1:]
			continue
		}
		if !ok || col > 0 && len(heads) > 0 && heads[0].bag != "" && spec.Type == record.Number && f == r.fields[col-1] && !r.blanks[col-1] {
			return false // the heads say nothing of it
		}
		r.cost = max(r.cost, cost)
		if toks[0].blank {
			r.values, r.blanks, r.fields = append(r.values, reading{}), append(r.blanks, true), append(r.fields, f)
			toks = toks[1:]
			continue
		}
		cell := toks
		switch n := max(len(heads), len(bounds)); {
		case spec.Type == record.Label:
			cell = toks[:inColumn(toks, bounds, col)]
		case spec.Type == record.Time && cellCount(toks) == n-col:
			cell = toks[:cellEnd(toks, 0)] // 03-14   03-10
		}
		got, ok := d.readLabelled(k, spec, bag, cell, r.unit)
		if !ok || col > 0 && toks[0].gap < 0.5 || spec.Type == record.Label && got.used < len(cell) {
			return false
		}
		r.field, r.spec = f, spec
		r.values, r.blanks, r.fields = append(r.values, got), append(r.blanks, false), append(r.fields, f)
		r.worth += float64(got.used)*wordWorth + factWorth - got.cost*misreadCost
		toks = toks[got.used:]
	}
	if n := len(r.values); n >= 2 && n < len(heads) && heads[0].bag != "" && under(r.values, heads) {
		for ; len(r.values) < len(heads); r.values = append(r.values, reading{}) {
			r.blanks, r.fields = append(r.blanks, true), append(r.fields, "") // the last cells are empty
		}
	}
	return len(r.values) >= 2 && (len(heads) == 0 || len(r.values) == len(heads))
}

// under reports whether values stand below the first heads, one each.
func under(values []reading, heads []matrixHead) bool {
	for i, v := range values {
		if len(v.toks) == 0 || math.Min(v.toks[len(v.toks)-1].end, heads[i].r) <= math.Max(v.toks[0].col, heads[i].l) {
			return false
		}
	}
	return true
}

// fieldOfAmount finds the field of a label to which only the amount's name is
// missing, as in START under GROSS.
func (d *doc) fieldOfAmount(k record.Kind, bag string) (string, bool) {
	return d.field(k, withPart(bag, labelTables().parts["volume"]))
}

// leadOfRows reads a line of a matrix that is a part of labels alone, whose rows are set in
// below it.
func (d *doc) leadOfRows(k record.Kind, lines []line, j int) (name, bool) {
	if j+1 >= len(lines) || len(lines[j].toks) == 0 || len(lines[j].toks) > 4 || len(lines[j+1].toks) < fewestInRow || lines[j+1].toks[0].col < lines[j].toks[0].col+0.9 || hasFigures(lines[j].toks) {
		return name{}, false
	}
	return d.headParts(k, lines[j].toks)
}

// fieldUnder is fieldOf for the label of a row below a part of labels that goes with it,
// which may have the unit.
func (d *doc) fieldUnder(k record.Kind, bag string, unit *string) (string, record.FieldSpec, float64, bool) {
	if d.lead.bag == "" {
		return d.fieldOf(k, bag, *unit)
	}
	u := *unit
	if u == "" {
		u = d.lead.unit
	}
	with := bag
	for p := range d.lead.bag {
		with = withPart(with, d.lead.bag[p])
	}
	if f, spec, cost, ok := d.fieldOf(k, with, u); ok && cost == 0 {
		*unit = u
		return f, spec, cost, ok
	}
	f, spec, cost, ok := d.fieldOf(k, bag, u)
	if ok {
		*unit = u
	}
	return f, spec, cost, ok
}

// matrixEntries makes one record of each column, or one of all when the
// columns are a start and an end.
func (d *doc) matrixEntries(heads []matrixHead, rows []matrixRow, worth float64, lines int) structure {
	s := structure{worth: worth, lines: lines}
	one := len(heads) > 0 && heads[0].bag != ""
	for col := range rows[0].values {
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
