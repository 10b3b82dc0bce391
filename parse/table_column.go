package parse

import (
	"math"
	"slices"
	"strings"
	"sync"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// column is one column of a table: the heading's words and the field they
// name.
type column struct {
	l, r   float64
	toks   []token
	bag    string
	unit   string
	cost   float64
	field  string
	spec   record.FieldSpec
	next   float64 // where the column to the right begins
	before float64 // where the column to the left ends
	holds  bool    // names of things stand in it, and what they hold may stand behind them
}

// columns stacks the heading lines into columns, which have no fields yet. With spread,
// a heading over several columns counts for each of them. The columns are remembered:
// the caller must not change them.
func (d *doc) columns(heading [][]token, cut headingCut, spread bool) []column {
	first := heading[0]
	if d.inside || len(first) == 0 || d.memory(first[0].at) == nil {
		return d.columnsAnew(heading, cut, spread)
	}
	m := d.memory(first[0].at)
	for a := m.columns; a != nil; a = a.before {
		if a.is.lines == len(heading) && a.is.toks == len(first) && a.is.cut == cut && a.is.spread == spread {
			return a.is.cols
		}
	}
	cols := d.columnsAnew(heading, cut, spread)
	d.kept.columns.keep(&m.columns, columnsAnswer{len(heading), len(first), cut, spread, cols})
	return cols
}

// columnsAnew is columns without a memory.
func (d *doc) columnsAnew(heading [][]token, cut headingCut, spread bool) []column {
	var cols []column
	for n, toks := range heading {
		segs := d.segments(toks, cut)
		cols = slices.Grow(cols, len(segs))
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
		c := &cols[i]
		c.bag, c.unit, c.cost = d.bag(c.toks)
		if len(c.toks) == 1 && c.toks[0].norm == "at" && len(cols) > 2 {
			c.bag, c.cost = bagOf("time"), 0 // the time that each row is of
		}
		c.next, c.before = math.Inf(1), math.Inf(-1)
		if i > 0 {
			c.before = cols[i-1].r
		}
		if i+1 < len(cols) {
			c.next = cols[i+1].l
		}
	}
	return cols
}

// withFields are the columns of headings with the fields that they name in a kind of record.
func (d *doc) withFields(k record.Kind, sets [][]column) [][]column {
	out := make([][]column, len(sets))
	for i, cols := range sets {
		out[i] = slices.Clone(cols)
		d.nameColumns(k, out[i])
	}
	return out
}

// join puts words of a lower heading line under those of the column.
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

// overlapping finds the column that a segment stands under most, -1 for none.
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
// it; one alone that stands over several is of those only.
//
//	                   DELIVERED
//	TANK   ENDED       GROSS   NET
func spreadOver(upper []column, lower []segment) []column {
	var out []column
	over := 0
	for _, s := range lower {
		if len(upper) == 1 && overlapping(upper, s) == 0 {
			over++
		}
	}
	for _, s := range lower {
		if over > 1 && overlapping(upper, s) < 0 {
			out = append(out, column{l: s.l, r: s.r, toks: s.toks})
			continue
		}
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

// splitAtStroke cuts a heading such as Over/Allow- in two when two headings
// stand below it.
func splitAtStroke(cols []column, lower []segment) []column {
	if !slices.ContainsFunc(cols, func(c column) bool { return strokeWithin(c, lower) > 0 }) {
		return cols
	}
	var out []column
	for _, c := range cols {
		at := strokeWithin(c, lower)
		if at == 0 {
			out = append(out, c)
			continue
		}
		last := c.toks[len(c.toks)-1]
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

// strokeWithin is where a stroke cuts the last word of a column in two, when two headings
// stand below it; else 0.
func strokeWithin(c column, lower []segment) int {
	last := &c.toks[len(c.toks)-1]
	at := strings.IndexByte(last.text, '/')
	if at < 2 || at > len(last.text)-4 {
		return 0
	}
	under := 0
	for _, s := range lower {
		if min(c.r, s.r)-max(c.l, s.l) > 0 {
			under++
		}
	}
	if under < 2 {
		return 0
	}
	return at
}

// nameColumns finds the field of each column. A field that is already taken
// names no second column, but for dates and clocks, which are put together.
func (d *doc) nameColumns(k record.Kind, cols []column) {
	taken := map[string]bool{}
	for i := range cols {
		c := &cols[i]
		if quantityOf(unitCodes[c.unit]) == record.Temperature && c.bag == bagOf("tank") {
			c.bag = bagOf("temperature") // T(C)
		}
		f, spec, cost, ok := d.fieldOf(k, c.bag, c.unit)
		if cost > 0 && len(cols) < 3 {
			continue // a heading is told by its words; one column is soon any line
		}
		c.cost += cost
		if ok && (!taken[f] || spec.Type == record.Time) {
			c.field, c.spec = f, spec
			taken[f] = true
		}
	}
	momentColumns(k, cols)
	d.stateColumns(k, cols)
	thingColumn(k, cols, taken)
	pointColumn(k, cols, taken)
	placeColumn(k, cols, taken)
	flowColumns(k, cols, taken)
	actualColumn(k, cols, taken)
	dippedColumn(k, cols, taken)
	amountColumns(k, cols, taken)
	d.unitColumns(k, cols, taken)
	dayColumn(k, cols)
	d.passColumns(k, cols)
	holding(k, cols)
}

// thingColumn names the one column of a table of alarms that is headed by a word for equipment,
// whose numbers stand below it: TANK, SENSOR NO.
func thingColumn(k record.Kind, cols []column, taken map[string]bool) {
	if k != record.Alarm || taken["device"] || taken["device_number"] || len(cols) < 3 {
		return
	}
	at := -1
	for i := range cols {
		if cols[i].field == "" && thingOf(cols[i].bag) != "" {
			if at >= 0 {
				return // TANK   SENSOR
			}
			at = i
		}
	}
	if at >= 0 {
		c := &cols[at]
		c.field, c.spec = "device", specs[k]["device"]
		taken["device"] = true
	}
}

// pointColumn names the first column of a table of sensors that is headed by a word for what has
// one, or by the letter for a number, and by nothing that the table has a field for.
func pointColumn(k record.Kind, cols []column, taken map[string]bool) {
	const fewest = 3
	if k != record.SensorStatus || taken["sensor"] || len(cols) < fewest || cols[0].field != "" || len(cols[0].toks) != 1 {
		return
	}
	if w := cols[0].toks[0].norm; w == "n" || pointWords[w] && w != "location" && w != "place" {
		cols[0].field, cols[0].spec = "sensor", specs[k]["sensor"]
		taken["sensor"] = true
	}
}

// placeColumn names the one column of a table of sensors beside their numbers and states that is headed
// by a word for such a place: NO  SUMP  STATE.
func placeColumn(k record.Kind, cols []column, taken map[string]bool) {
	const fewest = 3
	if k != record.SensorStatus || taken["location"] || !taken["state"] || len(cols) < fewest {
		return
	}
	at := -1
	for i := range cols {
		if c := &cols[i]; c.field == "" && c.unit == "" && len(c.toks) == 1 && !c.toks[0].number {
			if at >= 0 {
				return
			}
			at = i
		}
	}
	if at == 0 && cols[at].l > 1 || at > 0 && cols[at-1].field == "sensor" { // numbers stand before it
		cols[at].field, cols[at].spec = "location", specs[k]["location"]
		taken["location"] = true
	}
}

// thingOf is the equipment that a label means, which names no more than it and its number; ""
// for none.
func thingOf(bag string) string { return thingBags()[bag] }

var thingBags = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	for _, thing := range []string{"tank", "line", "sensor"} {
		out[bagOf(thing)], out[bagOf(thing, "number")] = thing, thing
	}
	return out
})

// numberUnder reads the number of equipment in a cell below the word for it.
func numberUnder(c column, toks []token) (reading, bool) {
	if c.field != "device" || len(toks) != 1 || !plainDigits(toks[0].text, 1, 3) {
		return reading{}, false
	}
	thing := thingOf(c.bag)
	number := strings.TrimLeft(toks[0].text, "0")
	if thing == "" || number == "" {
		return reading{}, false
	}
	r := reading{used: 1, toks: toks, value: thing}
	r.also = &fact{field: "device_number", read: reading{used: 1, toks: toks, value: number}}
	return r, true
}

// flowColumns names the columns IN and OUT of an account that stand side by side.
func flowColumns(k record.Kind, cols []column, taken map[string]bool) {
	if k != record.Reconciliation {
		return
	}
	for i := 1; i < len(cols); i++ {
		a, b := &cols[i-1], &cols[i]
		if a.toks[0].norm != "in" || b.toks[0].norm != "out" || a.bag != "" || b.bag != "" || taken["delivered"] || taken["sold"] {
			continue
		}
		a.field, b.field = "delivered", "sold"
		for _, c := range []*column{a, b} {
			c.spec, c.cost = specs[k][c.field], 0
			taken[c.field] = true
			if len(c.toks) == 1 {
				c.unit = ""
			}
		}
	}
}

// actualColumn names the column ACTUAL beside what is allowed, in a table of an account that has
// no amounts that were opened with or sold: the variance, which may lack its sign there.
func actualColumn(k record.Kind, cols []column, taken map[string]bool) {
	if k != record.Reconciliation || !taken["allowed"] || taken["over_short"] || taken["opening"] || taken["sold"] || taken["delivered"] {
		return
	}
	for i := range cols {
		if c := &cols[i]; c.field == "closing" && len(c.toks) == 1 && c.toks[0].norm == "actual" {
			c.field, c.spec, c.cost = "over_short", specs[k]["over_short"], wordTooMany
		}
	}
}

// dippedColumn names the column of what was measured in a table of an account that has no other for
// what it closed with: OPEN  RECEIPTS  SALES  BOOK  STICK.
func dippedColumn(k record.Kind, cols []column, taken map[string]bool) {
	if k != record.Reconciliation || taken["closing"] || !taken["opening"] || !taken["sold"] {
		return
	}
	for i := range cols {
		c := &cols[i]
		if q := quantityOf(unitCodes[c.unit]); c.field == "" && (c.bag == bagOf("height") || c.bag == grossBag()) && (c.unit == "" || q == record.Volume) && c.toks[0].norm != "level" {
			c.field, c.spec, c.cost = "closing", specs[k]["closing"], wordTooMany
			taken["closing"] = true
			return
		}
	}
}

// unitsBelow gives the columns of one heading the units that stand with the values of the
// first row, where those alone say what a heading means: WATER above 13.2 GAL is its volume.
func (d *doc) unitsBelow(sets [][]column, lines []line, row int) [][]column {
	if len(sets) != 1 || row >= len(lines) {
		return sets
	}
	toks := lines[row].toks
	var out []column
	for i, c := range sets[0] {
		if c.unit != "" || c.bag == "" || c.toks[0].line != c.toks[len(c.toks)-1].line {
			continue
		}
		for t := 0; t+1 < len(toks); t++ {
			if !toks[t].number || toks[t].end <= c.l-wideGap || toks[t].col >= min(c.next-wideGap, c.r) {
				continue
			}
			if code, cost, used := d.unitAfter(toks[t+1:]); used > 0 && cost == 0 && quantityPart[quantityOf(unitCodes[code])] != "" {
				if out == nil {
					out = slices.Clone(sets[0])
				}
				out[i].unit = code
			}
			break
		}
	}
	if out == nil {
		return sets
	}
	return [][]column{out}
}

// asAmounts gives the columns of a start and an end that say no more the volumes of these,
// where other columns name the time, and a column of gross amounts beside one of net ones
// what was delivered: BEFORE   AFTER, GROSS   NET. It reports whether there are such.
func (d *doc) asAmounts(k record.Kind, sets [][]column, row []token) bool {
	if len(sets) != 1 || sideFields[k] == nil && k != record.Inventory {
		return false
	}
	has := func(field string) bool {
		return slices.ContainsFunc(sets, func(cols []column) bool {
			return slices.ContainsFunc(cols, func(c column) bool { return c.field == field })
		})
	}
	changed := false
	for _, cols := range sets {
		sides := map[string]int{}
		for _, c := range cols {
			sides[c.bag]++
		}
		for i := range cols {
			c := &cols[i]
			if sides[c.bag]--; sides[c.bag] > 0 {
				continue // START   END   BEFORE   AFTER: the times stand first
			}
			field := ""
			switch {
			case c.bag == startBag() && !has("start_volume"):
				field = "start_volume"
			case c.bag == endBag() && !has("end_volume"):
				field = "end_volume"
			case c.bag == bagOf("gross") && has("net_delivered") && !has("delivered"):
				field = "delivered"
			case c.bag == bagOf("gross") && len(c.toks) == 1 && c.toks[0].norm == "measured" && !has("at") && d.dateUnder(*c, row):
				field = "at"
			}
			if spec, ok := specs[k][field]; ok && field != "" {
				c.field, c.spec, changed = field, spec, true
				if field == "at" {
					c.cost = wordTooMany // it may be the time of something else
				}
			}
		}
	}
	return changed
}

// dateUnder reports whether a date stands in a column of a row.
func (d *doc) dateUnder(c column, row []token) bool {
	for i, t := range row {
		if t.end > c.l && t.col < c.next && t.col > c.before {
			r, ok := d.readTime(row[i:], true)
			return ok && r.hasDate() && r.hasClock()
		}
	}
	return false
}

// bag is the set of parts in a heading, in whatever order they stand.
func (d *doc) bag(toks []token) (bag, unit string, cost float64) {
	if bag = formBag(toks); bag != "" {
		return bag, "", 0
	}
	for i := 0; i < len(toks); {
		if n := d.noteIn(toks, i); n > 0 {
			i += n
			continue
		}
		part, c, n := d.code(lexicon.Part, toks[i:])
		if n > 1 && toks[i+n-1].line != toks[i].line && d.spelt(toks[i+n-1], lexicon.Unit) {
			part, c, n = d.code(lexicon.Part, toks[i:i+n-1]) // FUEL above IN
		}
		if u, k, m := d.code(lexicon.Unit, toks[i:]); m > 0 && k == 0 && (m >= n || c > 0) && !d.joinsLabel(toks, i) {
			unit = u
			if n == 0 || toks[i].paren || c > 0 {
				i += m
				continue
			}
		}
		if n == 0 && d.yearIn(toks, i) {
			i++
			continue
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

// joinsLabel reports whether a word that is a unit as well stands between words of a label:
// PASSED IN 24 H.
func (d *doc) joinsLabel(toks []token, i int) bool {
	if i == 0 || i+1 >= len(toks) || !d.littleWord(toks[i]) || toks[i].paren || toks[i].line != toks[i-1].line || toks[i].line != toks[i+1].line || toks[i-1].stop != 0 {
		return false
	}
	_, cost, used := d.code(lexicon.Part, toks[i+1:])
	return used > 0 && cost == 0
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

// fieldSpecOf is the spec of the column that holds a field.
func fieldSpecOf(cols []column, field string) (record.FieldSpec, bool) {
	for _, c := range cols {
		if c.field == field {
			return c.spec, true
		}
	}
	return record.FieldSpec{}, false
}
