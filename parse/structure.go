package parse

import (
	"slices"

	"tankroll/record"
)

// structure is one way to read some lines.
type structure struct {
	worth   float64
	lines   int
	entries []entry
}

// entry is a line or row of facts that belong together.
type entry struct {
	facts []fact
	row   bool // a row of a table: a record of its own
	more  bool // goes on with the row above
	head  bool // a line that says only in which state or with which result the records below it are
	none  bool // a head below which none are
	apart bool // a head by what it says or where it stands: it ends no record
	table int  // of a row: one more than the line where its table begins, 0 for none

	strange bool // of a row: a line right above it among the rows was not understood
}

// reads is a section read as one kind.
type reads struct {
	kind    record.Kind
	worth   float64
	entries []entry
	left    []int
	from    int
}

// What speaks against a line as part of a structure, on the scale of fact.go.
const (
	leaveCost = 0.35 // a word of a line that no structure takes
	twiceCost = 2.0  // a line that holds one field twice: blocks side by side more likely
)

// readAs reads the lines of a section as one kind: the best sequence of
// structures, found from the last line to the first.
func (d *doc) readAs(k record.Kind, s section) reads {
	r := d.readLines(k, d.lines[s.from:s.to], s.title.kind != "")
	r.from = s.from
	for i := range r.left {
		r.left[i] += s.from
	}
	return r
}

// readLines is readAs for any lines; titled says that the first is the title.
func (d *doc) readLines(k record.Kind, lines []line, titled bool) reads {
	n := len(lines)
	best := make([]structure, n+1)
	qualifiers := d.qualifiers(k, lines)
	for i := n - 1; i >= 0; i-- {
		best[i] = d.bestStructure(k, lines, i, best, qualifiers[i], i == 0 && titled)
	}
	r := reads{kind: k, worth: best[0].worth}
	for i := 0; i < n; i += best[i].lines {
		if len(best[i].entries) == 0 && !lines[i].rule && !(i == 0 && titled) {
			r.left = append(r.left, i)
		}
		r.entries = append(r.entries, best[i].entries...)
	}
	d.ratesApart(r)
	d.readingsOfTest(&r)
	r.entries = joinTables(k, r.entries)
	return r
}

// bestStructure tries every structure that may begin at line i and keeps the one
// that is worth most together with what best holds for the lines below it.
func (d *doc) bestStructure(k record.Kind, lines []line, i int, best []structure, q qualifier, title bool) structure {
	l := lines[i]
	if l.rule || len(l.toks) == 0 || l.head {
		return structure{worth: best[i+1].worth, lines: 1}
	}
	d.qualifier, d.softly = q.word, q.soft
	defer func() { d.qualifier, d.softly = "", false }()
	out := structure{worth: best[i+1].worth - leaveCost*float64(len(l.toks)), lines: 1}
	if title {
		out.worth = best[i+1].worth
	}
	try := func(s structure) {
		if s.lines > 0 && i+s.lines <= len(lines) {
			if w := s.worth + best[i+s.lines].worth; w > out.worth {
				out = structure{w, s.lines, s.entries}
			}
		}
	}
	if title {
		try(d.titleFacts(k, lines[i:]))
		if s, ok := d.headsInTitle(k, lines, i); ok {
			try(s)
		}
		return out
	}
	if l.toks[0].ordinal {
		if s, ok := d.numbered(k, lines, i); ok && i+s.lines <= len(lines) {
			return structure{s.worth + best[i+s.lines].worth, s.lines, s.entries}
		}
	}
	facts, worth := d.scan(k, l.toks)
	if abreast(facts) {
		worth -= twiceCost
	}
	if (len(facts) > 0 || worth > 0) && worth+best[i+1].worth > out.worth {
		try(structure{worth, 1, []entry{{facts: facts}}})
	}
	if k == record.Alarm && i > 1 && d.countsAlarms(l.toks) {
		return structure{best[i+1].worth, 1, []entry{{}}} // TOTAL ALARMS : 3
	}
	if d.totals(l.toks) && ownName(k) != "" && !d.totalsOf(k, l.toks) {
		return structure{best[i+1].worth, 1, []entry{{}}}
	}
	if n := d.totalsBelow(k, lines, i); n > 0 {
		return structure{best[i+n].worth, n, []entry{{}}}
	}
	d.several(k, l.toks, try)
	if s, ok := d.perThing(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.testPairs(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.sidesBelow(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.stateHead(k, lines[i:]); ok {
		try(s)
	}
	if s, ok := d.statesFirst(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.severalSensors(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.stateRun(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.placeAbove(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.alarmBlock(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.keyedAlarm(k, lines, i); ok {
		try(s)
	}
	if f, w, ok := d.locationBelow(k, lines, i); ok {
		try(structure{w, 1, []entry{{facts: f}}})
	}
	if facts, worth, ok := d.listFacts(k, l.toks); ok && len(facts) > 0 && !(cellCount(l.toks) >= 3 && d.isHeading(l.toks)) {
		try(structure{worth, 1, []entry{{facts: facts}}})
	}
	if s, ok := d.labelAbove(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.fieldHead(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.headOver(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.classColumns(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.classList(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.monthList(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.classMatrix(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.passTable(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.table(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.namedRows(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.gainColumns(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.stackedRows(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.matrix(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.testMatrix(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.sideRows(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.sideGroups(k, lines, i); ok {
		try(s)
	}
	if s, ok := d.abreast(k, lines, i); ok {
		try(s)
	}
	if l.toks[0].ordinal || !d.complete(facts, l.toks) {
		d.paragraphs(k, lines, i, try)
	}
	return out
}

// complete reports whether facts give every word of a line a place: nothing of
// it goes on in the next.
func (d *doc) complete(facts []fact, toks []token) bool {
	used := 0
	for _, f := range facts {
		used += len(f.label) + f.read.used
	}
	for _, t := range toks {
		if _, isFiller := d.filler(t); isFiller || t.blank {
			used++
		}
	}
	last := toks[len(toks)-1]
	if n := len(facts); n > 0 && facts[n-1].read.hasTime() && !(facts[n-1].read.hasDate() && facts[n-1].read.hasClock()) {
		return false // the rest of the date may follow
	}
	if n := len(facts); n > 0 && facts[n-1].field == fieldLoose && n > 1 && slices.ContainsFunc(toks, func(t token) bool { return t.stop == ',' }) {
		return false // what it is of may follow
	}
	return used >= len(toks) && last.stop != ','
}
