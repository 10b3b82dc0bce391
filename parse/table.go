package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// column is one column of a table: the heading's words and the field they
// name.
type column struct {
	l, r  float64
	toks  []token
	bag   string
	unit  string
	cost  float64
	field string
	spec  record.FieldSpec
	next  float64 // where the column to the right begins
}

// Limits on tables: no roll is wide enough for more columns, and a heading of
// more than four lines is no heading.
const (
	maxColumns      = 14
	maxHeadingLines = 4
	maxRowLines     = 3
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
	var best structure
	ok := false
	keep := func(s structure, fits bool) {
		if fits && (!ok || s.worth > best.worth) {
			best, ok = s, true
		}
	}
	for h := 1; h <= maxHeadingLines; h++ {
		n, heading := d.headingLines(lines, i, h)
		if len(heading) < h {
			break
		}
		if n >= len(lines) || d.isHeading(lines[n].toks) {
			continue // rows of values must follow
		}
		for _, cut := range []headingCut{atCells, atPhrases, atWords} {
			if h > 1 {
				keep(d.rows(k, [][]column{d.columns(k, heading, cut, true)}, lines, i, n))
			}
			for _, groups := range groupings(heading) {
				var sets [][]column
				for _, g := range groups {
					sets = append(sets, d.columns(k, g, cut, false))
				}
				keep(d.rows(k, sets, lines, i, n))
			}
		}
	}
	return best, ok
}

// headingCut says where the words of a heading are cut into columns.
type headingCut int

const (
	atCells headingCut = iota
	atPhrases
	atWords
)

// groupings lists the ways to give the lines of a heading to the lines of a
// row: all to one, or in order to several.
func groupings(heading [][]token) [][][][]token {
	h := len(heading)
	var out [][][][]token
	for cuts := 0; cuts < 1<<(h-1); cuts++ {
		var groups [][][]token
		from := 0
		for i := 1; i <= h; i++ {
			if i == h || cuts>>(i-1)&1 == 1 {
				groups = append(groups, heading[from:i])
				from = i
			}
		}
		if len(groups) <= maxRowLines {
			out = append(out, groups)
		}
	}
	return out
}

// headingLines takes h lines of labels from line i; rules may stand between
// and behind.
func (d *doc) headingLines(lines []line, i, h int) (next int, out [][]token) {
	j := i
	for j < len(lines) && len(out) < h {
		if lines[j].rule {
			if j == i {
				return j, nil
			}
			j++
			continue
		}
		if !d.isHeading(lines[j].toks) && (len(out) == 0 || !brokenBelow(out[len(out)-1], lines[j].toks)) {
			return j, out
		}
		out = append(out, lines[j].toks)
		j++
	}
	for j < len(lines) && lines[j].rule {
		j++
	}
	return j, out
}

// brokenBelow reports whether a line holds the second halves of words that were
// broken in the heading line above.
func brokenBelow(above, toks []token) bool {
	broken := 0
	for _, t := range above {
		if strings.HasSuffix(t.text, "-") || strings.HasSuffix(t.text, "/") {
			broken++
		}
	}
	for _, t := range toks {
		if t.number || t.blank {
			return false
		}
	}
	return broken > 0 && len(toks) <= broken+1
}

// isHeading reports whether nearly all tokens are parts of labels or units.
func (d *doc) isHeading(toks []token) bool {
	if len(toks) == 0 || len(toks) > 2*maxColumns {
		return false
	}
	parts := 0
	for i := 0; i < len(toks); {
		n := 1
		if _, _, used := d.code(lexicon.Part, toks[i:]); used > 0 {
			parts += used
			n = used
		} else if _, cost, used := d.code(lexicon.Unit, toks[i:]); used > 0 && cost == 0 {
			parts += used
			n = used
		} else if toks[i].number && !toks[i].paren {
			return false
		}
		i += n
	}
	return float64(parts) >= 0.7*float64(len(toks))
}

// segment is a run of heading tokens of one line.
type segment struct {
	l, r float64
	toks []token
}

func (d *doc) segments(toks []token, cut headingCut) []segment {
	var out []segment
	for i := 0; i < len(toks); {
		j := cellEnd(toks, i)
		if cut != atCells {
			n := 1
			if cut == atPhrases {
				_, _, n = d.code(lexicon.Part, toks[i:j])
				n = max(n, 1)
			}
			for i+n < j && (toks[i+n].paren || d.isUnit(toks[i+n])) {
				n++
			}
			j = i + n
		}
		out = append(out, segment{toks[i].col, toks[j-1].end, toks[i:j]})
		i = j
	}
	return out
}

func (d *doc) isUnit(t token) bool {
	_, isUnit := false, false
	for _, h := range d.find([]token{t}) {
		if h.Cost > 0 {
			continue
		}
		switch h.Sense {
		case lexicon.Part:
			return false
		case lexicon.Unit:
			isUnit = true
		}
	}
	return isUnit
}

// columns stacks the heading lines into columns and finds their fields. With
// spread, a heading over several columns counts for each of them.
func (d *doc) columns(k record.Kind, heading [][]token, cut headingCut, spread bool) []column {
	var cols []column
	for n, toks := range heading {
		segs := d.segments(toks, cut)
		if n > 0 {
			cols = splitAtStroke(cols, segs)
		}
		if n > 0 && spread && len(segs) > len(cols) {
			cols = spreadOver(cols, segs)
			continue
		}
		for _, s := range segs {
			if c := overlapping(cols, s); c >= 0 {
				cols[c].join(s)
			} else {
				cols = append(cols, column{l: s.l, r: s.r, toks: s.toks})
			}
		}
	}
	slices.SortStableFunc(cols, func(a, b column) int { return int(math.Copysign(1, a.l-b.l)) })
	if len(cols) > maxColumns {
		cols = cols[:maxColumns]
	}
	for i := range cols {
		cols[i].next = math.Inf(1)
		if i+1 < len(cols) {
			cols[i].next = cols[i+1].l
		}
	}
	d.nameColumns(k, cols)
	return cols
}

// splitAtStroke cuts a heading such as Over/Allow- in two when two headings
// stand below it.
func splitAtStroke(cols []column, lower []segment) []column {
	var out []column
	for _, c := range cols {
		under := 0
		for _, s := range lower {
			if min(c.r, s.r)-max(c.l, s.l) > 0 {
				under++
			}
		}
		last := c.toks[len(c.toks)-1]
		at := strings.IndexByte(last.text, '/')
		if under < 2 || at < 2 || at > len(last.text)-4 {
			out = append(out, c)
			continue
		}
		a, b := last, last
		a.at, b.at = -1, -1 // no tokens of the slip any more
		a.text, a.norm = last.text[:at+1], last.norm[:at+1]
		b.text, b.norm = last.text[at+1:], last.norm[at+1:]
		a.end = last.col + float64(at+1)
		b.col = a.end
		left := c
		left.toks = append(c.toks[:len(c.toks)-1:len(c.toks)-1], a)
		left.r = a.end
		out = append(out, left, column{l: b.col, r: c.r, toks: []token{b}})
	}
	return out
}

func (c *column) join(s segment) {
	c.l, c.r = min(c.l, s.l), max(c.r, s.r)
	if last := c.toks[len(c.toks)-1]; strings.HasSuffix(last.norm, "-") || strings.HasSuffix(last.norm, "/") {
		// A word broken at the end of its line.
		cut := strings.TrimSuffix(last.norm, "-")
		t := s.toks[0]
		t.at = -1
		t.text, t.norm = strings.TrimSuffix(last.text, "-")+t.text, cut+t.norm
		c.toks = append(append(c.toks[:len(c.toks)-1:len(c.toks)-1], t), s.toks[1:]...)
		return
	}
	c.toks = append(c.toks[:len(c.toks):len(c.toks)], s.toks...)
}

func overlapping(cols []column, s segment) int {
	best, most := -1, 0.0
	for i, c := range cols {
		if o := min(c.r, s.r) - max(c.l, s.l); o > most {
			best, most = i, o
		}
	}
	return best
}

// spreadOver gives each lower heading the words of the upper one nearest to
// it.
func spreadOver(upper []column, lower []segment) []column {
	var out []column
	for _, s := range lower {
		c := column{l: s.l, r: s.r, toks: s.toks}
		best, near := -1, math.Inf(1)
		for i, u := range upper {
			if gap := max(u.l-s.r, s.l-u.r); gap < near {
				best, near = i, gap
			}
		}
		if best >= 0 {
			c.toks = append(append([]token(nil), upper[best].toks...), s.toks...)
		}
		out = append(out, c)
	}
	return out
}

// nameColumns finds the field of each column. A field that is already taken
// names no second column, but for dates and clocks, which are put together.
func (d *doc) nameColumns(k record.Kind, cols []column) {
	taken := map[string]bool{}
	for i := range cols {
		c := &cols[i]
		c.bag, c.unit, c.cost = d.bag(c.toks)
		f, ok := d.field(k, c.bag)
		if !ok {
			if part := quantityPart[quantityOf(unitCodes[c.unit])]; part != "" && c.bag != "" {
				f, ok = d.field(k, withPart(c.bag, labelTables().parts[part]))
			}
		}
		spec, known := specOf(k, f)
		if part := quantityPart[quantityOf(unitCodes[c.unit])]; ok && known && part != "" && (spec.Type != record.Number || spec.Quantity != quantityOf(unitCodes[c.unit])) {
			if g, found := d.field(k, withPart(c.bag, labelTables().parts[part])); found {
				f = g
				spec, known = specOf(k, f)
			}
		}
		if ok && known && (!taken[f] || spec.Type == record.Time) {
			c.field, c.spec = f, spec
			taken[f] = true
		}
	}
}

// bag is the set of parts in a heading, in whatever order they stand.
func (d *doc) bag(toks []token) (bag, unit string, cost float64) {
	for i := 0; i < len(toks); {
		part, c, n := d.code(lexicon.Part, toks[i:])
		if u, k, m := d.code(lexicon.Unit, toks[i:]); m > 0 && k == 0 && (m >= n || c > 0) {
			unit = u
			if n == 0 || toks[i].paren || c > 0 {
				i += m
				continue
			}
		}
		if n == 0 {
			if _, isFiller := d.filler(toks[i]); !isFiller {
				cost++
			}
			i++
			continue
		}
		bag = withParts(bag, part)
		cost += c
		i += n
	}
	return bag, unit, cost
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
		e, worth, used := d.oneRow(k, sets, lines, i)
		if used > 0 {
			s.add(between, false)
			between = structure{}
			s.entries = append(s.entries, entry{facts: e, row: true})
			s.worth += worth
			i += used
			s.lines = i - start
			rows++
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
		more := d.lineBetween(k, lines[i])
		if more.worth < -50 {
			break
		}
		between.add(more, true)
		between.lines++
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

// lineBetween reads a line between two rows.
func (d *doc) lineBetween(k record.Kind, l line) structure {
	left := structure{worth: -leaveCost * float64(len(l.toks))}
	facts, worth := d.scan(k, l.toks)
	if d.title(l).kind != "" || hasField(facts, ownName(k)) || len(cells(l.toks)) > 1 && d.isHeading(l.toks) {
		left.worth -= 100 // a title, a thing's name or a heading ends the table
		return left
	}
	if len(facts) > 0 && worth > left.worth {
		return structure{worth: worth, entries: []entry{{facts: facts}}}
	}
	return left
}

// headWorth is what a heading explains; it is no heading when fewer than half
// of its columns have a name.
func headWorth(cols []column) (float64, bool) {
	named := 0
	worth := 0.0
	for _, c := range cols {
		if c.field != "" {
			named++
			worth += float64(len(c.toks)) * freeWorth
		} else {
			worth -= float64(len(c.toks)) * labelCost
		}
		worth -= c.cost * misreadCost
	}
	return worth, named > 0 && named*2 >= len(cols)
}

// oneRow fits the next lines to the sets of columns, one line each.
func (d *doc) oneRow(k record.Kind, sets [][]column, lines []line, i int) ([]fact, float64, int) {
	var all []fact
	total := 0.0
	j := i
	for n, cols := range sets {
		for n > 0 && j < len(lines) && lines[j].rule {
			j++
		}
		if j >= len(lines) {
			return nil, 0, 0
		}
		facts, worth, ok := d.row(k, cols, lines[j].toks)
		if !ok {
			return nil, 0, 0
		}
		all = append(all, facts...)
		total += worth
		j++
	}
	return all, total, j - i
}

// wrap adds a line of text to the last row's text column above it.
func (s *structure) wrap(cols []column, toks []token, d *doc) bool {
	if len(toks) == 0 || len(toks) > 4 || toks[0].col < 2 || toks[0].open {
		return false
	}
	last := &s.entries[len(s.entries)-1]
	for i := range last.facts {
		f := &last.facts[i]
		spec := fieldSpecOf(cols, f.field)
		if spec.Type != record.Label || len(f.read.toks) == 0 {
			continue
		}
		left := f.read.toks[0].col
		if math.Abs(toks[0].col-left) < 2.5 && !toks[0].number && cellEnd(toks, 0) == len(toks) && !d.isHeading(toks) {
			f.read.toks = append(f.read.toks[:len(f.read.toks):len(f.read.toks)], toks...)
			f.read.value = textOf(f.read.toks)
			s.worth += float64(len(toks)) * textWorth
			return true
		}
	}
	return false
}

func fieldSpecOf(cols []column, field string) record.FieldSpec {
	for _, c := range cols {
		if c.field == field {
			return c.spec
		}
	}
	return record.FieldSpec{}
}

// cellStep is one choice in fitting a row's tokens to columns.
type cellStep struct {
	worth float64
	used  int // tokens that this column takes; -1: a token is left over
	read  reading
}

// row fits a line's tokens to the columns, both in order, in the way that is
// worth most.
func (d *doc) row(k record.Kind, cols []column, toks []token) ([]fact, float64, bool) {
	if len(toks) == 0 || len(toks) > 3*maxColumns {
		return nil, 0, false
	}
	width := len(toks) + 1
	grid := make([]cellStep, (len(cols)+1)*width)
	for t := len(toks) - 1; t >= 0; t-- {
		grid[len(cols)*width+t] = cellStep{grid[len(cols)*width+t+1].worth - leftInRow(toks, t), -1, reading{}}
	}
	for c := len(cols) - 1; c >= 0; c-- {
		for t := len(toks); t >= 0; t-- {
			best := cellStep{worth: grid[(c+1)*width+t].worth}
			if t < len(toks) {
				if w := grid[c*width+t+1].worth - leftInRow(toks, t); w > best.worth {
					best = cellStep{w, -1, reading{}}
				}
				d.fill(k, cols[c], toks, t, func(r reading, worth float64) {
					if w := worth + grid[(c+1)*width+t+r.used].worth; w > best.worth {
						best = cellStep{w, r.used, r}
					}
				})
			}
			grid[c*width+t] = best
		}
	}
	var facts []fact
	left := 0
	var stray []token
	for c, t := 0, 0; c < len(cols) || t < len(toks); {
		s := grid[c*width+t]
		switch {
		case s.used < 0:
			if !toks[t].blank {
				left++
				stray = append(stray, toks[t])
			}
			t++
			continue
		case s.used > 0 && cols[c].field != "" && s.read.toks != nil:
			facts = append(facts, fact{field: cols[c].field, read: s.read, label: cols[c].toks, cost: cols[c].cost, printed: true})
		}
		t += s.used
		c++
	}
	worth := grid[0].worth
	if f, ok := d.strayState(k, facts, stray); ok {
		facts, left, worth = append(facts, f), left-len(f.read.toks), worth+2
	}
	if left > 1 || left*4 > len(toks) {
		return nil, 0, false
	}
	if own := ownName(k); own != "device" && !hasField(facts, own) && len(facts) < 3 {
		for _, c := range cols {
			if c.field == own {
				return nil, 0, false // a row of things names its thing
			}
		}
	}
	return facts, worth, worth > 0 && len(facts) > 0 && 2*len(facts) >= min(len(cols), 4) && !d.onlyText(cols, facts)
}

// strayState takes a state word of an alarm or sensor that stands in a column
// without a heading.
func (d *doc) strayState(k record.Kind, facts []fact, stray []token) (fact, bool) {
	sense := lexicon.AlarmState
	switch k {
	case record.SensorStatus:
		sense = lexicon.SensorState
	case record.Alarm:
	default:
		return fact{}, false
	}
	code, cost, ok := d.whole(sense, stray)
	if !ok || hasField(facts, "state") {
		return fact{}, false
	}
	return fact{field: "state", read: reading{used: len(stray), toks: stray, value: code, cost: cost}, weak: true}, true
}

func (d *doc) onlyText(cols []column, facts []fact) bool {
	for _, f := range facts {
		if fieldSpecOf(cols, f.field).Type != record.Label {
			return false
		}
	}
	return len(cols) > 1
}

// leftInRow is the cost of a token that no column takes; it is dearer when that
// tears a cell apart.
func leftInRow(toks []token, i int) float64 {
	switch {
	case toks[i].blank:
		return 0
	case starts(toks, i) && cellEnd(toks, i) == i+1:
		return 1.2
	}
	return 2.5
}

// fill offers every value that a column may take from token t on.
func (d *doc) fill(k record.Kind, c column, toks []token, t int, offer func(reading, float64)) {
	if toks[t].blank {
		if fit := align(c, toks[t:t+1]); fit > -1 {
			offer(reading{used: 1}, 0.3+fit)
		}
		return
	}
	if c.field == "" {
		if fit := align(c, toks[t:t+1]); fit > 0 {
			offer(reading{used: 1}, 0.2+fit)
		}
		return
	}
	most := 3
	if c.spec.Type == record.Label || c.spec.Type == record.Time {
		most = 6
	}
	for n := min(most, len(toks)-t); n > 0; n-- {
		run := toks[t : t+n]
		if c.spec.Type == record.Label && (crosses(run, n) || run[n-1].end > c.next+1.5) {
			continue
		}
		r, ok := d.readField(k, c.spec, run, c.unit)
		if !ok || r.used != n {
			continue
		}
		fit := align(c, run)
		if fit <= -1 {
			continue
		}
		per := 1.0
		if c.spec.Type == record.Label {
			per = 0.6
		}
		offer(r, float64(n)*per+0.5+fit-(r.cost+float64(r.fixed)*0.3)*misreadCost)
	}
}

// align says how well a run of tokens stands under a heading: 0.3 for under
// it, less with every character beside it, -1 for too far off.
func align(c column, run []token) float64 {
	l, r := run[0].col, run[len(run)-1].end
	gap := max(c.l-r, l-c.r)
	switch {
	case gap < 0:
		return 0.3
	case gap > 9:
		return -1
	}
	return 0.2 - 0.12*gap
}
