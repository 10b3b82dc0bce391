package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// A slip may say when its readings were taken and, elsewhere, when it was printed:
//
//	taken = "as of" moment | "readings of" moment | title [ "at" ] moment
//	      | title / [ "at" ] moment [ ":" ], where the slip says elsewhere when it was printed
//
// The time stands once, above all records that have none of their own.

// saysTaken reports whether a label says that values were taken then.
func (d *doc) saysTaken(label []token) bool {
	if len(label) == 0 {
		return false
	}
	bag, _, _ := d.bag(label)
	return labelTables().has(bag, "taken") || label[0].norm == "readings" || label[0].norm == "read" && len(label) == 1
}

// taken finds the time of the readings in the head, once it is known which time is that
// of printing.
func (r *headReader) takenAt() {
	if r.out.printed == nil {
		return
	}
	for i, l := range r.lines {
		for _, it := range l.items {
			says := r.d.saysTaken(it.label)
			if says && !l.foot && !it.read.hasDate() && it.read.hasClock() && r.out.printed.read.hasDate() && !r.holds(it) && r.out.taken == nil {
				r.out.taken = &fact{field: "at", read: it.read, label: it.label, printed: true, inherited: true} // of the day of printing
				r.taken[it.line] = true
				continue
			}
			if l.foot && (!says || !r.d.saidOnce(it.label) || !r.d.apartFromRecords(l.at)) || it.field != "printed_at" && it.field != fieldMoment || !it.read.hasDate() || r.holds(it) || r.out.taken != nil {
				continue
			}
			intro := !l.foot && r.introduces(i)
			if !says && !l.title && !intro {
				continue
			}
			f := &fact{field: "at", read: r.overLine(i, len(l.items), it.read), label: it.label, printed: says, inherited: true}
			if !says && len(it.label) == 0 {
				f.guess = "it stands by the title; it is taken for the time of the readings"
			}
			if l.foot {
				f.guess = "it stands below the records; it is taken for the time of all readings"
			}
			r.out.taken = f
			r.taken[it.line] = true
		}
	}
}

// apartFromRecords reports whether an empty line or a rule parts a line from the records above it,
// or it stands no further in than they do and is parted from what follows: with its label
// alone on the slip it is no part of the last record.
func (d *doc) apartFromRecords(i int) bool {
	if d.lines[i].gap || i > 0 && d.lines[i-1].rule {
		return true
	}
	return i > 0 && len(d.lines[i-1].toks) > 0 && d.lines[i].toks[0].col < d.lines[i-1].toks[0].col+0.6 && d.partedBelow(i)
}

// introduces reports whether line i of the head says nothing but a date with its time of day
// right below the title of states or stocks, which then are of it: the slip says in words when
// it was printed, or AT stands before this time and the other stands alone.
func (r *headReader) introduces(i int) bool {
	m, ok := r.lineMoment(i)
	if !ok || !m.HasDate || !m.HasClock || len(r.lines[i].items) > 1 {
		return false
	}
	label := r.lines[i].items[0].label
	if at := len(label) == 1 && label[0].norm == "at"; !saysPrint(r.out.printed.label) && !(at && len(r.out.printed.label) == 0) {
		return false
	}
	k := i - 1
	for k > 0 && r.lines[k].rule {
		k--
	}
	if k < 0 || !r.lines[k].title || r.lines[i].at-r.lines[k].at > 2 {
		return false
	}
	kind := r.d.title(r.d.lines[r.lines[k].at]).kind
	return kind == record.Inventory || kind == record.SensorStatus // events have times of their own
}

// saidOnce reports whether one line alone begins with the words of a label: no record has
// such a one of its own.
func (d *doc) saidOnce(label []token) bool {
	word, n := phraseOf(label), 0
	for _, l := range d.lines {
		if k := len(label); len(l.toks) >= k && phraseOf(l.toks[:k]) == word {
			n++
		}
	}
	return n == 1
}

// takenBelow reports whether the last entry of a list is no more than when all above it were
// read, none of which has a time: READ AT 03/14/25 12:30, apart from them.
func (d *doc) takenBelow(r reads) bool {
	n := len(r.entries) - 1
	if r.kind != record.Inventory && r.kind != record.SensorStatus || n < 1 || d.front.taken != nil || d.front.printed == nil || dated(r.entries[:n]) {
		return false
	}
	e := r.entries[n]
	if e.row || e.more || len(e.facts) != 1 || !e.facts[0].read.hasDate() || !e.facts[0].read.hasClock() {
		return false
	}
	at := e.facts[0].read.toks[0].line
	l := d.lines[at]
	return (l.gap || at > 0 && d.lines[at-1].rule) && (l.toks[0].norm == "read" || l.toks[0].norm == "taken" || l.toks[0].norm == "readings" || l.toks[0].norm == "measured")
}

// takenInRecord reports whether a line says when values were taken and is none that the head or
// foot of the slip was found to say it with: it is of the record that it stands in.
func (d *doc) takenInRecord(i int) bool {
	facts, _ := d.scan("", d.lines[i].toks)
	return len(facts) > 0 && d.saysTaken(facts[0].label) && !anyOn(i, d.front.taken, d.front.printed)
}

// saysRead reports whether a label speaks of readings or of taking them, and not only of a state
// of things as AS OF does, which printing may have shown.
func saysRead(label []token) bool {
	for _, t := range label {
		switch t.norm {
		case "reading", "readings", "read", "taken", "gauged", "measured", "dipped":
			return true
		}
	}
	return false
}

// onlyTaken takes the one time that the head says, in words for when its readings were taken, for
// no more than that, when all records are of such: the slip does not say when it was printed.
func (d *doc) onlyTaken(drafts []*draft) {
	p := d.front.printed
	if p == nil || d.front.taken != nil || len(drafts) == 0 || !saysRead(p.label) || saysPrint(p.label) {
		return
	}
	for _, dr := range drafts {
		if !wasRead(dr.kind) {
			return
		}
		for _, f := range dr.facts {
			if t := f.read.toks; len(t) > 0 && t[0].line < p.read.toks[0].line {
				return // below them it may be when the slip was taken off its printer
			}
		}
	}
	f := *p
	f.field, f.inherited = "at", true
	d.front.taken, d.front.printed = &f, nil
}

// giveTaken gives the time of the readings to the records that have none.
func (d *doc) giveTaken(drafts []*draft) {
	for _, dr := range drafts {
		if !wasRead(dr.kind) || dr.has("at") || dr.has(fieldMoment) {
			continue
		}
		if f := d.readWith(dr); f != nil {
			dr.facts = append(dr.facts, *f)
		} else if d.front.taken != nil {
			dr.facts = append(dr.facts, *d.front.taken)
		}
	}
}

// besideTitleTime says what a time beside a title is: of the readings where the head
// says elsewhere when the slip was printed, else that of printing.
func (d *doc) besideTitleTime(k record.Kind, f fact) string {
	p := d.front.printed
	if (k == record.Inventory || k == record.SensorStatus) && p != nil && len(p.read.toks) > 0 && p.read.hasDate() && p.read.toks[0].line != f.read.toks[0].line {
		return "at"
	}
	return "header.printed_at"
}

// withoutTaken leaves out the label at the end of a title whose time was left out: SENSORS
// STATUS AT. all is how many tokens there were with the time.
func (d *doc) withoutTaken(toks []token, all int) []token {
	const most = 3 // words of such a label
	if len(toks) == all {
		return toks
	}
	for n := min(most, len(toks)-1); n > 0; n-- {
		if w := toks[len(toks)-n:]; w[0].norm == "read" && (n == 1 || n == 2 && (w[1].norm == "at" || w[1].norm == "on")) {
			return toks[:len(toks)-n] // STOCK READ, SENSORS READ AT
		} else if saysPrint(w[:1]) && (n == 1 || n == 2 && (w[1].norm == "at" || w[1].norm == "on")) {
			return toks[:len(toks)-n] // SENSOR STATUS PRINTED
		}
		if code, cost, ok := d.whole(lexicon.Part, toks[len(toks)-n:]); ok && cost == 0 && (code == "taken" || code == "date" && n == 1 && len(toks) > 2) {
			return toks[:len(toks)-n]
		}
	}
	return toks
}
