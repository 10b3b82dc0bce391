package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// printings counts the times of printing among the entries of a section: where
// they come once for each of several records they are the records' own.
func printings(entries []entry) int {
	n := 0
	for _, e := range entries {
		for _, f := range e.facts {
			if f.field == "header.printed_at" {
				n++
			}
		}
	}
	return n
}

// ownTimes gives the records the times that pass for those of printing, when
// they have such a field and the slip says elsewhere when it was printed or
// there are several of them.
func (d *doc) ownTimes(r reads) {
	if _, ok := specs[r.kind]["at"]; !ok || printings(r.entries) == 0 || printings(r.entries) < 2 && !d.saysPrinted {
		return
	}
	for _, e := range r.entries {
		for i := range e.facts {
			if f := &e.facts[i]; f.field == "header.printed_at" && len(f.label) > 0 {
				f.field = "at"
			}
		}
	}
}

// keepHead sets the facts of the header aside, which may stand among records, and
// returns the others.
func (d *doc) keepHead(facts []fact) []fact {
	if len(facts) == 0 {
		return nil
	}
	rest := make([]fact, 0, len(facts))
	for _, f := range facts {
		if isHeader(f.field) {
			d.headFacts = append(d.headFacts, f)
		} else {
			rest = append(rest, f)
		}
	}
	return rest
}

// isMoment reports whether a fact is a date without a label that has a line of
// its own.
func (d *doc) isMoment(f fact) bool {
	if len(f.read.toks) == 0 || len(f.read.toks) < len(d.lines[f.read.toks[0].line].toks) {
		return false
	}
	return f.read.hasTime() && f.read.hasDate() && !f.printed && (f.field == fieldMoment || f.field == "at")
}

// amongWords reports whether a date and time stands alone in its line but for words that
// say nothing of equipment, a page or the number of the slip: DONE 03/14/2025 07:15.
func (d *doc) amongWords(f fact) bool {
	if len(f.read.toks) == 0 || !f.read.hasDate() || !f.read.hasClock() {
		return false
	}
	toks := d.lines[f.read.toks[0].line].toks
	first, last := f.read.toks[0].at, f.read.toks[len(f.read.toks)-1].at
	for i, t := range toks {
		inside := t.at >= first && t.at <= last
		counts := i > 0 && (d.numberWord(toks[i-1]) || d.spelt(toks[i-1], lexicon.Apparatus)) && plainDigits(t.text, 1, 5)
		if !inside && !counts && (d.isDevice(t) && i+1 < len(toks) && toks[i+1].number || hasDigit(t.text)) {
			return false
		}
	}
	return true
}

// closesSlip reports whether a date among words stands apart below the records, none of
// which lacks it.
func (d *doc) closesSlip(f fact, above []entry) bool {
	if !d.amongWords(f) {
		return false
	}
	at := f.read.toks[0].line
	apart := d.lines[at].gap || at > 0 && d.lines[at-1].rule
	if !apart || !f.printed || f.field == "at" {
		return apart
	}
	// A label that a record may have: the last record must have a time without it.
	for _, e := range slices.Backward(above) {
		if hasField(e.facts, f.field) || f.field == fieldMoment && dated([]entry{e}) {
			return true
		}
		if hasField(e.facts, "tank") || hasField(e.facts, "line") || hasField(e.facts, "sensor") {
			break
		}
	}
	return false
}

// afterAll reports whether a date is later than all dates of the entries, of
// which there are some: the time of printing.
func (d *doc) afterAll(f fact, entries []entry) bool {
	last, ok := d.timeText(f.read.moment())
	if !ok || !f.read.hasClock() || !dated(entries) {
		return false
	}
	for _, e := range entries {
		for _, o := range e.facts {
			if !o.read.hasTime() || !o.read.hasDate() || isHeader(o.field) {
				continue
			}
			if t, ok := d.timeText(o.read.moment()); !ok || t > last {
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
			if f.read.hasTime() && !isHeader(f.field) {
				return true
			}
		}
	}
	return false
}
