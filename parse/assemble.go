package parse

import (
	"slices"

	"tankroll/record"
)

// assemble makes records of a section's entries, in their order:
//
//   - a row of a table is a record of its own;
//   - a field that the record has already begins the next record;
//   - so does the name of a tank, line or sensor, when the section's records
//     begin with it;
//   - what stands before the first of several records counts for all of them.
func (d *doc) assemble(r reads) []*draft {
	for i := range r.entries {
		r.entries[i].facts = slices.Clone(r.entries[i].facts) // what follows changes them
	}
	d.headClasses(&r)
	d.classesInBlocks(&r)
	classesAtEnds(&r)
	d.ownTimes(r)
	dateApart(r)
	d.dayHeads(&r)
	d.alarmCells(r)
	d.stateTimes(&r)
	stateByTime(r)
	d.endsAlike(r)
	soleAlarm(&r)
	d.raisedLabels(r)
	d.namedAbove(&r)
	d.riseAndFall(&r)
	sharedLine(r)
	rowsGoneOver(&r)
	dateBeside(r)
	sharedRows(&r)
	listedFirsts(r)
	classesBelow(r)
	d.ratesApart(r)
	d.ratesInColumn(r)
	belowSides(r)
	timedAmounts(r)
	d.dateSpans(r)
	endings(r)
	statesApart(r)
	d.sidesAbove(r)
	d.dataUpTo(r)
	namesFirst(r)
	partUllage(&r)
	waterBeside(r)
	fullAtMost(r)
	mostBelowFull(r)
	if !heads(r) {
		for i := range r.entries {
			r.entries[i].head = false
		}
	}
	for n := len(r.entries) - 1; n > 0 && len(r.entries[n].facts) == 0 && !r.entries[n].head; n-- {
		r.entries = r.entries[:n] // sums
	}
	if d.takenBelow(r) {
		n := len(r.entries) - 1
		f := r.entries[n].facts[0]
		f.field, f.inherited = "at", true
		d.front.taken, r.entries = &f, r.entries[:n]
	}
	leader := d.leads(r)
	a := &assembler{d: d, kind: r.kind, from: r.from, leader: leader, leads: leader == ownName(r.kind)}
	tests := wholeTests(r)
	for i, e := range r.entries {
		e.facts = d.keepHead(e.facts)
		for k := range e.facts {
			if f := &e.facts[k]; f.read.none {
				f.field = fieldNone
			} else if f.field == "product" {
				f.grade, _, _ = d.grade(f.read.toks)
			}
		}
		if i == len(r.entries)-1 && len(e.facts) == 1 && (d.isMoment(e.facts[0]) || d.closesSlip(e.facts[0], r.entries[:i])) && d.front.lacks(e.facts[0]) && (!dated(r.entries[:i]) && r.kind != record.LineSummary && r.kind != record.Alarm || d.afterAll(e.facts[0], r.entries[:i])) && !a.waits() && !d.timeBelow(e, r.entries[:i]) {
			d.headFacts = append(d.headFacts, fact{field: fieldMoment, read: e.facts[0].read, weak: true}) // a date below records that have none
			continue
		}
		if e.head {
			a.flush()
			a.under = e.facts
			continue
		}
		if e.row {
			a.row(e)
			continue
		}
		if e.more {
			a.open(e)
			continue
		}
		a.group(e)
		if r.kind == record.Alarm && wholeAlarm(e.facts) || tests > 1 && wholeTest(e.facts) {
			a.line(e)
			continue
		}
		if a.cur == nil && len(a.out) == 0 && len(e.facts) == 1 && (d.isMoment(e.facts[0]) || d.amongWords(e.facts[0]) && e.facts[0].field == fieldMoment) && (r.kind != record.LineSummary || leader == "line") && (r.kind != record.Alarm || dated(r.entries[i+1:]) && !(len(a.under) > 0 && a.under[0].read.cost == 0 && leadsAlarm(r.entries[i+1:])) && !d.momentsBelow(e.facts[0].read.toks[0].line+1)) {
			d.headFacts = append(d.headFacts, e.facts[0]) // a date between the title and the records
			continue
		}
		if a.cur != nil && a.cur.has("state") && !a.cur.has("event") && !hasField(e.facts, "device") {
			e.facts = withoutEnding(e.facts, "event")
		}
		if a.leads {
			e.facts = a.withoutLabelWords(e.facts)
			nameFirst(e.facts, leader, r.kind)
		}
		classFirst(r.kind, e.facts)
		a.newTest(e.facts)
		before := len(a.out)
		for _, f := range e.facts {
			a.add(f)
		}
		a.muddle(e.facts, before)
	}
	a.flush()
	if d.orphaned(r, leader) {
		for _, dr := range a.out {
			dr.doubt = "what stands above the first name comes again for each record; it may belong to the record above or below it"
		}
	}
	if a.muddled {
		for _, dr := range a.out {
			dr.doubt = sideBySide
		}
	}
	out := d.forAll(foldNotes(d.mendTorn(a.out)))
	if r.kind == record.LineSummary {
		out = a.withPasses()
	}
	for _, dr := range out {
		d.lasted(dr)
		dr.led = leader != ""
	}
	doubtShared(out)
	return out
}

// timeBelow reports whether a moment that ends a section stands right below what it is of, as those of
// the records above it do, each on a line of its own.
func (d *doc) timeBelow(e entry, above []entry) bool {
	at := e.facts[0].read.toks[0].line
	if at == 0 || at >= len(d.lines) || d.lines[at].gap || d.lines[at-1].rule || at < 2 {
		return false
	}
	return slices.ContainsFunc(above, func(o entry) bool {
		return len(o.facts) == 1 && !o.row && o.facts[0].field == fieldMoment && o.facts[0].read.hasDate() && len(o.facts[0].read.toks) > 0 && o.facts[0].read.toks[0].col == e.facts[0].read.toks[0].col
	})
}

// waits reports whether the last alarm of a list has no time yet, where the one above has.
func (a *assembler) waits() bool {
	if a.kind != record.Alarm || a.cur == nil || len(a.out) == 0 {
		return false
	}
	timed := func(dr *draft) bool { return dr.has("at") || dr.has(fieldMoment) }
	return !timed(a.cur) && a.cur.has("event") && timed(a.out[len(a.out)-1])
}

// sideBySide is the doubt about what lines say that hold a field twice.
const sideBySide = "values of several things stand side by side here; which belongs to which is not certain"

// muddle notes a line that holds one field twice. Where it names two things, or where
// there are several such lines, things stand side by side all over the section; else the
// records alone that it says something of are in question, from the one at a place on.
func (a *assembler) muddle(facts []fact, from int) {
	const several = 3
	if !abreast(facts) {
		return
	}
	a.twice++
	names := 0
	for _, f := range facts {
		if f.field == ownName(a.kind) {
			names++
		}
	}
	a.muddled = a.muddled || names > 1 || a.twice >= several
	for _, dr := range append(a.out[from:len(a.out):len(a.out)], a.cur) {
		if dr != nil {
			dr.doubt = sideBySide
		}
	}
}

// shareable are the fields that may stand once above several records.
var shareable = map[string]bool{
	"test_rate": true, "test_class": true, fieldType: true, "method": true, "from": true, "to": true, fieldPeriod: true, "at": true, fieldMoment: true,
}

// assembler makes the records of one section, one after the other.
type assembler struct {
	d       *doc
	kind    record.Kind
	from    int
	leads   bool   // records begin with their own name
	leader  string // the field that records begin with
	cur     *draft
	shared  []fact
	block   []fact // the name that the following records share
	under   []fact // the state that heads the following records
	named   bool   // the first name has been seen
	table   int    // of the last row
	unsure  string // why the records up to the next name are not sure, "" for nothing
	muddled bool   // lines held one field twice
	twice   int    // such lines
	out     []*draft
}

// row makes a record of a row of a table.
func (a *assembler) row(e entry) {
	if a.cur != nil {
		a.share()
	}
	dr := newDraft(a.kind, a.from)
	dr.row = true
	for _, f := range e.facts {
		if !dr.put(f) {
			dr.contest(f)
		}
	}
	a.carry(dr, e.table)
	if e.strange && hasField(a.block, ownName(a.kind)) {
		a.unsure = "a line among the rows here was not understood; it may name what those below it are of"
	}
	if !dr.has(ownName(a.kind)) && dr.doubt == "" {
		dr.doubt = a.unsure
	}
	a.inherit(dr)
	a.out, a.table = append(a.out, dr), e.table
}

// carry gives a row of passes that does not name its line the name of the row above, of the
// same table.
func (a *assembler) carry(dr *draft, table int) {
	if a.kind != record.LineSummary || table == 0 || table != a.table || dr.has("line") || hasField(a.block, "line") || len(a.out) == 0 || dr.has("product") {
		return
	}
	for _, f := range a.out[len(a.out)-1].facts {
		if f.field == "line" || f.field == "product" {
			f.inherited = true
			if f.guess == "" {
				f.guess = "its cell is empty; it is taken from the row above"
			}
			dr.put(f)
		}
	}
}

// line makes a record of a line that says all of it, wherever on the line its
// name stands; what the next lines add may still go with it.
func (a *assembler) line(e entry) {
	a.flush()
	a.named = true
	if hasField(e.facts, ownName(a.kind)) {
		a.block = nil // the line has a name of its own
	}
	a.cur = newDraft(a.kind, a.from)
	for _, f := range e.facts {
		if !a.cur.put(f) {
			a.cur.doubt = "the line says one thing twice; which of the two counts is not certain"
		}
	}
	a.muddle(e.facts, len(a.out))
}

// open adds what stands between two rows of a table to the record of the row
// above.
func (a *assembler) open(e entry) {
	if len(a.out) == 0 {
		return
	}
	last := a.out[len(a.out)-1]
	for _, f := range e.facts {
		if f.field == fieldWhich {
			isPass(last.facts, f)
			continue
		}
		last.put(f)
	}
}

// share turns a record that was begun above a table into what its rows share.
func (a *assembler) share() {
	own := ownName(a.kind)
	all := true
	for _, f := range a.cur.facts {
		all = all && (shareable[f.field] || f.field == "" || amountOfThing(a.kind, f) || f.field == own || f.field == "product" || f.field == "threshold")
	}
	if all {
		if len(a.out) > 0 {
			a.replace(a.cur.facts)
		}
		for _, f := range a.cur.facts {
			if amountOfThing(a.kind, f) {
				f.field = ""
			}
			if f.field == own || f.field == "product" {
				a.block = append(a.block, f)
			} else {
				a.shared = append(a.shared, f)
			}
		}
		a.cur = nil
		return
	}
	a.flush()
}

// amountOfThing reports whether an amount without a label above the tests of a tank is of none of
// them: TANK 3 DIESEL, 12000 GAL.
func amountOfThing(k record.Kind, f fact) bool {
	return k == record.TankTest && len(f.label) == 0 && (f.field == fieldLoose || f.field == "start_volume")
}

// replace forgets what stood above the rows before and is said anew above those that follow: the
// name of a thing with all that was said with it, and each field that they share.
func (a *assembler) replace(facts []fact) {
	if hasField(facts, ownName(a.kind)) || hasField(facts, "product") {
		a.block = nil
	}
	a.shared = slices.DeleteFunc(slices.Clone(a.shared), func(o fact) bool {
		return o.field != "" && hasField(facts, o.field) || o.read.class != "" && hasClass(facts)
	})
}

// add puts a fact into the record that is being made, or begins the next with
// it.
func (a *assembler) add(f fact) {
	own := ownName(a.kind)
	if f.field == own && a.leads {
		a.begin(f)
		return
	}
	if a.cur == nil {
		a.cur = newDraft(a.kind, a.from)
	}
	if f.field == "state" && !f.ending {
		a.cur.facts = withoutEnding(a.cur.facts, "event") // its last words were no state
	}
	a.d.tankVolume(a.cur, &f)
	if f.field == a.leader && a.complete(f) || !a.cur.put(f) {
		torn := a.torn(f)
		a.cur.split = a.cur.split || torn
		a.flush()
		a.add(f)
		a.cur.split = a.cur.split || torn
	}
}

// complete reports whether the record that is being made has its leading field
// and more, so that another such field begins the next one.
func (a *assembler) complete(f fact) bool {
	for _, o := range a.cur.facts {
		if o.field != f.field {
			continue
		}
		if f.read.hasTime() {
			if _, joins := joinMoments(o.read, f.read); joins {
				return false
			}
		}
		return len(a.cur.facts) > 1
	}
	return false
}

// torn reports whether a record that ends here ends without the name or
// heading of the next: one may have been missed.
func (a *assembler) torn(f fact) bool {
	switch f.field {
	case a.leader:
		return false
	case "test_rate", "test_class", fieldType:
		return a.kind != record.LineSummary
	}
	return true
}

// group starts a new group of records at a line that says only what they
// share, such as the rate of the tests that follow, when an earlier line did so
// for the records before it.
func (a *assembler) group(e entry) {
	again := false
	for _, f := range e.facts {
		if !shareable[f.field] {
			return
		}
		again = again || hasField(a.shared, f.field) || a.kind == record.LineSummary && f.read.class != "" && hasClass(a.shared)
	}
	if !again {
		return
	}
	if a.cur != nil && a.cur.has(ownName(a.kind)) && !a.cur.substance() {
		a.shared = nil // the thing that the next records are of stands right above
		return
	}
	a.flush()
	a.shared, a.block, a.named = nil, nil, false
}

// begin starts a record with its name; what stood before the first name is
// shared by all.
func (a *assembler) begin(f fact) {
	if a.cur != nil && !a.named && a.kind == record.LineSummary && slices.ContainsFunc(a.cur.facts, func(f fact) bool { return isPassField(f.field) }) {
		a.flush() // of a line whose name stands on the page before
	}
	if a.cur != nil && !a.named {
		a.shared = append(a.shared, a.cur.facts...)
		a.cur = nil
	}
	if a.cur != nil && len(a.block) > 0 && a.block[0].read.value == f.read.value && a.kind == record.LineSummary {
		a.cur.again = append(a.cur.again, f)
		return // the same line goes on
	}
	a.flush()
	a.named, a.unsure = true, ""
	a.block = []fact{f}
	a.cur = newDraft(a.kind, a.from)
	a.cur.put(f)
}

// inherit gives a draft what stands above it for several records, where it
// does not say otherwise itself.
func (a *assembler) inherit(dr *draft) {
	other := false   // the name above is another's
	strange := false // the product is another than that of the name above
	for _, f := range dr.facts {
		for _, o := range a.block {
			other = other || f.field == ownName(a.kind) && o.field == f.field && o.read.value != f.read.value
			strange = strange || f.field == "product" && o.field == f.field && textOf(o.read.toks) != textOf(f.read.toks)
		}
	}
	for _, f := range slices.Concat(a.under, a.block, a.shared) {
		if other && (f.field == "product" || f.field == "device_number") {
			continue
		}
		if strange && f.field == ownName(a.kind) && f.guess == "" {
			f.guess = "taken from above, where it stands with another product"
		}
		if !dr.has(f.field) && f.field != fieldMoment {
			if named := f.field == ownName(a.kind) || f.field == "product" || f.field == "device_number" || f.field == "device"; !named && f.field != "" && !f.under && !shareable[f.field] && !isHeader(f.field) && f.field == "result" && len(f.label) == 0 {
				f.guess = "it stands above the records, without a label; it may not be of each"
			} else if !named && f.field != "" && !f.under && !shareable[f.field] && !isHeader(f.field) && !isStateHead(a.under, f) && dr.doubt == "" {
				dr.doubt = "what stands above the first name is of no record that was understood; values may belong to another"
			}
			f.inherited = true
			dr.put(f)
			continue
		}
		if f.field == fieldMoment && dr.clockOnly() || f.read.hasDate() && !f.read.hasClock() && dr.lacksDate(f.field) {
			dr.put(f) // the date stands above the times
		}
	}
}

// isStateHead reports whether a fact is one of those that head records.
func isStateHead(under []fact, f fact) bool {
	return slices.ContainsFunc(under, func(o fact) bool { return o.field == f.field && place(o) == place(f) })
}

// keepClass lets the rate of a group of passes stand for the records below it,
// until the next one is printed.
func (a *assembler) keepClass() {
	for _, f := range a.cur.facts {
		if f.read.class == "" {
			continue
		}
		a.block = slices.DeleteFunc(slices.Clone(a.block), func(o fact) bool { return o.read.class != "" })
		a.block = append(a.block, f)
		return
	}
}

// withoutLabelWords leaves out what seems to be a product right before a label, where the record that
// is being made has its name and a product already: plus deliveries, under TANK 1 REGULAR.
func (a *assembler) withoutLabelWords(facts []fact) []fact {
	if a.cur == nil || !a.cur.has("product") || !a.cur.has(ownName(a.kind)) || hasField(facts, ownName(a.kind)) {
		return facts
	}
	for i := 0; i+1 < len(facts); i++ {
		f, next := facts[i], facts[i+1]
		if f.field == "product" && len(f.label) == 0 && len(next.label) > 0 && next.label[0].gap < wideGap && next.label[0].at == f.read.toks[len(f.read.toks)-1].at+1 {
			return slices.Delete(slices.Clone(facts), i, i+1)
		}
	}
	return facts
}

// datedTest reports whether the record that is being made says of a tank that is named, by itself or
// above, which test it had and on which day.
func (a *assembler) datedTest() bool {
	return a.kind == record.TankTest && hasClass(a.cur.facts) && (a.cur.has("tank") || hasField(a.block, "tank")) && slices.ContainsFunc(a.cur.facts, func(f fact) bool { return f.field == fieldMoment && f.read.hasDate() })
}

// flush ends the record that is being made. What says nothing of its own counts
// for the records that follow, when it stands before the first.
func (a *assembler) flush() {
	if a.cur == nil {
		return
	}
	if a.leads {
		for _, f := range a.cur.facts {
			if (f.field == "product" || f.field == "device_number" && hasField(a.block, "device") || f.field == "event" && len(f.label) > 0 && a.kind == record.Alarm) && !hasField(a.block, f.field) {
				a.block = append(a.block, f)
			}
		}
	}
	if a.kind == record.LineSummary {
		a.keepClass()
	}
	if a.cur.doubt == "" {
		a.cur.doubt = a.unsure
	}
	if a.cur.substance() || a.datedTest() {
		a.inherit(a.cur)
		a.out = append(a.out, a.cur)
	} else if len(a.out) == 0 && !a.named {
		a.shared = append(a.shared, a.cur.facts...)
	} else {
		for _, f := range a.cur.facts {
			if shareable[f.field] && f.field != fieldMoment && !hasField(a.block, f.field) {
				a.block = append(a.block, f)
			}
		}
	}
	a.cur = nil
}
