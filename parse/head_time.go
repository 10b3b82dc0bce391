package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
)

// printed finds the time of printing: one that says so, or a date that stands
// with the name or number of the site or above the title, before one that says when
// readings were taken. The head comes before
// the foot, where the last record may have a time of its own.
func (r *headReader) printed() {
	taken := len(r.d.lines) // the first line that says when readings were taken
	for _, l := range r.lines {
		if slices.ContainsFunc(l.items, func(it headItem) bool { return it.firm && r.d.saysTaken(it.label) }) {
			taken = min(taken, l.at)
		}
	}
	for _, how := range []func(headLine, headItem) bool{
		func(_ headLine, it headItem) bool { return it.firm && saysPrint(it.label) },
		func(_ headLine, it headItem) bool { return it.firm && !r.d.saysTaken(it.label) },
		func(l headLine, it headItem) bool {
			return !it.firm && !l.title && (!l.under && !l.foot && l.at < taken || l.foot && r.withSite(l.at))
		},
		func(l headLine, it headItem) bool {
			return !it.firm && l.title && !l.foot && taken < len(r.d.lines) && l.at < taken
		},
		func(_ headLine, it headItem) bool { return it.firm },
		func(headLine, headItem) bool { return true },
	} {
		for _, foot := range []bool{false, true} {
			for i := range r.lines {
				if r.lines[i].foot != foot {
					continue
				}
				for k := range r.lines[i].items {
					it := r.lines[i].items[k]
					if !how(r.lines[i], it) || it.firm && !it.read.hasDate() && r.out.printed == nil && r.d.saysTaken(it.label) || it.field != "printed_at" && it.field != fieldMoment || !it.firm && !r.free(i) || foot && it.firm && !saysPrint(it.label) && !r.opens(i) {
						continue
					}
					r.moment(i, k)
				}
			}
		}
	}
}

// saysPrint reports whether a label can only be of the printing; "taken at" may
// be of a record as well.
func saysPrint(label []token) bool {
	for _, t := range label {
		switch t.norm {
		case "issued", "generated", "clock", "prt", "prtd", "prntd", "prnt":
			return true
		}
		if strings.HasPrefix(t.norm, "print") {
			return true
		}
	}
	return false
}

// moment takes one item for the time of printing, or for what it still lacks.
func (r *headReader) moment(i, k int) {
	it := r.lines[i].items[k]
	if r.holds(it) {
		return
	}
	m := r.overLine(i, k, it.read)
	if r.out.printed == nil {
		r.out.printed = &fact{field: "printed_at", read: m, label: it.label, printed: it.firm, weak: !it.firm}
		r.taken[it.line] = true
		return
	}
	if j, ok := joinMoments(r.out.printed.read, m); ok {
		r.out.printed.read = j
		r.out.printed.label = append(r.out.printed.label[:len(r.out.printed.label):len(r.out.printed.label)], it.label...)
		r.taken[it.line] = true
	}
}

// overLine reads on in the next line when a moment stands at the end of its line:
// its time of day, or AM and PM, may have found no room.
func (r *headReader) overLine(i, k int, m reading) reading {
	n := r.next(i)
	if n == nil || k < len(r.lines[i].items)-1 || m.hasClock() && m.moment().Clock.Half != "" {
		return m
	}
	const most = 3 // words of a time of day with its half
	toks := m.toks[:len(m.toks):len(m.toks)]
	below := r.d.lines[n.at].toks
	for _, t := range below[:min(most, len(below))] {
		t.gap = 1
		toks = append(toks, t)
	}
	if j, ok := r.d.readTime(toks, true); ok && j.used > len(m.toks) {
		j.cost, j.fixed = max(j.cost, m.cost), max(j.fixed, m.fixed)
		r.taken[n.at] = true
		return j
	}
	return m
}

// lacks reports whether a date can still say when the slip was printed: nothing in
// its head or foot did, or only in part.
func (h *head) lacks(f fact) bool {
	if h.printed == nil {
		return true
	}
	_, ok := joinMoments(h.printed.read, f.read)
	return ok
}

// free reports whether a date on line i of the head that does not say what it is
// can only be the time of printing: no record can begin or end with it.
func (r *headReader) free(i int) bool {
	l := r.lines[i]
	if l.title {
		return true // beside the title
	}
	if !l.foot && !l.under {
		for _, o := range r.lines {
			if o.title && !o.foot {
				return true // above the title
			}
		}
	}
	if r.labelsSite(l) || r.inHeading(i) {
		return true // beside SITE 114
	}
	if !l.foot && r.overNames(i) {
		return true
	}
	if l.under && !l.foot && r.partedFromList(i) {
		return true
	}
	if l.foot && !r.opens(i) || l.under && !l.foot && !r.closes(i) {
		return false
	}
	if l.under && !l.foot && r.labelAgain(l) {
		return false // DATE above each alarm
	}
	return r.withSite(l.at) || r.lastOfAll(i)
}

// labelAgain reports whether the label of a date or time on a line of the head begins others of the
// slip, too, which lies right below its title.
func (r *headReader) labelAgain(l headLine) bool {
	return slices.ContainsFunc(l.items, func(it headItem) bool {
		return len(it.label) > 0 && it.label[0].at == r.d.lines[l.at].toks[0].at && slices.ContainsFunc(r.d.lines[l.at+1:], func(o line) bool {
			n := len(it.label)
			if len(o.toks) <= n || phraseOf(o.toks[:n]) != phraseOf(it.label) {
				return false
			}
			_, ok := r.d.readTime(o.toks[n:], true)
			return ok
		})
	})
}

// lastOfAll reports whether line i of the head says nothing but a date and time that
// no other on the slip is after, and no record has a line of its own for such: it is
// when the slip was printed.
func (r *headReader) lastOfAll(i int) bool {
	m, ok := r.lineMoment(i)
	for _, o := range []int{i - 1, i + 1} {
		if o < 0 || o >= len(r.lines) || m.HasDate && m.HasClock {
			continue
		}
		if n, too := r.lineMoment(o); too && n.HasDate != m.HasDate && n.HasClock != m.HasClock {
			if n.HasDate {
				m.Date, m.HasDate = n.Date, true
			} else {
				m.Clock, m.HasClock = n.Clock, true
			}
		}
	}
	text, fits := r.d.timeText(m)
	if !ok || !m.HasDate || !m.Date.HasYear() || !fits || r.d.after(text) {
		return false
	}
	own := r.d.lines[r.lines[i].at].toks
	for k := range r.d.lines {
		at := r.lines[i].at
		if t := r.d.lines[k].toks; (k < at-1 || k > at+1) && len(t) > 0 && len(r.d.withoutMoments(t)) == 0 && cellCount(t) == cellCount(own) {
			return false
		}
	}
	return true
}

// lineMoment puts together what line i of the head says of a date and a time of day,
// if it says nothing else.
func (r *headReader) lineMoment(i int) (value.Moment, bool) {
	var out reading
	for k, it := range r.lines[i].items {
		if it.field == itemOther {
			continue // P. 1
		}
		if it.field != fieldMoment && it.field != "printed_at" {
			return value.Moment{}, false
		}
		if k == 0 || !out.hasTime() {
			out = it.read
			continue
		}
		var ok bool
		if out, ok = joinMoments(out, it.read); !ok {
			return value.Moment{}, false
		}
	}
	return out.moment(), out.hasTime()
}

// after reports whether any date on the slip is after a time in its canonical form.
func (d *doc) after(text string) bool {
	for _, m := range d.dates.moments {
		t, ok := d.timeText(m)
		if n := min(len(t), len(text), 16); ok && t[:n] > text[:n] {
			return true
		}
	}
	return false
}

// overNames reports whether line i of the head is a date with the word for it, right
// above the name of the first thing on the slip, and no other date has that word:
// it is of all records.
func (r *headReader) overNames(i int) bool {
	l := r.lines[i]
	if len(l.items) != 1 || len(l.items[0].label) == 0 || !r.d.dateOnly(l.items[0].label) || l.at+1 >= len(r.d.lines) {
		return false
	}
	below := r.d.lines[l.at+1:]
	if !r.d.namesEquipment(below[0].toks) {
		return false
	}
	word := phraseOf(l.items[0].label)
	for _, b := range below {
		if n := len(l.items[0].label); len(b.toks) > n && phraseOf(b.toks[:n]) == word {
			return false
		}
	}
	return true
}

// namesEquipment reports whether a line begins with the name of a tank, line or
// sensor.
func (d *doc) namesEquipment(toks []token) bool {
	for len(toks) > 0 && toks[0].blank {
		toks = toks[1:]
	}
	if len(toks) == 0 {
		return false
	}
	if prefix, _, _, ok := toks[0].ident(); ok && identPrefixes[prefix] != "" {
		return true
	}
	code, cost, n := d.code(lexicon.Device, toks)
	return n > 0 && cost == 0 && code != "system" && n < len(toks) && plainDigits(strings.TrimLeft(toks[n].text, "#"), 1, 3)
}

// labelsSite reports whether a line of the head has the site's name or number with
// its label.
func (r *headReader) labelsSite(l headLine) bool {
	for _, it := range l.items {
		if it.firm && (it.field == "site" || it.field == "site_number") {
			return true
		}
	}
	return false
}

// closes reports whether the block of line i of the head ends with a rule, or
// with another line of the site.
func (r *headReader) closes(i int) bool {
	for r.next(i) != nil {
		i++
		if r.speaksOfSite(r.lines[i]) {
			return true
		}
	}
	return i+1 < len(r.lines) && r.lines[i+1].at == r.lines[i].at+1 && (r.lines[i+1].rule || r.lines[i+1].title) || !r.d.momentsBelow(r.lines[i].at+1)
}

// momentsBelow reports whether lines from one on hold nothing but a date, as the
// records of a list do whose dates have lines of their own.
func (d *doc) momentsBelow(from int) bool {
	for i := from; i < len(d.lines); i++ {
		if t := d.lines[i].toks; len(t) > 0 && len(d.withoutMoments(t)) == 0 {
			return true
		}
	}
	return false
}

// speaksOfSite reports whether a line holds the site's name, number or address.
func (r *headReader) speaksOfSite(l headLine) bool {
	return anyOn(l.at, r.out.site, r.out.number, r.out.address)
}

// isHalf reports whether a word is am or pm.
func isHalf(t token) bool {
	w := strings.ReplaceAll(t.norm, ".", "")
	return w == "am" || w == "pm"
}

// withSite reports whether a line of the head stands in one block with the site's name, number
// or address.
func (r *headReader) withSite(at int) bool {
	for i := range r.lines {
		if r.lines[i].at != at {
			continue
		}
		for k, o := range r.lines {
			if r.speaksOfSite(o) && r.together(k, i) {
				return true
			}
		}
	}
	return false
}

// inHeading reports whether line i of the head stands right below the title, and one rule stands
// above the two and one below.
func (r *headReader) inHeading(i int) bool {
	return i > 1 && i+1 < len(r.lines) && r.lines[i-1].title && r.lines[i-2].rule && r.lines[i+1].rule &&
		r.lines[i-2].at == r.lines[i].at-2 && r.lines[i+1].at == r.lines[i].at+1
}
