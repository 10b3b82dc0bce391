package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// strangers marks facts that stand in one cell with words that have no place
// in the reading: a word that could not be read before a label may be part of
// it ("?? before" may be a volume or a temperature), one behind a value may be
// the rest of it (a date without its time of day).
func (d *doc) strangers(drafts []*draft, h *head) {
	placed := d.newPlaces()
	for _, dr := range drafts {
		markAll(placed, dr.facts)
	}
	heads := []*fact{h.site, h.number, h.address, h.printed}
	for _, f := range heads {
		if f != nil {
			markPlaced(placed, f)
		}
	}
	markAll(placed, h.others)
	stray := func(l line, i int) bool {
		if i < 0 || i >= len(l.toks) {
			return false
		}
		t := l.toks[i]
		return !placed.has(t.at) && !t.blank && !t.ordinal && !d.silent(t)
	}
	all := heads
	for _, dr := range drafts {
		for i := range dr.facts {
			all = append(all, &dr.facts[i])
		}
	}
	for _, f := range all {
		if f != nil {
			if first, l, ok := d.where(f.label, f.read.toks); ok && first > 0 && !starts(l.toks, first) && stray(l, first-1) {
				f.stranger = l.toks[first-1].text
			}
			if n := len(f.read.toks); n > 0 {
				last, l, ok := d.where(f.read.toks[n-1:], nil)
				if ok && last+1 < len(l.toks) && l.toks[last+1].gap < 3 && !l.toks[last+1].bar && stray(l, last+1) {
					f.stranger = l.toks[last+1].text
				}
				if ok && last+1 == len(l.toks) {
					if word := d.wordBelow(l, *f, placed); word != "" {
						f.stranger = word
					}
				}
			}
		}
	}
}

// wordBelow is the first word of the line below a free text or a date when nothing of it
// has a place and it may be the rest of that: words that are set in, or a time of day.
func (d *doc) wordBelow(l line, f fact, placed placeSet) string {
	i := l.toks[0].line + 1
	if i >= len(d.lines) || d.lines[i].rule || d.lines[i].gap || len(d.lines[i].toks) == 0 || placed.has(d.lines[i].toks[0].at) {
		return ""
	}
	below := d.lines[i].toks
	_, figure := f.read.value.(float64)
	switch {
	case figure && f.read.used == len(f.read.toks):
		if plainDigits(below[0].text, 3, 3) || lastGroup(below[0].text) {
			return below[0].text // the rest of 15 007
		}
	case f.read.hasTime() && f.read.hasDate() && !f.read.hasClock():
		if r, ok := d.readTime(below, true); ok && r.hasClock() && !r.hasDate() {
			return below[0].text
		}
	case f.read.hasTime():
		if isHalf(below[0]) {
			return below[0].text
		}
	case f.field == "location" || f.field == "event" || f.field == "product" || f.field == "site":
		if below[0].col > l.toks[0].col+0.9 && cellCount(below) == 1 && d.wordsOnly(below) && !d.courtesy(below) && !d.isHeading(below) {
			return below[0].text
		}
	}
	return ""
}

// markAll is markPlaced for several facts.
func markAll(placed placeSet, facts []fact) {
	for i := range facts {
		markPlaced(placed, &facts[i])
	}
}

// markPlaced adds the places of a fact's words.
func markPlaced(placed placeSet, f *fact) {
	for i := range f.label {
		placed.add(f.label[i].at)
	}
	for i := range f.read.toks {
		t := &f.read.toks[i]
		placed.add(t.at)
		if i == len(f.read.toks)-1 {
			for n := range max(0, f.read.used-len(f.read.toks)) {
				placed.add(t.at + 1 + n) // the unit
			}
		}
	}
	if f.read.also != nil {
		markPlaced(placed, f.read.also)
	}
	if f.read.until != nil {
		for _, t := range f.read.until.toks {
			placed.add(t.at)
		}
	}
}

// harmless reports whether a word without a place says nothing: a known word
// that is spelt right.
func (d *doc) harmless(t token) bool {
	if t.number {
		return false
	}
	hits := d.lookup(t.norm)
	return len(hits) > 0 && hits[0].Cost == 0
}

// silent reports whether a word without a place says nothing beside a value: a
// little word, a unit, the name of a test or of what the section is about.
func (d *doc) silent(t token) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Cost > 0 {
			break
		}
		switch h.Sense {
		case lexicon.Filler, lexicon.Unit, lexicon.Kind, lexicon.TestClass, lexicon.Skip, lexicon.Device:
			return true
		case lexicon.Part:
			if h.Code == "test" || h.Code == "passes" {
				return true
			}
		}
	}
	return false
}

// where finds the place of the first of the tokens in its line.
func (d *doc) where(label, value []token) (int, line, bool) {
	toks := label
	if len(toks) == 0 {
		toks = value
	}
	if len(toks) == 0 {
		return 0, line{}, false
	}
	for k := range d.lines {
		l := d.lines[k]
		if len(l.toks) == 0 || l.toks[0].at > toks[0].at || l.toks[len(l.toks)-1].at < toks[0].at {
			continue
		}
		for i := range l.toks {
			if l.toks[i].at == toks[0].at {
				return i, l, true
			}
		}
	}
	return 0, line{}, false
}

// clocked reports whether the slip prints a time of day with most of its dates,
// and am or pm with most of its times; a date or time without it is cut short.
func (d *doc) clocked(drafts []*draft) (clocks, halves bool) {
	dates, withClock, withHalf := 0, 0, 0
	count := func(f fact) {
		if !f.read.hasTime() || !f.read.hasDate() {
			return
		}
		dates++
		if f.read.hasClock() {
			withClock++
			if f.read.moment().Clock.Half != "" {
				withHalf++
			}
		}
	}
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if dr.kind != record.Reconciliation {
				count(f)
			}
		}
	}
	for _, f := range d.headFacts {
		count(f)
	}
	return 2*withClock > dates, 2*withHalf > withClock
}
