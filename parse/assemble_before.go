package parse

import (
	"tankroll/record"
)

// ratesApart takes a rate behind the word RATE alone for the one that was tested for, where
// each such rate names a test and is followed by a leak rate that is labelled as one, or that
// cannot be a rate to test for:
//
//	RATE 0.2 GAL/H  ...  LEAK RATE -0.021 GAL/H
//	RATE 0.2 GAL/H  ...  PASSED (RATE -0.021)
func (d *doc) ratesApart(r reads) {
	if r.kind != record.TankTest && r.kind != record.LineTest {
		return
	}
	own := ownName(r.kind)
	var bare []*fact
	measured := 0
	open := false // one was found, and none of its record that was measured yet
	for i := range r.entries {
		open = open && !r.entries[i].row
		for j := range r.entries[i].facts {
			f := &r.entries[i].facts[j]
			switch {
			case f.field == own:
				open = false
			case f.field == "test_class" && f.weak && f.guess != "":
			case f.field == "test_rate" || f.field == "test_class" || f.field == fieldType:
				return
			case f.field != "leak_rate":
			case d.bareRate(*f) && !open && ratesTest(*f):
				bare = append(bare, f)
				open = true
			case len(f.label) > 0 && (!d.bareRate(*f) || open && !ratesTest(*f)):
				open = false
				if measured++; measured > len(bare) {
					return
				}
			default:
				return
			}
		}
	}
	if measured == 0 {
		return
	}
	for _, f := range bare {
		f.field = "test_rate"
		f.read.class, _, _ = classOf(f.read.num.Value, f.read.unit)
	}
}

// ratesTest reports whether a rate may be one to test for: it has a unit, no sign, and is that of a
// test.
func ratesTest(f fact) bool {
	_, _, ok := classOf(f.read.num.Value, f.read.unit)
	return ok && (f.read.unitFrom == unitBeside || f.read.unitFrom == unitLabel) && f.read.num.Value > 0 && f.read.toks[0].text[0] != '+'
}

// bareRate reports whether the label of a rate is that word alone, with a unit or without: RATE,
// RATE GAL/HR.
func (d *doc) bareRate(f fact) bool {
	if len(f.label) == 0 || f.label[0].norm != "rate" {
		return false
	}
	for _, t := range f.label[1:] {
		if !d.isUnit(t) {
			return false
		}
	}
	return true
}

// dateApart gives the times of day of a delivery or a test the date that stands with a label
// of its own among what is said of it: START 10:05   END 10:38, below it DATE 02/14/25.
func dateApart(r reads) {
	switch r.kind {
	case record.Delivery, record.TankTest, record.LineTest:
	default:
		return
	}
	var date *fact
	var clocks []*fact
	for i := range r.entries {
		for j := range r.entries[i].facts {
			switch f := &r.entries[i].facts[j]; {
			case !f.read.hasTime():
			case f.read.hasDate() && f.read.hasClock() || !f.printed || r.entries[i].row:
				return
			case f.read.hasDate():
				if date != nil || f.field != "header.printed_at" && f.field != fieldMoment {
					return
				}
				date = f
			case f.field == "started_at" || f.field == "ended_at":
				clocks = append(clocks, f)
			default:
				return
			}
		}
	}
	if date == nil || len(clocks) == 0 || len(clocks) > 2 {
		return
	}
	for _, f := range clocks {
		f.read, _ = joinMoments(date.read, f.read)
	}
	date.field = ""
}

// dateSpans takes a date without a label before TO and another date for the beginning of the
// time that an account is of. TO may begin the next line.
func (d *doc) dateSpans(r reads) {
	if r.kind != record.Reconciliation {
		return
	}
	for n, e := range r.entries {
		for i := range e.facts {
			a, b, more := &e.facts[i], fact{}, []fact(nil)
			switch {
			case i+1 < len(e.facts):
				b = e.facts[i+1]
			case n+1 < len(r.entries) && len(r.entries[n+1].facts) > 0 && !e.row && !r.entries[n+1].row:
				more = r.entries[n+1].facts
				if b = more[0]; !nextLine(a.read.toks, b.label) {
					continue
				}
			}
			if a.field == fieldMoment && len(a.label) == 0 && a.read.hasDate() && b.field == "to" && b.read.hasDate() && !hasField(e.facts, "from") && !hasField(more, "from") {
				a.field = "from"
				if l := d.lines[a.read.toks[0].line].toks; len(l) > 1 && l[1].at == a.read.toks[0].at {
					if bag, _, cost := d.bag(l[:1]); cost == 0 && bag == bagOf("period") {
						a.label = l[:1]
					}
				}
			}
		}
	}
}

// nextLine reports whether some tokens stand on the line below others.
func nextLine(above, below []token) bool {
	return len(above) > 0 && len(below) > 0 && below[0].line == above[len(above)-1].line+1
}
