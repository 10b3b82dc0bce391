package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

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

// skip leaves a column of the row empty.
func (r *matrixRow) skip(field string) {
	r.values, r.blanks, r.fields = append(r.values, reading{}), append(r.blanks, true), append(r.fields, field)
}

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
		full := n.unit != "" && n.used < len(toks) && toks[n.used].number && (cellCount(toks[n.used:]) == max(len(heads), len(bounds)) || fillColumns(toks[n.used:], heads, bounds) || soleValue(toks[n.used:], heads)) // HIGH PROD. L 28.500   14.250
		full = full || n.bag != "" && n.used < len(toks) && !leadsRow(n, toks) && n.used == cellEndBefore(toks, n.used) && hasDigit(toks[n.used].text) && toksUnder(toks[n.used:], heads)                               // 1ST/MONTH 06/02   06/02
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

// clocksUnder puts the times of day of a line with the dates of the row above that they stand
// below, each with one; the label may go on before them:
//
//	FIRST PASS   08/01/01   08/03/01
//	 THIS MONTH  02:41 AM   03:15 AM
func (d *doc) clocksUnder(r *matrixRow, l line) bool {
	parts := cells(l.toks)
	var dated []int // the columns that have a date
	for i, blank := range r.blanks {
		if !blank {
			dated = append(dated, i)
		}
	}
	if n := len(parts) - len(dated); n < 0 || n > 1 || n == 1 && (hasFigures(parts[0]) || !d.isHeading(parts[0]) && !d.onlyLittle(parts[0])) {
		return false
	}
	parts = parts[len(parts)-len(dated):]
	values := slices.Clone(r.values)
	for n, c := range parts {
		i := dated[n]
		v := values[i]
		clock, ok := d.readTime(c, true)
		if !ok || clock.used != len(c) || clock.hasDate() || !clock.hasClock() || !v.hasTime() || !v.hasDate() || v.hasClock() || math.Min(c[len(c)-1].end, v.toks[len(v.toks)-1].end) <= math.Max(c[0].col, v.toks[0].col) {
			return false
		}
		if values[i], ok = joinMoments(v, clock); !ok {
			return false
		}
	}
	r.values = values
	return true
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
			bag = withBag(bag, heads[col].bag)
		}
		f, spec, cost, ok := d.fieldUnder(k, bag, &r.unit)
		if !ok && col < len(heads) && heads[col].bag != "" {
			f, ok = d.fieldOfAmount(k, bag)
			spec, _ = specOf(k, f)
		}
		if !ok && col > 0 && col < len(heads) && heads[col].bag != "" && toks[0].number {
			// The amount of a start or an end that no record has.
			r.skip("")
			toks = toks[1:]
			continue
		}
		if !ok || col > 0 && len(heads) > 0 && heads[0].bag != "" && spec.Type == record.Number && f == r.fields[col-1] && !r.blanks[col-1] {
			return false // the heads say nothing of it
		}
		r.cost = max(r.cost, cost)
		if headsTests(heads) && col+1 < len(heads) && toks[0].col > heads[col].r && overlaps(toks[0], bound{heads[col+1].l, heads[col+1].r}) {
			r.skip(f)
			continue // nothing stands below this one
		}
		if toks[0].blank {
			r.skip(f)
			toks = toks[1:]
			continue
		}
		if n := noTest(toks); n > 0 && spec.Name == "result" {
			r.skip(f)
			toks = toks[n:]
			continue
		}
		cell := toks
		switch n := max(len(heads), len(bounds)); {
		case spec.Type == record.Label:
			cell = toks[:inColumn(toks, bounds, col)]
		case (spec.Type == record.Time || spec.Quantity == record.Hours) && cellCount(toks) == n-col:
			cell = toks[:cellEnd(toks, 0)] // 03-14   03-10
		}
		got, ok := d.readLabelled(k, spec, bag, cell, r.unit)
		if !ok || col > 0 && toks[0].gap < 0.5 && !toks[0].bar || spec.Type == record.Label && got.used < len(cell) {
			return false
		}
		r.field, r.spec = f, spec
		r.values, r.blanks, r.fields = append(r.values, got), append(r.blanks, false), append(r.fields, f)
		r.worth += float64(got.used)*wordWorth + factWorth - got.cost*misreadCost
		toks = toks[got.used:]
	}
	if n := len(r.values); n < len(heads) && (n >= 2 && heads[0].bag != "" || n == 1 && headsTests(heads)) && under(r.values, heads) {
		for len(r.values) < len(heads) {
			r.skip("") // the last cells are empty
		}
	}
	return len(r.values) >= 2 && (len(heads) == 0 || len(r.values) == len(heads))
}

// cellEndBefore is n where no wide gap parts the first n tokens.
func cellEndBefore(toks []token, n int) int {
	if crosses(toks, n) {
		return 0
	}
	return n
}

// toksUnder reports whether tokens are a cell in the column of each head and no more.
func toksUnder(toks []token, heads []matrixHead) bool {
	parts := byHeads(toks, heads)
	if len(parts) < 2 || len(parts) != len(heads) {
		return false
	}
	for i, c := range parts {
		if math.Min(c[len(c)-1].end, heads[i].r) <= math.Max(c[0].col, heads[i].l) {
			return false
		}
	}
	return true
}

// noTest counts the tokens of a cell that say in the place of a result that there was no test: NO
// TEST, NOT TESTED, NONE.
func noTest(toks []token) int {
	n := cellEnd(toks, 0)
	switch {
	case n == noneYet(toks):
		return n
	case n == 2 && (toks[0].norm == "no" && (toks[1].norm == "test" || toks[1].norm == "tests") || toks[0].norm == "not" && toks[1].norm == "tested"):
		return n
	}
	return 0
}

// soleValue reports whether a row has no more than a value below one of several tests.
func soleValue(toks []token, heads []matrixHead) bool {
	return len(toks) == 1 && headsTests(heads) && slices.ContainsFunc(heads, func(h matrixHead) bool { return overlaps(toks[0], bound{h.l, h.r}) })
}

// headsTests reports whether the columns are each of a test, of which some may never have been made.
func headsTests(heads []matrixHead) bool {
	return len(heads) > 1 && !slices.ContainsFunc(heads, func(h matrixHead) bool { return h.fact == nil || h.fact.read.class == "" })
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
	if n, ok := d.headParts(k, lines[j].toks); ok {
		return n, true
	}
	return d.unitOfRows(lines[j].toks)
}

// headParts are the parts of labels that a heading is made of.
func (d *doc) headParts(k record.Kind, head []token) (name, bool) {
	t := labelTables()
	for _, n := range d.names(head) {
		if n.used != len(head) || n.bag == "" || n.cost > sureLabelCost {
			continue
		}
		for _, own := range []string{"tank", "line", "number", "product", "grade", "name"} {
			if n.bag == string(t.parts[own]) && own != "product" || t.has(n.bag, "tank") || t.has(n.bag, "line") {
				return name{}, false
			}
		}
		return n, true
	}
	return name{}, false
}

// fieldUnder is fieldOf for the label of a row below a part of labels that goes with it,
// which may have the unit.
func (d *doc) fieldUnder(k record.Kind, bag string, unit *string) (string, record.FieldSpec, float64, bool) {
	if d.lead.bag == "" && d.lead.unit == "" {
		return d.fieldOf(k, bag, *unit)
	}
	u := *unit
	if u == "" {
		u = d.lead.unit
	}
	with := withBag(bag, d.lead.bag)
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
