package parse

import (
	"fmt"

	"tankroll/record"
)

// draft is a record in the making.
type draft struct {
	kind  record.Kind
	facts []fact
	again []fact // facts that say once more what it has
	from  int    // first line
	muddy bool   // words of its section have no place
	split bool   // parted from the next or last record by a field that came twice, not by a name
	row   bool   // it is a row or column of a table
	led   bool   // the section's records have names or leading fields
	part  *part  // the section that it was read from
	doubt string // why nothing in it can be sure, "" when nothing speaks against it
}

// newDraft makes a draft without facts that begins on a line.
func newDraft(k record.Kind, from int) *draft {
	const usual = 8 // facts of a record
	return &draft{kind: k, from: from, facts: make([]fact, 0, usual)}
}

// has reports whether a draft has the field.
func (dr *draft) has(field string) bool { return hasField(dr.facts, field) }

// put adds a fact to a draft; false when the draft has that field already and
// it says something else.
func (dr *draft) put(f fact) bool {
	if f.field == "" || f.field == fieldNone { // words that have their place and say nothing more
		dr.facts = append(dr.facts, f)
		return true
	}
	if f.read.class != "" {
		if done, same := dr.putClass(f); done {
			return same
		}
	}
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
		case f.read.hasTime() && o.read.hasTime():
			if m, ok := joinMoments(o.read, f.read); ok {
				o.read = m
				return true
			}
			return false
		case f.field == "temperature" && len(f.label) == 0 && len(o.label) == 0 && dr.kind == record.TankTest:
			if f.read.value != o.read.value && o.guess == "" {
				o.guess = "a second temperature stands with the test, neither with a label"
			}
			dr.again = append(dr.again, f)
			return true
		case f.field == "pressure" && dr.kind == record.LineTest && !dr.has("result") && o.read.value != f.read.value:
			if o.guess == "" {
				o.guess = "a second pressure stands with the test"
			}
			dr.again = append(dr.again, f)
			return true
		case f.field == "product" && f.read.cost < unknownGrade && o.read.cost < unknownGrade && f.grade != o.grade:
			return false // another product: another thing
		case f.field == "product":
			if !f.weak && o.weak && f.read.cost < unknownGrade {
				f, *o = *o, f
			}
			dr.again = append(dr.again, f)
			return true
		case (f.field == "delivered" || f.field == "net_delivered") && sameAmount(*o, f):
			dr.again = append(dr.again, f) // in a column and once more below
			return true
		case f.field == "result" || f.field == "method":
			if f.read.value == o.read.value {
				dr.again = append(dr.again, f)
				return true
			}
			return false
		}
		return false
	}
	dr.facts = append(dr.facts, f)
	return true
}

// contest doubts the fact that a draft has where another was found for it.
func (dr *draft) contest(f fact) {
	for i := range dr.facts {
		if o := &dr.facts[i]; o.field == f.field && o.guess == "" && f.field != "" {
			o.guess = fmt.Sprintf("%q stands for it as well", textOf(f.read.toks))
		}
	}
}

// putClass is put for the rate that was tested for, which may be printed as a
// rate, a word for it or both. It is done when the draft has one already: the
// same, of which the figure stands, or another.
func (dr *draft) putClass(f fact) (done, same bool) {
	for i := range dr.facts {
		o := &dr.facts[i]
		if o.read.class == "" {
			continue
		}
		if o.read.class != f.read.class {
			return true, false
		}
		if _, figure := o.read.value.(float64); !figure {
			f, *o = *o, f
		}
		dr.again = append(dr.again, f)
		return true, true
	}
	return false, false
}

// joinMoments puts a date and a time of day together that were printed apart.
func joinMoments(a, b reading) (reading, bool) {
	switch {
	case a.hasDate() && !a.hasClock() && b.hasClock() && !b.hasDate():
	case a.hasClock() && !a.hasDate() && b.hasDate() && !b.hasClock():
		a, b = b, a
	default:
		return a, false
	}
	both := *a.when
	both.Clock, both.HasClock = b.when.Clock, true
	a.when = &both
	a.toks = append(a.toks[:len(a.toks):len(a.toks)], b.toks...)
	a.fixed += b.fixed
	return a, true
}

// doubtOwnTimes doubts a time that no label says to be the record's own, on a
// slip that shows no time of printing.
func (d *doc) doubtOwnTimes(dr *draft) {
	if dr.kind == record.Alarm {
		return
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.read.hasTime() && f.read.hasDate() && f.guess == "" && (len(f.label) > 0 && d.dateOnly(f.label) && (d.closing(f.label) || dr.aboveName(*f)) || len(f.label) == 0 && (f.inherited || f.field == fieldMoment) || f.inherited && d.dateOnly(f.label)) {
			f.guess = "no label stands with it, and the slip shows no other time of printing; it may be that"
		}
	}
}

// aboveName reports whether a fact stands above the name of its record.
func (dr *draft) aboveName(o fact) bool {
	for _, f := range dr.facts {
		if f.field == ownName(dr.kind) && len(f.read.toks) > 0 && len(o.read.toks) > 0 && f.read.toks[0].line > o.read.toks[0].line {
			return true
		}
	}
	return false
}

// closing reports whether a label stands apart at the end of the slip, where nothing but
// words of the head and the foot follow.
func (d *doc) closing(label []token) bool {
	if len(label) == 0 {
		return false
	}
	at := label[0].line
	if at == 0 || at >= len(d.lines) {
		return false
	}
	apart := false
	for i := at; i > 0 && i > at-2; i-- {
		apart = apart || d.lines[i].gap || d.lines[i-1].rule
	}
	for i := at + 1; i < len(d.lines); i++ {
		l := d.lines[i]
		if len(l.toks) > 0 && !l.head && !d.courtesy(l.toks) && !d.dateOnly(l.toks[:1]) {
			return false
		}
	}
	return apart
}

// clockOnly reports whether a draft has a time of day that lacks its date.
func (dr *draft) clockOnly() bool {
	for _, f := range dr.facts {
		if f.field == fieldMoment && f.read.hasClock() && !f.read.hasDate() {
			return true
		}
	}
	return false
}

// lacksDate reports whether a draft's time of a field is a time of day alone.
func (dr *draft) lacksDate(field string) bool {
	for _, f := range dr.facts {
		if f.field == field && f.read.hasTime() {
			return f.read.hasClock() && !f.read.hasDate()
		}
	}
	return false
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
			if dr.has(ownName(dr.kind)) {
				return true
			}
		case "state":
			if dr.kind != record.Alarm {
				return true // of an alarm it says nothing by itself
			}
		case "device":
			if dr.kind != record.Alarm {
				return true
			}
		case "", "tank", "line", "product", "test_rate", "test_class", fieldType, "method", "device_number":
		default:
			return true
		}
	}
	return false
}
