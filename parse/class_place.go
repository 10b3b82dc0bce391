package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// classFirst puts the rate of a test that stands at the end of its line before what the
// line says of it, behind the name of the line: LAST PASS 03/14/25 12:30 (0.2 GPH). What
// is said on one line is of one test.
func classFirst(k record.Kind, facts []fact) {
	if k != record.LineSummary || len(facts) < 2 {
		return
	}
	at := len(facts) - 1
	class := facts[at]
	if class.read.class == "" || len(class.read.toks) == 0 {
		return
	}
	to := 0
	for i, f := range facts[:at] {
		if f.read.class != "" || len(f.read.toks) == 0 || f.read.toks[0].line != class.read.toks[0].line || f.read.toks[0].prose {
			return
		}
		if to == i && (f.field == "line" || f.field == "product") {
			to++
		}
	}
	copy(facts[to+1:], facts[to:at])
	facts[to] = class
}

// bareClass is the rate that a line of a summary begins with, without a unit or the word for
// a test, before a label: 3.0 LAST PASS. It is 0 tokens when there is none.
func (s *scanner) bareClass(i int) (reading, bool) {
	if s.kind != record.LineSummary || i > 0 || len(s.toks) < 3 || !s.toks[0].number {
		return reading{}, false
	}
	r, ok := s.d.readClass(s.kind, s.toks, "")
	if !ok || r.used >= len(s.toks) || r.num.Decimals == 0 {
		return reading{}, false
	}
	rest := s.toks[r.used:]
	if rest[0].number {
		n := s.d.names(rest[1:])
		return r, len(n) > 0 && slices.ContainsFunc(n, s.namesPasses) // 3.0 19 IN 24 H
	}
	return r, slices.ContainsFunc(s.d.names(rest), s.namesPasses)
}

// classInList reports whether a line of a list of tests is a moment, a bare rate that tests are made
// for and a verdict, as is a line next to it:
//
//	DEC 08 3:05 AM   0.2   PASS
//	DEC 06 3:08 AM   0.1   FAIL
func (s *scanner) classInList(i int, r reading) bool {
	if s.kind != record.TankTest && s.kind != record.LineTest || i == 0 || !s.d.listedClass(s.toks, i, r) {
		return false
	}
	at := s.toks[0].line
	for _, o := range []int{at - 1, at + 1} {
		if o < 0 || o >= len(s.d.lines) {
			continue
		}
		for k, t := range s.d.lines[o].toks {
			if k == 0 || !t.number || t.col > s.toks[i].col+rowSlack || t.col < s.toks[i].col-rowSlack {
				continue
			}
			if c, ok := s.d.readClass(s.kind, s.d.lines[o].toks[k:], ""); ok && s.d.listedClass(s.d.lines[o].toks, k, c) {
				return true
			}
		}
	}
	return false
}

// listedClass reports whether token i, read as a rate without a unit, stands in a cell of its own
// between a moment and a verdict that make up the rest of the line.
func (d *doc) listedClass(toks []token, i int, r reading) bool {
	if r.used != 1 || r.num.Decimals == 0 || r.num.Value <= 0 || toks[i].text[0] == '+' || !starts(toks, i) || cellEnd(toks, i) != i+1 || i+1 >= len(toks) {
		return false
	}
	if m, ok := d.readTime(toks[:i], false); !ok || !m.hasDate() || m.used != i {
		return false
	}
	_, cost, ok := d.whole(lexicon.Result, toks[i+1:])
	return ok && cost == 0
}

// namesPasses reports whether a label names what only summaries of lines hold.
func (s *scanner) namesPasses(n name) bool {
	f, ok := s.d.field(s.kind, n.bag)
	return ok && isPassField(f)
}

// classBehind reads the rate between a value and the label behind it: 03/14/25 12:30   0.2
// LAST PASS. It gives the rate and how many tokens it takes, none when there is none.
func (s *scanner) classBehind(j int) (fact, int) {
	if s.kind != record.LineSummary || j+1 >= len(s.toks) || !s.toks[j].number || s.toks[j].prose {
		return fact{}, 0
	}
	r, ok := s.d.readClass(s.kind, s.toks[j:], "")
	if !ok || j+r.used >= len(s.toks) || r.num.Decimals == 0 || s.toks[j+r.used-1].stop != 0 || starts(s.toks, j+r.used) {
		return fact{}, 0
	}
	return fact{field: "test_rate", read: r, weak: true}, r.used
}

// countBehind tries a count or a date in one cell and the rate with its label in the next,
// to the end of the line: 19   3.0 PASSES, 24 H.
func (s *scanner) countBehind(try *ways) {
	for j := 1; j < len(s.toks); j++ {
		class, used := s.classBehind(j)
		if used == 0 || !starts(s.toks, j) {
			continue
		}
		from := j + used
		for _, n := range s.d.names(joined(s.toks[from:])) {
			field, ok := s.d.field(s.kind, n.bag)
			spec, known := specOf(s.kind, field)
			if !ok || !known || isHeader(field) || from+n.used != len(s.toks) || n.cost > sureLabelCost {
				continue
			}
			r, ok := s.d.readField(s.kind, spec, s.toks[:j], "")
			if !ok || r.used != j || spec.Type != record.Number && !r.hasDate() {
				continue
			}
			try.with(len(s.toks), float64(len(s.toks))*0.9+2*factWorth-n.cost*misreadCost, class, fact{field: field, read: r, label: s.toks[from:], cost: n.cost, printed: true})
		}
	}
}

// classHead reads a line that says only which test those below it are of.
func (d *doc) classHead(k record.Kind, toks []token) (fact, bool) {
	if k != record.LineSummary || len(toks) == 0 {
		return fact{}, false
	}
	facts, worth := d.scan(k, toks)
	if worth <= 0 || len(facts) != 1 || facts[0].read.class == "" {
		return fact{}, false
	}
	for _, t := range toks[facts[0].read.used:] {
		if !d.spelt(t, lexicon.Filler) && !d.spelt(t, lexicon.Part) {
			return fact{}, false
		}
	}
	return facts[0], true
}

// newTest ends a summary at a line that begins with the rate of a test, where passes of no
// test that was understood stand above it: they are not of that one.
func (a *assembler) newTest(facts []fact) {
	a.ownTest(facts)
	if a.kind != record.LineSummary || a.cur == nil || len(facts) == 0 || facts[0].read.class == "" || len(facts[0].label) > 0 || hasClass(a.cur.facts) || !a.leads {
		return
	}
	if !slices.ContainsFunc(a.cur.facts, func(f fact) bool { return isPassField(f.field) && place(f) < place(facts[0]) }) {
		return
	}
	a.cur.doubt = "the rate of its test is not printed or was not understood"
	a.flush()
	a.unsure = "passes without a rate stand above; the rate may be of those"
}

// ownTest ends a summary at a line that names a test and a pass of it, where counts of no
// test stand above: which they are of, the line does not say.
//
//	PASSED IN 24 H  22
//	03/14/25 06:41  0.2 GPH
func (a *assembler) ownTest(facts []fact) {
	if a.kind != record.LineSummary || a.cur == nil || hasClass(a.cur.facts) || !hasClass(facts) || !a.cur.has("passes_24h") && !a.cur.has("passes_since_midnight") {
		return
	}
	if !slices.ContainsFunc(facts, func(f fact) bool { return f.read.hasDate() }) {
		return
	}
	for _, f := range a.cur.facts {
		if (f.field == "line" || f.field == "product") && !hasField(a.block, f.field) {
			a.block = append(a.block, f)
		}
	}
	a.flush()
}

// isPassField reports whether a field is one that only summaries of passes have.
func isPassField(name string) bool {
	switch name {
	case "passes_24h", "passes_since_midnight", "first_pass_of_month", "last_pass_at":
		return true
	}
	return false
}

// listedFirsts takes the dates below a label for the first pass of each month as passes of
// several months, of which none is told to be this month's:
//
//	list = "first" ... "month" date newline date { newline date }
func listedFirsts(r reads) {
	if r.kind != record.LineSummary {
		return
	}
	var head *fact
	for i := range r.entries {
		e := &r.entries[i]
		if len(e.facts) == 0 || e.row {
			head = nil
			continue
		}
		last := &e.facts[len(e.facts)-1]
		if head != nil && len(e.facts) == 1 && last.field == fieldMoment && last.read.hasDate() && len(last.label) == 0 {
			head.field = fieldMoment
			last.label, last.cost = head.label, head.cost
			continue
		}
		head = nil
		if last.field == "first_pass_of_month" && last.read.hasDate() && len(last.label) > 0 && (last.label[0].line < last.read.toks[0].line || saysEach(last.label)) {
			head = last
		}
	}
}

// saysEach reports whether a label speaks of each month.
func saysEach(label []token) bool {
	return slices.ContainsFunc(label, func(t token) bool { return t.norm == "each" || t.norm == "every" })
}

// classesBelow moves rates that stand alone below what is said of their test to above it,
// where each line of the section ends with one and none begins with one:
//
//	LINE 1 / LAST 03/14/25 12:30 / 3.0 GPH TEST / LAST 03/10/25 02:00 / 0.2 GPH TEST
func classesBelow(r reads) {
	if r.kind != record.LineSummary {
		return
	}
	alone := func(e entry) bool {
		return !e.row && len(e.facts) == 1 && e.facts[0].read.class != "" && len(e.facts[0].label) == 0
	}
	names, classes := 0, 0
	for i, e := range r.entries {
		named := hasField(e.facts, "line")
		switch {
		case e.row || !alone(e) && hasClass(e.facts):
			return
		case alone(e):
			classes++
			if i == 0 || alone(r.entries[i-1]) || hasField(r.entries[i-1].facts, "line") {
				return
			}
		case named:
			if names++; i > 0 && !alone(r.entries[i-1]) {
				return
			}
		}
	}
	if n := len(r.entries); names == 0 || classes < 2 || !alone(r.entries[n-1]) {
		return
	}
	from := 0
	for i, e := range r.entries {
		switch {
		case hasField(e.facts, "line"):
			from = i + 1
		case alone(e):
			copy(r.entries[from+1:i+1], r.entries[from:i])
			r.entries[from] = e
			from = i + 1
		}
	}
}
