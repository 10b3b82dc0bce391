package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// passTable reads a table of passes whose columns are of several tests, told by rates or
// words for them over groups of columns:
//
//	table   = heading { heading } row { row }
//	heading = { [ rate ] { label } }          one to four lines, over the columns
//	row     = [ line [ product ] ] { count | count "/" count | date | blank }
//
//	LN PRODUCT   3.0 GPH      0.2 GPH
//	             24H  MIDN    FIRST OF MONTH   LAST
//	1  REGULAR    22     7    03/02/24 01:12   03/13/24 02:05
//
// Where the values stand says what the columns are; a heading counts for the columns that
// it stands over, one that is missing comes from the nearest in another line. Every column
// must have a label and a test, or none has a test, and no two are the same.
func (d *doc) passTable(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.LineSummary {
		return structure{}, false
	}
	var heads [][]passPhrase
	words := 0
	for j := i; j < len(lines) && len(heads) <= maxHeadingLines; j++ {
		if lines[j].rule {
			if j == i {
				return structure{}, false
			}
			continue
		}
		if lines[j].head {
			break
		}
		if len(heads) > 0 {
			if s, ok := d.passRows(lines, i, j, heads, words); ok {
				return s, true
			}
		}
		phrases, ok := d.passHeading(lines[j].toks)
		if !ok {
			break
		}
		heads, words = append(heads, phrases), words+len(lines[j].toks)
	}
	return structure{}, false
}

// cellWorth is what it is worth, beside its words, that a value stands under its heading.
const cellWorth = 0.8

// passRows reads the rows from line j on below headings that begin at line i.
func (d *doc) passRows(lines []line, i, j int, heads [][]passPhrase, words int) (structure, bool) {
	for _, apart := range []bool{true, false} {
		if s, ok := d.passRowsCut(lines, i, j, heads, words, apart); ok {
			return s, true
		}
	}
	return structure{}, false
}

// passRowsCut is passRows where names end at a gap if they can, or else before the first
// value: REGULAR 22 may be a product or a product and a count.
func (d *doc) passRowsCut(lines []line, i, j int, heads [][]passPhrase, words int, gaps bool) (structure, bool) {
	var rows []passLine
	end := j
	for n := j; n < len(lines) && len(rows) < maxRows; n++ {
		if lines[n].rule || len(rows) > 0 && lines[n].head {
			continue
		}
		r, ok := d.passLine(lines[n].toks, gaps)
		if !ok || len(rows) > 0 && (len(r.names) == 0 || len(rows[0].names) == 0) {
			break
		}
		rows, end = append(rows, r), n+1
	}
	if len(rows) == 0 || !passesAmong(heads) && (len(rows[0].names) == 0 || d.testAbove(lines, i)) {
		return structure{}, false
	}
	cols, ok := passColumnsOf(rows)
	if !ok || slices.ContainsFunc(rows, func(r passLine) bool { return r.nameUnder(cols) }) {
		return structure{}, false
	}
	for _, apart := range []bool{false, true} {
		if named := d.nameColumnsOf(cols, heads, apart, rows[0].left()); named {
			s := structure{worth: float64(words) * freeWorth, lines: end - i}
			for _, r := range rows {
				s.entries = append(s.entries, r.entries(cols, i+1)...)
				s.worth += float64(len(r.toks)) + cellWorth*float64(len(r.values)+len(r.names)) + factWorth
			}
			return s, len(s.entries) > 0
		}
	}
	return structure{}, false
}

// testAbove reports whether the line above a heading names a test: it belongs to the heading.
func (d *doc) testAbove(lines []line, i int) bool {
	for i--; i >= 0 && lines[i].rule; i-- {
	}
	if i < 0 {
		return false
	}
	h, ok := d.passHeading(lines[i].toks)
	return ok && passesAmong([][]passPhrase{h})
}

// passesAmong reports whether a rate or word for a test stands among headings.
func passesAmong(heads [][]passPhrase) bool {
	return slices.ContainsFunc(heads, func(h []passPhrase) bool {
		return slices.ContainsFunc(h, func(p passPhrase) bool { return p.class != nil })
	})
}

// passColumn is a column of values and what stands over it.
type passColumn struct {
	l, r   float64
	from   float64 // the same with its own heading
	to     float64
	pair   bool // its values are two counts with a stroke between
	dated  bool // its values are dates
	dates  bool // those that may be two counts are all dates as well
	toks   []token
	class  *fact
	guess  string // why its test is not certain
	fields []string
	cost   float64
}

// test is the rate of the test that a column is of, "" where none of the table is told.
func (c passColumn) test() string {
	if c.class == nil {
		return ""
	}
	return c.class.read.class
}

// passColumnsOf puts the values of rows that stand above each other into columns.
func passColumnsOf(rows []passLine) ([]passColumn, bool) {
	var cols []passColumn
	for _, r := range rows {
		for _, v := range r.values {
			at := -1
			for n, c := range cols {
				if math.Min(c.r, v.r)-math.Max(c.l, v.l) <= 0 {
					continue
				}
				if at >= 0 {
					return nil, false // a value over two columns
				}
				at = n
			}
			if at < 0 {
				cols = append(cols, passColumn{l: v.l, r: v.r})
				at = len(cols) - 1
			}
			c := &cols[at]
			c.l, c.r = math.Min(c.l, v.l), math.Max(c.r, v.r)
			c.dates = (c.dates || !c.pair) && (len(v.reads) < 2 || v.date != nil)
			c.pair = c.pair || len(v.reads) == 2
			c.dated = c.dated || v.dated
		}
	}
	slices.SortFunc(cols, func(a, b passColumn) int { return int(math.Copysign(1, a.l-b.l)) })
	for n := range cols {
		if n > 0 && cols[n-1].r > cols[n].l || cols[n].pair && cols[n].dated {
			return nil, false
		}
	}
	return cols, len(cols) > 0
}

// nameUnder reports whether a word of what a row is of stands in one of the columns: it may
// be a value.
func (r passLine) nameUnder(cols []passColumn) bool {
	for _, f := range r.names {
		for _, t := range f.read.toks {
			if slices.ContainsFunc(cols, func(c passColumn) bool { return math.Min(c.r, t.end)-math.Max(c.l, t.col) > 0 }) {
				return true
			}
		}
	}
	return false
}

// entries makes the facts of a row, an entry for each test.
func (r passLine) entries(cols []passColumn, table int) []entry {
	var out []entry
	at := map[string]int{}
	for _, v := range r.values {
		n := slices.IndexFunc(cols, func(c passColumn) bool { return math.Min(c.r, v.r)-math.Max(c.l, v.l) > 0 })
		if n < 0 || v.none && !cols[n].dated {
			continue
		}
		c := cols[n]
		e, ok := at[c.test()]
		if !ok {
			e = len(out)
			at[c.test()] = e
			facts := slices.Clone(r.names)
			if c.class != nil {
				class := *c.class
				class.guess = c.guess
				facts = append(facts, class)
			}
			out = append(out, entry{row: len(r.names) > 0, table: table, facts: facts})
		}
		if v.none {
			out[e].facts = append(out[e].facts, fact{field: fieldNone, read: reading{used: len(v.toks), toks: v.toks}, label: c.toks, cost: c.cost, under: true})
			continue
		}
		reads := v.reads
		if c.dated && v.date != nil {
			reads = []reading{*v.date}
		}
		for m, read := range reads {
			out[e].facts = append(out[e].facts, fact{field: c.fields[m], read: read, label: c.toks, cost: c.cost, guess: c.guess, printed: true, under: true})
		}
	}
	return out
}
