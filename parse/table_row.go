package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/record"
)

// cellStep is one choice in fitting a row's tokens to columns.
type cellStep struct {
	worth float64
	used  int // tokens that this column takes; -1: a token is left over
	read  int // the reading's place among those that were offered
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
		if n > 0 && j+1 < len(lines) && d.strangeLine(k, lines[j]) {
			if _, _, fits := d.row(k, cols, lines[j].toks); !fits {
				j++
			}
		}
		facts, worth, ok := d.row(k, cols, lines[j].toks)
		if f, w, over := d.rowOver(k, cols, lines, j, worth, ok); over {
			facts, worth, ok = f, w, true
			j++
		}
		if !ok {
			return nil, 0, 0
		}
		if all == nil {
			all = facts
		} else {
			all = append(all, facts...)
		}
		total += worth
		j++
	}
	return all, total, j - i
}

// strangeLine reports whether a line is one cell that begins with a word and says nothing of a kind of
// record: wherever it stands, what is around it may go on over it.
func (d *doc) strangeLine(k record.Kind, l line) bool {
	if l.head || cellCount(l.toks) != 1 || !onlyWords(l.toks[:1]) || d.isHeading(l.toks) || d.title(l).kind != "" {
		return false
	}
	facts, worth := d.scan(k, l.toks)
	return len(facts) == 0 || worth <= 0
}

// row fits a line's tokens to the columns, both in order, in the way that is
// worth most.
func (d *doc) row(k record.Kind, cols []column, toks []token) ([]fact, float64, bool) {
	if len(toks) == 0 || len(toks) > 3*maxColumns {
		return nil, 0, false
	}
	if d.namesThing(k, cols, toks) {
		return d.rowOfThing(k, cols, toks)
	}
	if facts, worth, ok := d.rowOfTest(k, cols, toks); ok {
		return facts, worth, true
	}
	if facts, worth, ok := d.rowOfSensor(k, cols, toks); ok {
		return facts, worth, true
	}
	return d.rowBehind(k, cols, toks, 0)
}

// rowBehind is row for what stands in the columns, behind so many facts that stand left of
// them.
func (d *doc) rowBehind(k record.Kind, cols []column, toks []token, before int) ([]fact, float64, bool) {
	width := len(toks) + 1
	grid := slices.Grow(d.grid[:0], (len(cols)+1)*width)[:(len(cols)+1)*width]
	clear(grid)
	reads := append(d.reads[:0], reading{}) // the first is of a token that no column takes
	defer func() { d.grid, d.reads = grid, reads }()
	for t := len(toks) - 1; t >= 0; t-- {
		grid[len(cols)*width+t] = cellStep{grid[len(cols)*width+t+1].worth - leftInRow(toks, t), -1, 0}
	}
	for c := len(cols) - 1; c >= 0; c-- {
		for t := len(toks); t >= 0; t-- {
			best := cellStep{worth: grid[(c+1)*width+t].worth}
			if t < len(toks) {
				if w := grid[c*width+t+1].worth - leftInRow(toks, t); w > best.worth {
					best = cellStep{w, -1, 0}
				}
				d.fill(k, cols[c], toks, t, func(r reading, worth float64) {
					if w := worth + grid[(c+1)*width+t+r.used].worth; w > best.worth {
						best = cellStep{w, r.used, len(reads)}
						reads = append(reads, r)
					}
				})
			}
			grid[c*width+t] = best
		}
	}
	facts := d.rowRoom[:0]
	defer func() { d.rowRoom = facts }()
	left := 0
	var stray, unnamed []token
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
		case s.used > 0 && cols[c].field != "" && reads[s.read].toks != nil:
			field := cols[c].field
			if reads[s.read].hasTime() && cols[c].spec.Type == record.Number {
				field = fieldMoment
			}
			f := fact{field: field, read: reads[s.read], label: cols[c].toks, cost: cols[c].cost, printed: true, under: len(cols) > 1}
			if cols[c].holds && s.used > 1 {
				f.read.used = 1
				facts = append(facts, f)
				f = productFact(toks[t+1:t+s.used], 0)
			}
			facts = append(facts, f)
		case s.used > 0:
			unnamed = append(unnamed, toks[t:t+s.used]...)
		}
		t += s.used
		c++
	}
	worth := grid[0].worth
	if f, ok := d.strayState(k, facts, stray); ok {
		facts, left, worth = append(facts, f), left-len(f.read.toks), worth+2
	}
	for _, words := range [][]token{stray, unnamed} {
		if f, ok := d.whichPass(k, words); ok && isPass(facts, f) {
			worth += float64(len(words))
			if len(stray) > 0 && words[0].at == stray[0].at {
				left -= len(words)
			}
		}
	}
	if left > 1 || left*4 > len(toks) {
		return nil, 0, false
	}
	if own := ownName(k); own != "device" && !hasField(facts, own) && len(facts) < 3 && !passRow(k, facts) {
		for _, c := range cols {
			if c.field == own {
				return nil, 0, false // a row of things names its thing
			}
		}
	}
	if worth <= 0 || len(facts) == 0 || 2*(len(facts)+before) < min(len(cols), 4) || d.onlyText(cols, facts) || onlyHolds(k, cols, facts) {
		return nil, 0, false
	}
	return slices.Clone(facts), worth, true
}

// rowOfThing reads a row that begins with the name of what it is about, left of all columns:
//
//	           START GAL   END GAL
//	TANK 1     5120        5119
func (d *doc) rowOfThing(k record.Kind, cols []column, toks []token) ([]fact, float64, bool) {
	n := cellEnd(toks, 0)
	if n >= len(toks) || toks[n-1].end > cols[0].l+0.9 || toks[n-1].delim == ':' {
		return nil, 0, false
	}
	name, worth := d.scan(k, toks[:n])
	if !hasField(name, ownName(k)) || slices.ContainsFunc(name, func(f fact) bool { return f.field != ownName(k) && f.field != "product" }) || !d.complete(name, toks[:n]) {
		return nil, 0, false
	}
	facts, more, ok := d.rowBehind(k, cols, toks[n:], 1)
	if !ok {
		return nil, 0, false
	}
	return append(slices.Clone(name), facts...), worth + more, true
}

// rowOfSensor reads a row that begins with the number of a sensor, left of all columns, of
// which none is headed by the word for it:
//
//	    PLACE         KIND    STATE
//	1   TANK 1 SUMP   FLOAT   NORMAL
func (d *doc) rowOfSensor(k record.Kind, cols []column, toks []token) ([]fact, float64, bool) {
	if k != record.SensorStatus || len(toks) < 2 || !plainDigits(toks[0].text, 1, 3) || toks[0].end > cols[0].l || !starts(toks, 1) || slices.ContainsFunc(cols, func(c column) bool { return c.field == "sensor" }) {
		return nil, 0, false
	}
	name, ok := d.readIdent("sensor", toks[:1])
	if !ok {
		return nil, 0, false
	}
	facts, worth, ok := d.rowBehind(k, cols, toks[1:], 1)
	if !ok {
		return nil, 0, false
	}
	guess := ""
	if toks[0].ordinal {
		guess = countsLines
	}
	return append([]fact{{field: "sensor", read: name, guess: guess}}, facts...), worth + wordWorth + factWorth, true
}

// rowOfTest reads a row of passes that begins with the rate of its test, left of all columns:
//
//	        FIRST           LAST
//	0.2     03/02/24 01:12  03/13/24 02:05
func (d *doc) rowOfTest(k record.Kind, cols []column, toks []token) ([]fact, float64, bool) {
	if k != record.LineSummary || !toks[0].number || toks[0].end > cols[0].l {
		return nil, 0, false
	}
	r, ok := d.readClass(k, toks, "")
	if !ok || r.num.Decimals == 0 || r.used >= len(toks) || !starts(toks, r.used) || toks[r.used-1].end > cols[0].l || slices.ContainsFunc(cols, func(c column) bool { return c.field == "test_rate" || c.field == "test_class" || c.field == fieldType }) {
		return nil, 0, false
	}
	facts, worth, ok := d.rowBehind(k, cols, toks[r.used:], 1)
	if !ok {
		return nil, 0, false
	}
	return append([]fact{{field: "test_rate", read: r, weak: true}}, facts...), worth + float64(r.used)*wordWorth, true
}

// passRow reports whether a row says which test was passed and when: the name of the line
// may stand in a row above.
func passRow(k record.Kind, facts []fact) bool {
	return k == record.LineSummary && hasClass(facts) && slices.ContainsFunc(facts, func(f fact) bool { return f.read.hasDate() })
}

// hasClass reports whether one of the facts says which test it is.
func hasClass(facts []fact) bool {
	return slices.ContainsFunc(facts, func(f fact) bool { return f.read.class != "" })
}

// fill offers every value that a column may take from token t on.
func (d *doc) fill(k record.Kind, c column, toks []token, t int, offer func(reading, float64)) {
	if n := noneYet(toks[t:]); n > 0 && (c.field == "first_pass_of_month" || c.field == "last_pass_at") {
		if fit := align(c, toks[t:t+n]); fit > -1 {
			offer(reading{used: n, toks: toks[t : t+n], none: true}, float64(n)+fit)
		}
		return
	}
	if toks[t].blank || noValue(toks[t]) {
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
	if _, own := specs[k]["at"]; own && c.spec.Type == record.Number && c.unit == "" && (c.before > 0 || !math.IsInf(c.next, 1)) && align(c, toks[t:t+1]) > 0 {
		if n := d.momentHere(toks[t:]); n > 0 {
			r, _ := d.readTime(toks[t:t+n], true)
			offer(r, float64(n)) // MEASURED, which may be an amount or a time
			return
		}
	}
	whole := 0 // tokens of a date with its time of day, which no column parts
	if c.spec.Type == record.Time && !labelTables().has(c.bag, "date") && !labelTables().has(c.bag, "time") {
		if d.insideMoment(toks, t) {
			return
		}
		whole = d.momentHere(toks[t:])
	}
	if c.holds {
		d.fillHolding(c, toks, t, offer)
	}
	for n := min(max(mostInCell(c.spec.Type), whole), len(toks)-t); n > 0; n-- {
		run := toks[t : t+n]
		if n < whole {
			break
		}
		if c.spec.Type == record.Code && slices.ContainsFunc(run[1:], func(t token) bool { return t.edge }) {
			continue // of two cells
		}
		if c.spec.Type == record.Code && crosses(run, n) && (t > 0 && !starts(toks, t) || t+n < len(toks) && !starts(toks, t+n)) {
			continue // a cell and a part of another: BRINE RESERVOIR   HIGH
		}
		fit := align(c, run)
		if fit <= -1 {
			continue
		}
		if c.spec.Type == record.Label && (crosses(run, n) || run[n-1].end > c.next+1.5) {
			continue
		}
		r, ok := numberUnder(c, run)
		if !ok {
			r, ok = d.readLabelled(k, c.spec, c.bag, run, c.unit)
		}
		if !ok || r.used != n || c.spec.Type == record.Number && r.unitFrom != unitBeside && d.otherUnit(c.spec, toks[t+n:]) {
			continue
		}
		per := 1.0
		if c.spec.Type == record.Label {
			per = 0.6
		}
		offer(r, float64(n)*per+0.5+fit-(r.cost+float64(r.fixed)*0.3)*misreadCost)
	}
}

// otherUnit reports whether a unit follows that measures something else than a field.
func (d *doc) otherUnit(spec record.FieldSpec, toks []token) bool {
	code, cost, used := d.unitAfter(toks)
	q := quantityOf(unitCodes[code])
	return used > 0 && cost == 0 && q != record.Plain && q != spec.Quantity
}

// momentHere counts the tokens of a date with its time of day that stand in one cell from
// the first token on, 0 for none.
func (d *doc) momentHere(toks []token) int {
	r, ok := d.readTime(toks, true)
	if !ok || !r.hasDate() || !r.hasClock() || crosses(toks, r.used) || toks[r.used-1].line != toks[0].line {
		return 0
	}
	if c, ok := d.readTime(toks[:1], true); ok && !c.hasDate() && !strings.Contains(toks[0].text, ":") {
		return 0 // 0,38 MAR 20
	}
	return r.used
}

// insideMoment reports whether token t belongs to the date before it, as its time of day.
func (d *doc) insideMoment(toks []token, t int) bool {
	i := 0
	for i < t {
		i += max(1, d.momentHere(toks[i:]))
	}
	return i > t
}

// mostInCell is the most tokens that a value of a type takes.
func mostInCell(t record.Type) int {
	switch t {
	case record.Ident:
		return 1
	case record.Label, record.Time:
		return 6
	}
	return 3
}

// noValue reports whether a word stands for a missing value.
func noValue(t token) bool {
	switch t.norm {
	case "none", "nil", "n.a":
		return true
	}
	return false
}

// align says how well a run of tokens stands under a heading: 0.3 for under
// it, less with every character beside it, -1 for too far off.
func align(c column, run []token) float64 {
	l, r := run[0].col, run[len(run)-1].end
	gap := max(c.l-r, l-c.r)
	const beyond = 1.5 // bars count to the words that they stand at
	switch {
	case gap < 0:
		return 0.3
	case gap > 9, r > c.next+beyond, l < c.before-beyond:
		return -1 // too far off, or under the heading to the right or left
	}
	return 0.2 - 0.12*gap
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

// namesThing reports whether a line begins with the word and number of the thing
// that records are about, which stands in no column: it heads what is below it.
func (d *doc) namesThing(k record.Kind, cols []column, toks []token) bool {
	own := ownName(k)
	if own == "device" || len(toks) < 2 || toks[0].number || identPrefixes[toks[0].norm] != own || starts(toks, 1) || !toks[1].number && toks[1].norm != "no" {
		return false
	}
	for _, c := range cols {
		if c.field == own {
			return false
		}
	}
	return true
}

// strayState takes a state or result that stands in a column without a heading.
func (d *doc) strayState(k record.Kind, facts []fact, stray []token) (fact, bool) {
	sense, field := headSense(k)
	if field == "" {
		return fact{}, false
	}
	code, cost, ok := d.whole(sense, stray)
	if !ok || hasField(facts, field) || field == "result" && cost > 0 {
		return fact{}, false
	}
	return fact{field: field, read: reading{used: len(stray), toks: stray, value: code, cost: cost}, weak: true}, true
}

// onlyText reports whether a row of several columns holds free text alone, which
// any line may seem to be.
func (d *doc) onlyText(cols []column, facts []fact) bool {
	for _, f := range facts {
		if spec, ok := fieldSpecOf(cols, f.field); !ok || spec.Type != record.Label {
			return false
		}
	}
	return len(cols) > 1
}

// wrap adds a line of text to the last row's text column above it.
func (s *structure) wrap(cols []column, toks []token, d *doc) bool {
	if len(toks) == 0 || len(toks) > 4 || toks[0].col < 2 || toks[0].open {
		return false
	}
	last := &s.entries[len(s.entries)-1]
	if state, ok := d.stateBelow(last.facts, toks); ok {
		last.facts = append(last.facts, state...)
		s.worth += float64(len(toks)) * freeWorth
		return true
	}
	for i := range last.facts {
		f := &last.facts[i]
		spec, ok := fieldSpecOf(cols, f.field)
		if !ok || spec.Type != record.Label || len(f.read.toks) == 0 {
			continue
		}
		left := f.read.toks[0].col
		if math.Abs(toks[0].col-left) < 2.5 && !toks[0].number && cellEnd(toks, 0) == len(toks) && !d.isHeading(toks) {
			last.facts = slices.Clone(last.facts) // they may be remembered elsewhere
			f = &last.facts[i]
			f.read.toks = append(f.read.toks[:len(f.read.toks):len(f.read.toks)], toks...)
			f.read.value = textOf(f.read.toks)
			s.worth += float64(len(toks)) * textWorth
			return true
		}
	}
	return false
}

// stateBelow reads a line below the row of an alarm that says in which state it is, with the
// time of day or not, where the row does not.
func (d *doc) stateBelow(row []fact, toks []token) ([]fact, bool) {
	if !hasField(row, "event") || hasField(row, "state") {
		return nil, false
	}
	facts, _ := d.alarmLine(toks)
	if !hasField(facts, "state") || hasField(facts, "event") || hasField(facts, "device") {
		return nil, false
	}
	for i := range facts {
		if facts[i].field != "state" {
			facts[i].field = "" // when it was cleared: no field is for that
		}
	}
	return facts, true
}
