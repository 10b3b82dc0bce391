package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// A table may have several lines for each tank, of which a word in one of its columns says what
// they are of:
//
//	TK  TIME         VOLUME  TEMP  PRODUCT
//	1   START 12:48    3105  11.6  DIESEL
//	    END   13:12   11140   9.8
//	    DELIVERED      8035
//
//	sidegroups = heading [ heading ] group { group }
//	group      = number [ product ] siderow [ product ] { siderow | label amount }

// sideGroup is what is printed of one tank.
type sideGroup struct {
	number  fact
	product []token
	rows    []sideRow
	amounts [][]sideAmountAt // of each row, in columns
}

// sideAmountAt is an amount of a row and its column.
type sideAmountAt struct {
	col  int
	toks []token
}

// sideGroups reads such a table from the line of its heading on.
func (d *doc) sideGroups(k record.Kind, lines []line, i int) (structure, bool) {
	const most = 2 // lines of a heading
	if sideFields[k] == nil || lines[i].rule || hasFigures(lines[i].toks) || !numberSoon(lines[i+1:]) || !d.isHeading(lines[i].toks) {
		return structure{}, false
	}
	first, heads := i, 0
	for first < len(lines) && !lines[first].head && (lines[first].rule || heads < most && d.isHeading(lines[first].toks)) {
		if !lines[first].rule {
			heads++
		}
		first++
	}
	var groups []sideGroup
	at, end := first, first
	for ; at < len(lines) && !lines[at].head; at++ {
		if lines[at].rule {
			continue
		}
		g, led := d.sideGroup(k, lines[at].toks)
		if led {
			groups = append(groups, g)
			end = at + 1
			continue
		}
		r, ok := d.sideOrSum(k, lines[at].toks)
		if !ok || len(groups) == 0 {
			break
		}
		last := &groups[len(groups)-1]
		last.rows = append(last.rows, r)
		end = at + 1
	}
	if len(groups) == 0 {
		return structure{}, false
	}
	for _, g := range groups {
		if len(g.rows) < 2 || len(g.rows[0].amounts) == 0 {
			return structure{}, false
		}
	}
	s, ok := d.groupEntries(k, lines[i:first], groups)
	s.lines = end - i
	return s, ok
}

// numberSoon reports whether one of the next lines begins with a number that a tank may have.
func numberSoon(lines []line) bool {
	const within = 4 // lines of a heading and rules
	return slices.ContainsFunc(lines[:min(len(lines), within)], func(l line) bool { return len(l.toks) > 2 && plainDigits(l.toks[0].text, 1, 2) })
}

// sideGroup reads the first line of a group: the number of a tank, what the line is of and amounts,
// with the product before or behind them.
func (d *doc) sideGroup(k record.Kind, toks []token) (sideGroup, bool) {
	if len(toks) < 3 || !plainDigits(toks[0].text, 1, 2) || !starts(toks, 1) {
		return sideGroup{}, false
	}
	id, ok := d.readIdent(ownName(k), toks)
	if !ok || id.used != 1 {
		return sideGroup{}, false
	}
	end := len(toks)
	for n := len(toks) - 1; n > 1 && !toks[n].number && !toks[n].blank; n-- {
		if starts(toks, n) {
			end = n
		}
	}
	if end < len(toks) && cellEnd(toks, end) < len(toks) {
		return sideGroup{}, false
	}
	from, product := 1, toks[end:]
	if n := d.productBefore(toks[1:end]); n > 0 && len(product) == 0 {
		from, product = 1+n, toks[1:1+n]
	}
	r, ok := d.sideRow(toks[from:end])
	return sideGroup{number: fact{field: ownName(k), read: id, printed: true, under: true}, product: product, rows: []sideRow{r}}, ok
}

// productBefore is how many tokens name a product before the word for a start or an end: DERV
// START; 0 where that word comes first, or what stands before it is no known product and has no
// cell of its own.
func (d *doc) productBefore(toks []token) int {
	const most = 4 // words of a product
	for n := 1; n <= min(most, len(toks)-1); n++ {
		if d.sideName(toks[n:]).bag == "" {
			continue
		}
		if _, _, known := d.grade(toks[:n]); d.sideName(toks).bag == "" && (known || starts(toks, n) && !hasFigures(toks[:n])) {
			return n
		}
		return 0
	}
	return 0
}

// sideOrSum reads a line as a row of a start or an end, or as an amount with its own label.
func (d *doc) sideOrSum(k record.Kind, toks []token) (sideRow, bool) {
	if r, ok := d.sideRow(toks); ok {
		return r, true
	}
	for _, n := range d.names(toks) {
		if _, _, _, ok := d.fieldOf(k, n.bag, ""); ok && n.cost == 0 && n.used == len(toks)-1 && toks[n.used].number && starts(toks, n.used) {
			return sideRow{name: n, label: toks[:n.used], amounts: [][]token{toks[n.used:]}}, true
		}
	}
	return sideRow{}, false
}

// groupEntries gives the words of the heading to the columns and makes an entry of each group.
func (d *doc) groupEntries(k record.Kind, heading []line, groups []sideGroup) (structure, bool) {
	cols, ok := groupColumns(groups)
	if !ok {
		return structure{}, false
	}
	out := structure{}
	names, side, product := sideColumn{bound: noBound()}, sideColumn{bound: noBound()}, sideColumn{bound: noBound()}
	for _, g := range groups {
		names.widen(g.number.read.toks)
		product.widen(g.product)
		for _, r := range g.rows {
			side.widen(r.label)
			if r.dated {
				side.widen(r.when.toks)
			}
		}
	}
	all := append([]sideColumn{names, side, product}, cols...)
	for _, l := range heading {
		for _, t := range l.toks {
			c := nearest(t, all)
			all[c].head = append(all[c].head, t)
			out.worth += freeWorth
		}
	}
	names, side, product, cols = all[0], all[1], all[2], all[3:]
	for _, t := range names.head {
		if !d.isDevice(t) && !d.numberWord(t) {
			return structure{}, false
		}
	}
	for _, t := range side.head {
		if !d.timeHead(t) {
			return structure{}, false
		}
	}
	if bag, _, cost := d.bag(product.head); len(product.head) > 0 && (cost > 0 || bag != bagOf("product") && bag != bagOf("grade")) || len(names.head) == 0 {
		return structure{}, false
	}
	for _, g := range groups {
		e, worth, ok := d.groupEntry(k, g, cols)
		if !ok {
			return structure{}, false
		}
		e.facts[0].label = names.head
		out.entries = append(out.entries, e)
		out.worth += worth
	}
	return out, true
}

// groupEntry makes the facts of a group.
func (d *doc) groupEntry(k record.Kind, g sideGroup, cols []sideColumn) (entry, float64, bool) {
	facts := []fact{g.number}
	worth := freeWorth + factWorth
	if len(g.product) > 0 {
		r, ok := d.readField(k, specs[k]["product"], g.product, "")
		if !ok || r.used != len(g.product) {
			return entry{}, 0, false
		}
		facts = append(facts, fact{field: "product", read: r, printed: true, under: true})
		worth += float64(r.used)*freeWorth + factWorth
	}
	for n, r := range g.rows {
		worth += float64(len(r.label)) * freeWorth
		if r.dated {
			field := map[string]string{startBag(): "started_at", endBag(): "ended_at"}[r.name.bag]
			if field == "" || hasField(facts, field) {
				return entry{}, 0, false
			}
			facts = append(facts, fact{field: field, read: r.when, label: r.label, printed: true})
			worth += float64(r.when.used)*wordWorth + factWorth
		}
		for _, a := range g.amounts[n] {
			worth += float64(len(a.toks)) * freeWorth
			f, ok := d.sideFact(k, r.name.bag, cols[a.col], a.toks)
			if !ok || f.field != "" && hasField(facts, f.field) {
				return entry{}, 0, false
			}
			if f.field != "" {
				facts = append(facts, f)
				worth += factWorth
			}
		}
	}
	return entry{facts: facts}, worth, true
}

// groupColumns finds the columns of amounts, which the row with most of them has all of, and
// gives each amount its own.
func groupColumns(groups []sideGroup) ([]sideColumn, bool) {
	var widest [][]token
	for _, g := range groups {
		for _, r := range g.rows {
			if len(r.amounts) > len(widest) {
				widest = r.amounts
			}
		}
	}
	cols := make([]sideColumn, len(widest))
	for c, toks := range widest {
		cols[c].bound = noBound()
		cols[c].widen(toks)
	}
	for n := range groups {
		for _, r := range groups[n].rows {
			var row []sideAmountAt
			for _, toks := range r.amounts {
				c := nearest(toks[0], cols)
				if !overlaps(toks[0], cols[c].bound) || len(row) > 0 && row[len(row)-1].col >= c {
					return nil, false
				}
				row = append(row, sideAmountAt{c, toks})
			}
			groups[n].amounts = append(groups[n].amounts, row)
		}
	}
	for _, g := range groups {
		for _, row := range g.amounts {
			for _, a := range row {
				cols[a.col].widen(a.toks)
			}
		}
	}
	return cols, true
}

// noBound is the extent of nothing.
func noBound() bound { return bound{math.Inf(1), math.Inf(-1)} }

// widen makes a column as wide as tokens of it.
func (c *sideColumn) widen(toks []token) {
	if len(toks) > 0 {
		c.l, c.r = math.Min(c.l, toks[0].col), math.Max(c.r, toks[len(toks)-1].end)
	}
}
