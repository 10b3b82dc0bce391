package parse

import (
	"strings"

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
	leader := d.leads(r)
	a := &assembler{d: d, kind: r.kind, from: r.from, leader: leader, leads: leader == ownName(r.kind)}
	for i, e := range r.entries {
		e.facts = d.keepHead(e.facts)
		for k := range e.facts {
			if f := &e.facts[k]; f.field == "product" {
				f.grade, _, _ = d.grade(f.read.toks)
			}
		}
		if i == len(r.entries)-1 && len(e.facts) == 1 && d.isMoment(e.facts[0]) && (!dated(r.entries[:i]) && r.kind != record.LineSummary && r.kind != record.Alarm || d.afterAll(e.facts[0], r.entries[:i])) {
			d.headFacts = append(d.headFacts, fact{field: fieldMoment, read: e.facts[0].read, weak: true}) // a date below records that have none
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
		if r.kind == record.Alarm && wholeAlarm(e.facts) {
			a.flush()
		}
		if a.cur == nil && len(a.out) == 0 && len(e.facts) == 1 && d.isMoment(e.facts[0]) && r.kind != record.LineSummary && (r.kind != record.Alarm || dated(r.entries[i+1:])) {
			d.headFacts = append(d.headFacts, e.facts[0]) // a date between the title and the records
			continue
		}
		for _, f := range e.facts {
			a.add(f)
		}
		if abreast(e.facts) {
			a.muddled = true
		}
	}
	a.flush()
	if a.muddled {
		for _, dr := range a.out {
			dr.doubt = "values of several things stand side by side here; which belongs to which is not certain"
		}
	}
	out := a.out
	if r.kind == record.LineSummary {
		out = a.withPasses()
	}
	for _, dr := range out {
		dr.led = leader != ""
	}
	return out
}

func (d *doc) isMoment(f fact) bool {
	if len(f.read.toks) == 0 || len(f.read.toks) < len(d.lines[f.read.toks[0].line].toks) {
		return false
	}
	return f.read.hasTime && f.read.moment.HasDate && !f.printed && (f.field == fieldMoment || f.field == "at")
}

// afterAll reports whether a date is later than all dates of the entries, of
// which there are some: the time of printing.
func (d *doc) afterAll(f fact, entries []entry) bool {
	last, ok := d.timeText(f.read.moment)
	if !ok || !f.read.moment.HasClock || !dated(entries) {
		return false
	}
	for _, e := range entries {
		for _, o := range e.facts {
			if !o.read.hasTime || !o.read.moment.HasDate || isHeader(o.field) {
				continue
			}
			if t, ok := d.timeText(o.read.moment); !ok || t > last {
				return false
			}
		}
	}
	return true
}

// dated reports whether any entry has a date of its own.
func dated(entries []entry) bool {
	for _, e := range entries {
		for _, f := range e.facts {
			if f.read.hasTime && !isHeader(f.field) {
				return true
			}
		}
	}
	return false
}

// wholeAlarm reports whether a line says all of an alarm: it begins a record.
func wholeAlarm(facts []fact) bool {
	return hasField(facts, "at") && hasField(facts, "event") && (hasField(facts, "device") || hasField(facts, "state"))
}

// keepHead sets the facts of the header aside and returns the others.
func (d *doc) keepHead(facts []fact) []fact {
	var rest []fact
	for _, f := range facts {
		if isHeader(f.field) {
			d.headFacts = append(d.headFacts, f)
		} else {
			rest = append(rest, f)
		}
	}
	return rest
}

// shareable are the fields that may stand once above several records.
var shareable = map[string]bool{
	"test_rate": true, "test_class": true, fieldType: true, "method": true, "from": true, "to": true, fieldPeriod: true, "at": true, fieldMoment: true,
}

// leads finds the field that each record of a section begins with: its own
// name, or something else that comes again for each record; "" when neither.
func (d *doc) leads(r reads) string {
	own := ownName(r.kind)
	var order []fact
	counts := map[string]int{}
	for _, e := range r.entries {
		if e.row || e.more {
			continue
		}
		for _, f := range e.facts {
			if !isHeader(f.field) {
				order = append(order, f)
				counts[f.field]++
			}
		}
	}
	switch counts[own] {
	case 0:
		return ""
	case 1:
		for _, f := range order {
			if f.field == own {
				return own
			}
			if !shareable[f.field] && f.field != "product" {
				return ""
			}
		}
		return ""
	}
	best, least := own, d.leadCost(order, counts, own, own)-ownBonus
	for _, f := range order {
		if f.field == own {
			break // what leads stands before the first name
		}
		n := counts[f.field]
		if n < 2 || n < counts[own]-1 || n > counts[own]+1 {
			continue
		}
		if c := d.leadCost(order, counts, f.field, own); c < least {
			best, least = f.field, c
		}
	}
	return best
}

// What speaks against and for a field as the one that records begin with.
const (
	twiceInOne  = 3.0 // a field comes twice in a record
	againOfOwn  = 0.3 // a field comes twice under one name, which may head several records
	orphanCost  = 1.0 // facts before the first record
	afterBreak  = 1.0 // a record begins behind a rule, or less set in than the line above
	insideBlock = 1.0 // a record begins more set in than the line above
	ownBonus    = 0.6 // records usually begin with their name
)

// leadCost weighs a field as the one that records begin with.
func (d *doc) leadCost(order []fact, counts map[string]int, lead, own string) float64 {
	twice := twiceInOne
	if lead == own {
		twice = againOfOwn
	}
	cost, orphans := 0.0, 0.0
	begun := false
	seen := map[string]bool{}
	for _, f := range order {
		if f.field == lead {
			begun = true
			seen = map[string]bool{lead: true}
			cost += d.breakCost(f)
			continue
		}
		switch {
		case !begun && (!shareable[f.field] || counts[f.field] >= counts[own] && f.field != fieldMoment):
			orphans = orphanCost
		case seen[f.field] && f.field != fieldMoment && f.field != fieldLoose && f.field != "result":
			cost += twice
		}
		seen[f.field] = true
	}
	return cost + orphans
}

// breakCost says how much the paper speaks against a record beginning with a
// fact; it is negative when it speaks for it.
func (d *doc) breakCost(f fact) float64 {
	toks := f.label
	if len(toks) == 0 {
		toks = f.read.toks
	}
	if len(toks) == 0 || toks[0].line == 0 || toks[0].line >= len(d.lines) {
		return 0
	}
	l, above := d.lines[toks[0].line], d.lines[toks[0].line-1]
	switch {
	case len(l.toks) == 0 || l.toks[0].at != toks[0].at:
		return 0 // not the first of its line
	case above.rule:
		return -afterBreak
	case len(above.toks) == 0 || above.head:
		return 0
	case l.toks[0].col < above.toks[0].col-0.6:
		return -afterBreak
	case l.toks[0].col > above.toks[0].col+0.6:
		return insideBlock
	}
	return 0
}

type assembler struct {
	d       *doc
	kind    record.Kind
	from    int
	leads   bool   // records begin with their own name
	leader  string // the field that records begin with
	cur     *draft
	shared  []fact
	block   []fact // the name that the following records share
	named   bool   // the first name has been seen
	muddled bool   // a line held one field twice
	out     []*draft
}

func (a *assembler) row(e entry) {
	if a.cur != nil {
		a.share()
	}
	dr := &draft{kind: a.kind, from: a.from}
	for _, f := range e.facts {
		dr.put(f)
	}
	a.inherit(dr)
	a.out = append(a.out, dr)
}

// open adds what stands between two rows of a table to the record of the row
// above.
func (a *assembler) open(e entry) {
	if len(a.out) == 0 {
		return
	}
	last := a.out[len(a.out)-1]
	for _, f := range e.facts {
		last.put(f)
	}
}

// share turns a record that was begun above a table into what its rows share.
func (a *assembler) share() {
	own := ownName(a.kind)
	all := true
	for _, f := range a.cur.facts {
		all = all && (shareable[f.field] || f.field == own || f.field == "product")
	}
	if all {
		for _, f := range a.cur.facts {
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

func (a *assembler) add(f fact) {
	own := ownName(a.kind)
	if f.field == own && a.leads {
		a.begin(f)
		return
	}
	if a.cur == nil {
		a.cur = &draft{kind: a.kind, from: a.from}
	}
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
		if f.read.hasTime {
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

// abreast reports whether a line holds one field twice: blocks that stand side
// by side.
func abreast(facts []fact) bool {
	seen := map[string]string{}
	for _, f := range facts {
		if f.read.hasTime || f.field == fieldLoose || f.field == "event" {
			continue
		}
		text := textOf(f.read.toks)
		if was, ok := seen[f.field]; ok && was != text {
			return true
		}
		seen[f.field] = text
	}
	return false
}

// clockOnly reports whether a draft has a time of day that lacks its date.
func (dr *draft) clockOnly() bool {
	for _, f := range dr.facts {
		if f.field == fieldMoment && f.read.moment.HasClock && !f.read.moment.HasDate {
			return true
		}
	}
	return false
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
		again = again || hasField(a.shared, f.field)
	}
	if !again {
		return
	}
	a.flush()
	a.shared, a.block, a.named = nil, nil, false
}

// begin starts a record with its name; what stood before the first name is
// shared by all.
func (a *assembler) begin(f fact) {
	if a.cur != nil && !a.named {
		a.shared = append(a.shared, a.cur.facts...)
		a.cur = nil
	}
	if a.cur != nil && len(a.block) > 0 && a.block[0].read.value == f.read.value && a.kind == record.LineSummary {
		return // the same line goes on
	}
	a.flush()
	a.named = true
	a.block = []fact{f}
	a.cur = &draft{kind: a.kind, from: a.from}
	a.cur.put(f)
}

// inherit gives a draft what stands above it for several records, where it
// does not say otherwise itself.
func (a *assembler) inherit(dr *draft) {
	for _, f := range append(a.block[:len(a.block):len(a.block)], a.shared...) {
		if !dr.has(f.field) && f.field != fieldMoment {
			f.inherited = true
			dr.put(f)
			continue
		}
		if f.field == fieldMoment && dr.clockOnly() {
			dr.put(f) // the date stands above the times
		}
	}
}

func (a *assembler) flush() {
	if a.cur == nil {
		return
	}
	if a.leads {
		for _, f := range a.cur.facts {
			if f.field == "product" && !hasField(a.block, "product") {
				a.block = append(a.block, f)
			}
		}
	}
	if a.cur.substance() {
		a.inherit(a.cur)
		a.out = append(a.out, a.cur)
	} else if len(a.out) == 0 && !a.named {
		a.shared = append(a.shared, a.cur.facts...)
	}
	a.cur = nil
}

// substance reports whether a draft says more than what it is about.
func (dr *draft) substance() bool {
	for _, f := range dr.facts {
		switch f.field {
		case fieldMoment:
			if dr.kind == record.LineSummary {
				return true // a dated pass
			}
		case fieldLoose:
			return dr.has(ownName(dr.kind))
		case "tank", "line", "product", "test_rate", "test_class", fieldType, "method", "device_number":
		default:
			return true
		}
	}
	return false
}

func (dr *draft) has(field string) bool { return hasField(dr.facts, field) }

// put adds a fact to a draft; false when the draft has that field already and
// it says something else.
func (dr *draft) put(f fact) bool {
	for i := range dr.facts {
		o := &dr.facts[i]
		if o.field != f.field {
			continue
		}
		switch {
		case f.field == fieldLoose:
			continue
		case f.field == fieldMoment:
			if m, ok := joinMoments(o.read, f.read); ok {
				o.read = m
				return true
			}
			continue
		case f.read.hasTime && o.read.hasTime:
			if m, ok := joinMoments(o.read, f.read); ok {
				o.read = m
				return true
			}
			return false
		case f.field == "product" && f.read.cost < unknownGrade && o.read.cost < unknownGrade && f.grade != o.grade:
			return false // another product: another thing
		case f.field == "product":
			if !f.weak && o.weak && f.read.cost < unknownGrade {
				*o = f
			}
			return true
		case f.field == "result" || f.field == "test_rate" || f.field == "test_class" || f.field == "method":
			if f.read.class == o.read.class && f.read.value == o.read.value || f.read.class != "" && f.read.class == o.read.class {
				return true
			}
			return false
		}
		return false
	}
	dr.facts = append(dr.facts, f)
	return true
}

// joinMoments puts a date and a time of day together that were printed apart.
func joinMoments(a, b reading) (reading, bool) {
	switch {
	case a.moment.HasDate && !a.moment.HasClock && b.moment.HasClock && !b.moment.HasDate:
		a.moment.Clock, a.moment.HasClock = b.moment.Clock, true
	case a.moment.HasClock && !a.moment.HasDate && b.moment.HasDate && !b.moment.HasClock:
		a.moment.Date, a.moment.HasDate = b.moment.Date, true
		a, b = b, a
		a.moment.Clock, a.moment.HasClock = b.moment.Clock, true
	default:
		return a, false
	}
	a.toks = append(a.toks[:len(a.toks):len(a.toks)], b.toks...)
	a.fixed += b.fixed
	return a, true
}

// withPasses adds a line test for every dated pass of the summaries. A draft
// that holds dated passes only is no summary.
func (a *assembler) withPasses() []*draft {
	var out []*draft
	for _, dr := range a.out {
		passes := dr.passes()
		if dr.summary() {
			out = append(out, dr)
		}
		out = append(out, passes...)
	}
	return out
}

// passWord is the part of a label that says that the test passed, if any.
func passWord(label []token) []token {
	for i, t := range label {
		if strings.HasPrefix(t.norm, "pass") || t.norm == "last" || t.norm == "latest" || t.norm == "first" || t.norm == "1st" {
			return label[i:]
		}
	}
	return nil
}

// summary reports whether a draft has a field that only summaries have.
func (dr *draft) summary() bool {
	for _, f := range []string{"passes_24h", "passes_since_midnight", "first_pass_of_month", "last_pass_at"} {
		if dr.has(f) {
			return true
		}
	}
	return false
}

// passes makes the line tests of a summary.
func (dr *draft) passes() []*draft {
	var out []*draft
	for _, f := range dr.facts {
		if !f.read.hasTime || !f.read.moment.HasDate || f.field != "first_pass_of_month" && f.field != "last_pass_at" && f.field != fieldMoment && f.field != "ended_at" {
			continue
		}
		t := &draft{kind: record.LineTest, from: dr.from, split: dr.split}
		for _, name := range []string{"line", "product", "test_rate", "test_class", fieldType} {
			for _, o := range dr.facts {
				if o.field == name {
					if o.read.class != "" {
						o.read.value = o.read.class // the class alone: no rate is printed with a pass
					}
					t.put(o)
				}
			}
		}
		end := f
		end.field = "ended_at"
		t.put(end)
		result := fact{field: "result", read: reading{value: "pass", toks: passWord(f.label)}}
		for _, o := range dr.facts {
			if o.field == "result" {
				result = o
			}
		}
		t.put(result)
		out = append(out, t)
	}
	return out
}
