package parse

import "slices"

// datesApart puts the day and the time of day of readings together, where the list has the one and
// the slip says the other once:
//
//	rows of sensors with 06:31            DIP REPORT 26/11/2018
//	DATE OF READINGS 30/09/2009           tanks
//	                                      READING TIME 05:55
func (d *doc) datesApart(drafts []*draft) []*draft {
	return d.hourBelow(d.dayBelow(drafts))
}

// dayBelow gives the day of a record that says nothing but when readings were taken to those above it.
func (d *doc) dayBelow(drafts []*draft) []*draft {
	n := len(drafts) - 1
	if n < 1 {
		return drafts
	}
	last := drafts[n]
	if !wasRead(last.kind) || len(last.facts) != 1 || last.facts[0].field != "at" || !last.facts[0].read.hasDate() || last.facts[0].read.hasClock() || !d.saysTaken(last.facts[0].label) {
		return drafts
	}
	day := last.facts[0]
	for _, dr := range drafts[:n] {
		if dr.kind != last.kind {
			return drafts
		}
		for _, f := range dr.facts {
			if f.field == "at" && f.read.hasDate() {
				return drafts
			}
		}
	}
	day.inherited = true
	for _, dr := range drafts[:n] {
		at := slices.IndexFunc(dr.facts, func(f fact) bool { return f.field == "at" || f.field == fieldMoment })
		if at < 0 {
			dr.facts = append(dr.facts, day)
			continue
		}
		if m, ok := joinMoments(day.read, dr.facts[at].read); ok {
			dr.facts[at].read, dr.facts[at].field = m, "at"
		}
	}
	return drafts[:n]
}

// hourBelow gives a time of day that stands apart below all records, in words for when readings were
// taken, to each of them; the slip's head says the day.
func (d *doc) hourBelow(drafts []*draft) []*draft {
	n := len(drafts) - 1
	p := d.front.printed
	if n < 0 || p == nil || !p.read.hasDate() || p.read.hasClock() || d.front.taken != nil {
		return drafts
	}
	last := drafts[n]
	at := slices.IndexFunc(last.facts, func(f fact) bool { return f.field == "at" })
	if at < 0 || !wasRead(last.kind) {
		return drafts
	}
	f := last.facts[at]
	if f.read.hasDate() || !f.read.hasClock() || !d.saysTaken(f.label) || !d.saidOnce(f.label) || !d.apartFromRecords(f.label[0].line) {
		return drafts
	}
	for _, dr := range drafts[:n] {
		if dr.kind != last.kind || dr.has("at") {
			return drafts
		}
	}
	m, ok := joinMoments(p.read, f.read)
	if !ok {
		return drafts
	}
	f.read, f.inherited = m, true
	f.guess = "it stands below the records; it is taken for the time of all readings"
	last.facts = slices.Delete(last.facts, at, at+1)
	for _, dr := range drafts {
		dr.facts = append(dr.facts, f)
	}
	return drafts
}
