package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// Limits on tables: no roll is wide enough for more columns, and a heading of
// more than four lines is no heading.
const (
	maxColumns      = 14
	maxHeadingLines = 4
	maxRowLines     = 4
	maxUnitLines    = 2 // of a heading besides
)

// table reads the lines from i as a heading of one to four lines and rows of
// values that stand under it:
//
//	table   = heading { heading } [ rule ] row { row | more | rule }
//	heading = { label }           in columns; lines above each other add up
//	row     = { value }           each under its heading
//	more    = text                under a text column: the rest of its cell
//	        | line                between two rows: belongs to the row above
//
// Headings are cut at wide gaps or at every label; their lines stand for one
// line of a row, or for one each where a row takes several. Whichever fits the
// rows best stands.
func (d *doc) table(k record.Kind, lines []line, i int) (structure, bool) {
	if _, alone := d.stateAlone(lexicon.AlarmState, "state", lines[i].toks); alone && k == record.Alarm {
		return structure{}, false // RAISED above a time is no heading
	}
	if _, alone := d.bareAlarmWord(lines[i].toks); alone && k == record.Alarm {
		return structure{}, false
	}
	var best structure
	ok := false
	var tried [][][]column
	try := func(sets [][]column, n int) {
		for _, t := range tried {
			if sameColumns(t, sets) {
				return // cut in another way to the same
			}
		}
		tried = append(tried, sets)
		named := d.withFields(k, d.unitsBelow(sets, lines, n))
		if s, fits := d.rows(k, named, lines, i, n); fits && (!ok || s.worth > best.worth) {
			best, ok = s, true
		}
		if d.asAmounts(k, named, lines[n].toks) {
			if s, fits := d.rows(k, named, lines, i, n); fits && (!ok || s.worth > best.worth) {
				best, ok = s, true
			}
		}
	}
	for h, units := 1, 0; h <= maxHeadingLines+units; h++ {
		tried = tried[:0]
		n, heading := d.headingLines(k, lines, i, h)
		if len(heading) < h {
			break
		}
		if h > 1 && units < maxUnitLines && d.onlyUnits(heading[h-1]) {
			units++
		}
		if n >= len(lines) || d.isHeading(lines[n].toks) {
			continue // rows of values must follow
		}
		for _, cut := range []headingCut{atCells, atPhrases, atWords} {
			if h > 1 {
				try([][]column{d.columns(heading, cut, true)}, n)
			}
			for _, groups := range d.groupings(heading) {
				sets := make([][]column, 0, maxRowLines)
				for _, g := range groups {
					sets = append(sets, d.columns(g, cut, false))
				}
				try(sets, n)
			}
		}
	}
	return best, ok
}

// sameColumns reports whether two headings of as many lines come to the same columns,
// which then have the same fields.
func sameColumns(a, b [][]column) bool {
	return slices.EqualFunc(a, b, func(x, y []column) bool {
		return slices.EqualFunc(x, y, func(c, o column) bool {
			return c.l == o.l && c.r == o.r && c.next == o.next && c.bag == o.bag && c.unit == o.unit && c.cost == o.cost &&
				slices.EqualFunc(c.toks, o.toks, func(s, t token) bool { return s.at == t.at && s.text == t.text })
		})
	})
}

// rows reads lines under the columns for as long as they fit. A row has a line
// for each set of columns. start is where the heading begins, i where the rows
// do.
func (d *doc) rows(k record.Kind, sets [][]column, lines []line, start, i int) (structure, bool) {
	s := structure{}
	for _, cols := range sets {
		worth, ok := headWorth(cols)
		if !ok {
			return structure{}, false
		}
		s.worth += worth
	}
	rows := 0
	var between structure // lines since the last row that are no rows
	strange := false      // one of them was not understood
	early := 0            // lines between the heading and the first row that were not
	for i < len(lines) && rows < maxRows {
		if lines[i].rule {
			i++
			continue
		}
		if lines[i].head {
			if rows == 0 {
				break
			}
			between.lines++
			i++
			continue
		}
		if rows > 0 && k == record.Inventory && d.sumInWords(lines[i].toks) {
			between.lines++
			i++
			continue
		}
		if rows > 0 && d.totals(lines[i].toks) {
			if e, worth, ok := d.sumOfDays(k, sets, lines[i], s.entries); ok {
				s.add(between, false)
				s.entries = append(s.entries, e)
				s.worth += worth
				s.lines = i + 1 - start
				return s, true
			}
			between.lines++
			i++
			continue
		}
		if rows > 0 && d.totalsBelow(k, lines, i) > 0 {
			break
		}
		e, worth, used := d.oneRow(k, sets, lines, i)
		if used > 0 {
			s.add(between, false)
			between = structure{}
			s.entries = append(s.entries, entry{facts: e, row: true, table: start + 1, strange: strange})
			strange = false
			s.worth += worth
			i += used
			if i < len(lines) && s.clocksBelow(d, lines[i]) {
				s.worth += float64(len(lines[i].toks))
				i++
			}
			s.lines = i - start
			rows++
			continue
		}
		g, ok := d.groupLine(k, sets[0], lines[i])
		if !ok {
			g, ok = d.thingLine(k, sets, lines, i)
		}
		if !ok && rows > 0 {
			g, ok = d.headInTable(k, sets, lines, i)
		}
		if ok {
			s.add(between, false)
			between, strange = structure{}, false
			s.add(g, false)
			i += g.lines
			continue
		}
		if rows == 0 && early < maxEarly && d.strangeAbove(k, sets, lines[i]) {
			early++
			strange = true
			s.worth -= leaveCost * float64(len(lines[i].toks))
			i++
			continue
		}
		if rows == 0 || between.lines >= maxBetween {
			break
		}
		if between.lines == 0 && s.wrap(sets[0], lines[i].toks, d) {
			i++
			s.lines = i - start
			continue
		}
		if len(sets) == 1 && len(cells(lines[start].toks)) == 1 && (d.isHeading(lines[i].toks) || withoutFigures(lines[i].toks)) {
			break // the label of another value, not a line between two of one
		}
		if rows == 1 && d.amountBelow(k, lines, i) {
			break // ROOM LEFT GALLONS, below it 4786
		}
		if _, ok := d.fieldHead(k, lines, i); ok || between.lines == 0 && d.headsNext(k, lines, i) {
			break // the heading of rows of other fields
		}
		more := d.lineBetween(k, lines[i], s.entries)
		if more.worth < -50 {
			break
		}
		between.add(more, true)
		between.lines++
		strange = strange || len(more.entries) == 0 || hasField(more.entries[0].facts, "product") // PREMIUM, without its tank
		i++
	}
	if s.interrupted() && len(between.entries) > 0 {
		s.add(between, false)
		s.lines = i - start
	}
	if rows == 1 && len(s.entries) == 1 {
		s.entries[0].row = false
	}
	return s, rows > 0
}

// maxEarly is how many lines that are not understood may stand between a heading and its rows.
const maxEarly = 2

// strangeAbove reports whether a line between a heading and its first row may be passed over: the
// heading has several columns with fields, and the line is neither a title nor a heading itself, nor
// does it say anything of the rows below it.
func (d *doc) strangeAbove(k record.Kind, sets [][]column, l line) bool {
	const least = 3 // columns
	named := 0
	for _, cols := range sets {
		for _, c := range cols {
			if c.field != "" {
				named++
			}
		}
	}
	if named < least {
		return false
	}
	return d.strangeLine(k, l) || cellCount(l.toks) >= least && !l.head && !d.isHeading(l.toks) && d.title(l).kind == ""
}

// amountBelow reports whether a line is the label of an amount that has the next line to itself.
func (d *doc) amountBelow(k record.Kind, lines []line, i int) bool {
	if ownName(k) == "" || i+1 >= len(lines) || !withoutFigures(lines[i].toks) && cellCount(lines[i].toks) > 1 {
		return false
	}
	below := lines[i+1].toks
	if len(below) == 0 || len(below) > 2 || !below[0].number || len(below) == 2 && !d.isUnit(below[1]) {
		return false
	}
	s, ok := d.labelAbove(k, lines, i)
	return ok && s.worth > 0
}

// headsNext reports whether a line is a heading of several columns with values of its own
// right below it:
//
//	VOLUME NET   ULLAGE
//	5123   5110  4877
//	HEIGHT WATER TEMP
//	45.2   0.5   61.2
func (d *doc) headsNext(k record.Kind, lines []line, i int) bool {
	toks := lines[i].toks
	if ownName(k) == "" || i+1 >= len(lines) || len(toks) < 2 || !withoutFigures(toks) || !d.isHeading(toks) && !d.namedCells(toks) {
		return false
	}
	below := lines[i+1].toks
	figures := 0
	for _, t := range below {
		if t.number {
			figures++
		} else if !d.isUnit(t) && !t.blank {
			return false
		}
	}
	return figures > 1 && below[0].number && figures <= len(toks)
}

// namedCells reports whether each of several cells has a word of labels in it.
func (d *doc) namedCells(toks []token) bool {
	all := cells(toks)
	for _, c := range all {
		if !slices.ContainsFunc(c, func(t token) bool { return d.spelt(t, lexicon.Part) }) {
			return false
		}
	}
	return len(all) > 1
}

// clocksBelow puts the times of day of a line with the dates of the row above that they stand
// under, where it holds nothing else.
func (s *structure) clocksBelow(d *doc, l line) bool {
	if l.rule || l.head || len(l.toks) == 0 {
		return false
	}
	last := &s.entries[len(s.entries)-1]
	facts := last.facts
	for c := range eachCell(l.toks) {
		clock, ok := d.readTime(c, true)
		if !ok || clock.used != len(c) || clock.hasDate() || !clock.hasClock() {
			return false
		}
		n := slices.IndexFunc(facts, func(f fact) bool {
			return f.read.hasDate() && !f.read.hasClock() && f.read.toks[0].col < c[len(c)-1].end && f.read.toks[len(f.read.toks)-1].end > c[0].col
		})
		if n < 0 {
			return false
		}
		both, ok := joinMoments(facts[n].read, clock)
		if !ok {
			return false
		}
		if &facts[0] == &last.facts[0] {
			facts = slices.Clone(facts) // they may be remembered elsewhere
		}
		facts[n].read = both
	}
	last.facts = facts
	return true
}

// withoutFigures reports whether a line holds words alone.
func withoutFigures(toks []token) bool { return len(toks) > 0 && !hasFigures(toks) }

// interrupted reports whether other lines stand between the rows.
func (s *structure) interrupted() bool {
	for _, e := range s.entries {
		if e.more {
			return true
		}
	}
	return false
}

// maxRows bounds the rows of one table; a longer one goes on as the next.
const maxRows = 60

// maxBetween is how many lines may stand between two rows of a table.
const maxBetween = 8

// add puts the entries of other lines behind those of a table.
func (s *structure) add(o structure, more bool) {
	s.worth += o.worth
	for _, e := range o.entries {
		e.more = e.more || more
		s.entries = append(s.entries, e)
	}
}

// textBelow reads a line that is set in below a row as the free text that the
// row itself has no column for: what an alarm says, where a sensor sits.
func (d *doc) textBelow(k record.Kind, l line, row entry) (fact, bool) {
	field := map[record.Kind]string{record.Alarm: "event", record.SensorStatus: "location"}[k]
	if field == "" || !row.row || hasField(row.facts, field) || len(row.facts) == 0 || len(l.toks) == 0 || cellCount(l.toks) > 1 || d.courtesy(l.toks) || d.onlyLittle(l.toks) {
		return fact{}, false
	}
	first := row.facts[0].read.toks
	if len(first) == 0 || l.toks[0].col < first[0].col+0.9 || l.toks[len(l.toks)-1].delim != 0 {
		return fact{}, false
	}
	return fact{field: field, read: reading{used: len(l.toks), toks: l.toks, value: textOf(l.toks)}}, true
}

// lineBetween reads a line between two rows.
func (d *doc) lineBetween(k record.Kind, l line, rows []entry) structure {
	left := structure{worth: -leaveCost * float64(len(l.toks))}
	if f, ok := d.textBelow(k, l, rows[len(rows)-1]); ok {
		return structure{worth: textWorth*float64(len(l.toks)) + 0.5, entries: []entry{{facts: []fact{f}}}}
	}
	if last := rows[len(rows)-1]; hasField(last.facts, fieldMoment) {
		if f, ok := d.whichPass(k, l.toks); ok {
			return structure{worth: wordWorth * float64(len(l.toks)), entries: []entry{{facts: []fact{f}}}}
		}
	}
	facts, worth := d.scan(k, l.toks)
	if d.title(l).kind != "" || hasField(facts, ownName(k)) || cellCount(l.toks) > 1 && d.isHeading(l.toks) {
		left.worth -= 100 // a title, a thing's name or a heading ends the table
		return left
	}
	if len(facts) > 0 && worth > left.worth {
		return structure{worth: worth, entries: []entry{{facts: facts}}}
	}
	return left
}
