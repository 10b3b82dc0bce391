package parse

import (
	"slices"
	"strings"

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
		for i := range dr.again {
			if f := &dr.again[i]; f.field != "product" || len(f.label) > 0 { // the rest of a name may seem to be one
				markPlaced(placed, f)
			}
		}
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
		return !placed.has(t.at) && !t.blank && !t.ordinal && (!d.silent(t) || negates(t))
	}
	all, kinds := heads, make([]record.Kind, len(heads))
	for _, dr := range drafts {
		for i := range dr.facts {
			all, kinds = append(all, &dr.facts[i]), append(kinds, dr.kind)
		}
	}
	for n, f := range all {
		if f != nil {
			if first, l, ok := d.where(f.label, f.read.toks); ok && first > 0 && len(f.label) == 0 && (f.field == "result" || f.field == "state") && leadsOn(l.toks[first-1]) {
				f.stranger = l.toks[first-1].text
			} else if ok && first > 0 && !starts(l.toks, first) && stray(l, first-1) && !d.changesNothing(kinds[n], f, l.toks[first-1]) {
				f.stranger = l.toks[first-1].text
			}
			if at, l, ok := d.where(f.read.toks, nil); ok && at > 0 && !starts(l.toks, at) && !placed.has(l.toks[at-1].at) && negates(l.toks[at-1]) {
				f.stranger = l.toks[at-1].text // NO GOOD
			}
			if n := len(f.read.toks); n > 0 {
				last, l, ok := d.where(f.read.toks[n-1:], nil)
				if ok && last+1 < len(l.toks) && l.toks[last+1].gap < 3 && !l.toks[last+1].bar && stray(l, last+1) && !ofNextColumn(f, l.toks[last+1]) && !(f.read.class != "" && d.spelt(l.toks[last+1], lexicon.Grade)) {
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

// leadsOn reports whether a little word makes what follows it a part of what stands
// before: STOCK AT OPEN is no verdict.
func leadsOn(t token) bool {
	return t.delim == 0 && t.stop == 0 && (t.norm == "at" || t.norm == "of" || t.norm == "to" || t.norm == "by" || t.norm == "from")
}

// changesNothing reports whether a word that stands before a label or value would not
// make another field of it: FUEL before SOLD, LEAK before TEST RATE, the product before
// the rate that its line was tested for.
func (d *doc) changesNothing(k record.Kind, f *fact, t token) bool {
	if f.read.class != "" && d.spelt(t, lexicon.Grade) {
		return true
	}
	code, cost, ok := d.whole(lexicon.Part, []token{t})
	if !ok || cost > 0 {
		return false
	}
	switch {
	case f.read.class != "":
		return code == "leak" || code == "test"
	case f.field == "result":
		return code == "last" || code == "first" || code == "month"
	case len(f.label) == 0:
		return false
	}
	bag, _, _ := d.bag(f.label)
	other, found := d.field(k, withParts(bag, code))
	return !found || other == f.field
}

// ofNextColumn reports whether a word behind a number or time in a table stands past its
// heading.
func ofNextColumn(f *fact, t token) bool {
	_, text := f.read.value.(string)
	if !f.under || len(f.label) == 0 || text && !f.read.hasTime() || f.read.hasTime() && !f.read.hasClock() {
		return false
	}
	_, r := span2(f.label)
	return t.col > r && t.number
}

// negates reports whether a word turns what follows into its contrary.
func negates(t token) bool { return t.norm == "no" || t.norm == "not" || t.norm == "never" }

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
		if below[0].col > l.toks[0].col+0.9 && cellCount(below) == 1 && !d.silent(below[0]) && d.restOfName(below) && !d.courtesy(below) && !d.isHeading(below) {
			return below[0].text
		}
	}
	return ""
}

// restOfName reports whether a line may be the rest of free text: words without a mark,
// and numbers behind them.
func (d *doc) restOfName(toks []token) bool {
	const most = 4 // words
	if len(toks) > most || !strings.ContainsAny(toks[0].text, letters) || toks[0].number {
		return false
	}
	r, ok := d.readTime(toks, false)
	return !slices.ContainsFunc(toks, func(t token) bool { return t.delim != 0 }) && !(ok && r.hasDate())
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
