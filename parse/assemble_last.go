package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// headClasses takes a rate without a label for the one that was tested for, where it is exactly
// such a rate and cannot be what was measured: it stands without a time over lines with theirs,
// or all rates of the section are such. A line that says which test was passed or failed goes
// with the line of its time below it:
//
//	TANK 3 DIESEL 0.2 GPH              LAST PASS 0.2 GPH
//	  09/15/11 05:30  -0.04  PASSED      10/04/19 02:15  -0.044 GPH
//	  10/14/11 05:30  +0.01  PASSED    LAST FAIL 0.2 GPH
//	                                     NONE
func (d *doc) headClasses(r *reads) {
	if r.kind != record.TankTest && r.kind != record.LineTest {
		return
	}
	all := true // rates are of tests
	for _, e := range r.entries {
		for i := range e.facts {
			all = all && !measures(&e.facts[i])
		}
	}
	own := ownName(r.kind)
	var out []entry
	heads := 0
	for i := 0; i < len(r.entries); i++ {
		e := r.entries[i]
		class, rates, timed := -1, 0, false
		for j := range e.facts {
			f := &e.facts[j]
			timed = timed || f.read.hasTime()
			if quantityOf(f.read.unit) == record.Rate || f.field == "leak_rate" || f.read.class != "" {
				rates++
			}
			if looksTested(f) {
				class = j
			}
		}
		below := i+1 < len(r.entries) && timesBelow(r.entries[i+1], own)
		if class >= 0 && rates == 1 && !e.row && !e.more && (timed && all || !timed && (below || hasField(e.facts, "result"))) {
			f := &e.facts[class]
			f.field, f.guess = "test_rate", "no label stands with it; a rate so round is taken for the one tested for"
			f.read.class, _, _ = classOf(f.read.num.Value, f.read.unit)
		}
		if !timed && !e.row && !e.more && d.saysLast(e.facts) {
			if below && !hasField(r.entries[i+1].facts, "result") {
				e.facts = slices.Concat(e.facts, r.entries[i+1].facts)
				heads++
				i++
			} else if heads > 0 && len(r.entries) > 0 {
				continue // none of them was
			}
		}
		out = append(out, e)
	}
	r.entries = out
}

// measures reports whether a fact is a rate that was measured: none is tested for.
func measures(f *fact) bool {
	if f.field == "leak_rate" {
		return true
	}
	return f.field == fieldLoose && quantityOf(f.read.unit) == record.Rate && !looksTested(f)
}

// looksTested reports whether a fact is a rate without a label and a sign that is exactly one
// that tests are for.
func looksTested(f *fact) bool {
	if f.field != fieldLoose || quantityOf(f.read.unit) != record.Rate || f.read.num.Decimals > 2 || strings.ContainsAny(textOf(f.read.toks), "+-") {
		return false
	}
	_, _, ok := classOf(f.read.num.Value, f.read.unit)
	return ok && (f.read.unit == "L/h" || f.read.num.Decimals == 1)
}

// timesBelow reports whether an entry is a line with a time and without a name, which belongs
// to what stands above.
func timesBelow(e entry, own string) bool {
	return !e.row && !e.more && !e.head && !hasField(e.facts, own) && slices.ContainsFunc(e.facts, func(f fact) bool {
		return f.read.hasDate() && (f.field == fieldMoment || f.field == "ended_at" || f.field == "started_at")
	})
}

// leadsLine reports whether a line begins with a word.
func (d *doc) leadsLine(line int, word string) bool {
	return line < len(d.lines) && len(d.lines[line].toks) > 0 && d.lines[line].toks[0].norm == word
}

// saysLast reports whether facts say no more than which test it was and how it ended, or that
// it was the last of these, without a label.
func (d *doc) saysLast(facts []fact) bool {
	says := false
	for _, f := range facts {
		switch {
		case f.field == "result" && len(f.label) == 0 && len(f.read.toks) > 0:
			says = hasClass(facts) || d.leadsLine(f.read.toks[0].line, "last")
		case f.field != "" && f.read.class == "":
			return false
		}
	}
	return says
}
