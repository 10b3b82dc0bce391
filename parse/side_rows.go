package parse

import (
	"math"

	"tankroll/record"
)

// A delivery or a test may have a row for its start and one for its end, each with its time and
// the amounts then, below the names of the columns:
//
//	         DATE       TIME    GAL     F            VOLUME(L) TEMP(C)
//	START    10/19/25   13:21   4,010   61.2         4410       8.4
//	END      10/19/25   13:44   9,515   63.0        12404       7.1
//
// The words above a column go with the amounts that they stand nearest to: one space only may
// part the names of two.
//
// What was delivered may stand in a row of its own below them.
//
//	siderows = heading [ heading ] row row [ "delivered" amount { amount } ]
//	row      = ( "start" | "end" ) [ moment ] amount { amount }

// sideRow is a row of a start or an end.
type sideRow struct {
	name    name
	label   []token
	when    reading
	dated   bool
	amounts [][]token
}

// sideColumn is a column of amounts of such rows.
type sideColumn struct {
	bound
	head []token
}

// sideRows reads such rows from the line of their heading on, as one entry.
func (d *doc) sideRows(k record.Kind, lines []line, i int) (structure, bool) {
	const most = 2 // lines of a heading
	if sideFields[k] == nil || hasFigures(lines[i].toks) {
		return structure{}, false
	}
	first, heads := i+1, 1
	for first < len(lines) && heads <= most && !lines[first].head && (lines[first].rule || !hasFigures(lines[first].toks)) {
		if !lines[first].rule {
			heads++
		}
		first++
	}
	if first+1 >= len(lines) || heads > most || !endsInAmount(lines[first].toks) || !endsInAmount(lines[first+1].toks) || d.sideName(lines[first].toks).bag == "" {
		return structure{}, false
	}
	for _, l := range lines[i:first] {
		if !l.rule && (d.sideName(l.toks).bag != "" || !d.isHeading(l.toks)) {
			return structure{}, false
		}
	}
	var rows []sideRow
	for _, l := range lines[first:] {
		r, ok := d.sideRow(l.toks)
		if !ok || len(rows) > 0 && (len(r.amounts) != len(rows[0].amounts) || r.dated != rows[0].dated || r.name.bag == rows[len(rows)-1].name.bag) {
			break
		}
		if rows = append(rows, r); len(rows) == 2 {
			break
		}
	}
	if len(rows) < 2 {
		return structure{}, false
	}
	s, cols, ok := d.sideEntry(k, lines[i:first], rows)
	s.lines = first - i + len(rows)
	if at := first + len(rows); ok && at < len(lines) {
		if worth := d.gainRow(k, lines[at].toks, cols, &s.entries[0]); worth > 0 {
			s.worth += worth
			s.lines++
		}
	}
	return s, ok
}

// gainRow reads a line as what was delivered, each amount below its column, and gives it to the
// entry; it returns what that is worth, 0 for another line.
func (d *doc) gainRow(k record.Kind, toks []token, cols []sideColumn, e *entry) float64 {
	if k != record.Delivery {
		return 0
	}
	for _, n := range d.names(toks) {
		switch n.bag {
		case bagOf("delivered"), bagOf("gain"), bagOf("quantity"), bagOf("volume"):
		default:
			continue
		}
		if n.cost > 0 || n.used >= len(toks) || d.isUnit(toks[n.used]) {
			continue
		}
		var facts []fact
		worth := float64(n.used) * freeWorth
		for rest := toks[n.used:]; len(rest) > 0; {
			used := 1
			if _, _, u := d.unitAfter(rest[1:]); u > 0 && 1+u <= len(rest) && !rest[1].number && !starts(rest, 1) {
				used += u
			}
			c := nearest(rest[0], cols)
			if !rest[0].number || !overlaps(rest[0], cols[c].bound) {
				return 0
			}
			f, ok := d.sideFact(k, bagOf("delivered"), cols[c], rest[:used])
			if !ok || f.field != "" && (hasField(e.facts, f.field) || hasField(facts, f.field)) {
				return 0
			}
			if f.field != "" {
				facts = append(facts, f)
				worth += factWorth
			}
			worth += float64(used) * freeWorth
			rest = rest[used:]
		}
		if len(facts) > 0 {
			e.facts = append(e.facts, facts...)
			return worth
		}
	}
	return 0
}

// endsInAmount reports whether a line begins with a word and may end with an amount, with its unit
// or none.
func endsInAmount(toks []token) bool {
	n := len(toks) - 1
	return n > 0 && !toks[0].number && (toks[n].number || toks[n].blank || toks[n-1].number)
}

// sideName is the word for a start or an end that a line begins with, without a bag for none.
func (d *doc) sideName(toks []token) name {
	for _, n := range d.names(toks) {
		switch n.bag {
		case bagOf("opening"):
			n.bag = startBag()
		case bagOf("closing"):
			n.bag = endBag()
		}
		if (n.bag == startBag() || n.bag == endBag()) && n.cost == 0 && n.used < len(toks) {
			return n
		}
	}
	return name{}
}

// sideRow reads a line as a row: its side, its moment if it has one, and amounts.
func (d *doc) sideRow(toks []token) (sideRow, bool) {
	n := d.sideName(toks)
	if n.bag == "" {
		return sideRow{}, false
	}
	r := sideRow{name: n, label: toks[:n.used]}
	rest := toks[n.used:]
	if m, ok := d.readTime(rest, false); ok && (m.hasDate() || m.hasClock()) {
		r.when, r.dated, rest = m, true, rest[m.used:]
	}
	for len(rest) > 0 {
		if !rest[0].number && !rest[0].blank {
			return sideRow{}, false
		}
		n := 1
		if _, _, used := d.unitAfter(rest[1:]); used > 0 && 1+used <= len(rest) && !rest[1].number && !starts(rest, 1) {
			n += used
		}
		r.amounts = append(r.amounts, rest[:n])
		rest = rest[n:]
	}
	return r, len(r.amounts) > 0
}

// sideEntry gives the words of a heading to the columns below and makes an entry of the rows.
func (d *doc) sideEntry(k record.Kind, heading []line, rows []sideRow) (structure, []sideColumn, bool) {
	cols := make([]sideColumn, len(rows[0].amounts))
	for c := range cols {
		cols[c].bound = noBound()
		for _, r := range rows {
			cols[c].widen(r.amounts[c])
		}
	}
	worth := 0.0
	left := cols[0].l
	if rows[0].dated {
		left = rows[0].when.toks[len(rows[0].when.toks)-1].end
	}
	for _, l := range heading {
		for _, t := range l.toks {
			worth += freeWorth
			if rows[0].dated && t.end <= left+0.6 && !overlaps(t, cols[0].bound) {
				if !d.timeHead(t) {
					return structure{}, nil, false
				}
				continue
			}
			c := nearest(t, cols)
			cols[c].head = append(cols[c].head, t)
		}
	}
	var facts []fact
	used := 0
	for _, r := range rows {
		if r.dated {
			field := "started_at"
			if r.name.bag == endBag() {
				field = "ended_at"
			}
			facts = append(facts, fact{field: field, read: r.when, label: r.label, printed: true})
			worth += float64(r.when.used)*wordWorth + factWorth
		}
		worth += float64(len(r.label)) * freeWorth
	}
	for c, col := range cols {
		for _, r := range rows {
			worth += float64(len(r.amounts[c])) * freeWorth
			f, ok := d.sideFact(k, r.name.bag, col, r.amounts[c])
			if !ok || f.field != "" && hasField(facts, f.field) {
				return structure{}, nil, false
			}
			if f.field != "" {
				facts = append(facts, f)
				worth += factWorth
				used++
			}
		}
	}
	return structure{worth: worth, entries: []entry{{facts: facts}}}, cols, used > 0
}

// sideFact reads an amount of a column as of a start, an end or what else the row is of; without a
// field where there is none for it.
func (d *doc) sideFact(k record.Kind, side string, col sideColumn, toks []token) (fact, bool) {
	bag, unit, cost := d.bag(col.head)
	if bag == "" {
		bag = bagOf(quantityPart[quantityOf(unitCodes[unit])])
	}
	if len(col.head) == 0 || cost > 0 || bag == "" {
		return fact{}, false
	}
	return d.sideAmount(k, bag, unit, side, col.head, toks)
}

// sideAmount is the amount of a quantity, given by its bag and unit, on one side of a record; without
// a field where the record has none for it, false where toks are no such amount.
func (d *doc) sideAmount(k record.Kind, bag, unit, side string, label, toks []token) (fact, bool) {
	field, spec, off, ok := d.fieldOf(k, withBag(bag, side), unit)
	if !ok || toks[0].blank {
		return fact{}, true
	}
	got, ok := d.readLabelled(k, spec, bag, toks, unit)
	if !ok || got.used < len(toks) || spec.Type != record.Number {
		return fact{}, false
	}
	return fact{field: field, read: got, label: label, cost: off, printed: true, under: true}, true
}

// timeHead reports whether a word may stand above dates and times of day.
func (d *doc) timeHead(t token) bool {
	bag, _, _ := d.bag([]token{t})
	return t.blank || bag == bagOf("date") || bag == bagOf("time") || d.littleWord(t) || t.norm == "when" || t.norm == "/"
}

// overlaps reports whether a token stands above a column.
func overlaps(t token, b bound) bool { return math.Min(t.end, b.r) > math.Max(t.col, b.l) }

// nearest is the column that a token stands above or nearest to.
func nearest(t token, cols []sideColumn) int {
	best, least := 0, math.Inf(1)
	for c, col := range cols {
		gap := math.Max(t.col-col.r, col.l-t.end)
		if overlaps(t, col.bound) {
			gap = -(math.Min(t.end, col.r) - math.Max(t.col, col.l))
		}
		if gap < least {
			best, least = c, gap
		}
	}
	return best
}
