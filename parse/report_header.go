package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// headerFields fills the header and returns the time of printing.
func (d *doc) headerFields(out *record.Header, h head) string {
	set := func(dst **record.Field, name string, f *fact, v any, doubt bool) {
		if f == nil {
			return
		}
		text := textOf(f.read.toks)
		if v == text+"." {
			text += "."
		}
		field := record.Field{Value: v, Text: text, Box: boxOf(f.read.toks), Origin: record.Printed}
		field.Confidence = confidence(f.read.toks, f.read)
		field.Sure = !doubt && d.wellRead(f.read.toks, f.read) && !f.weak && f.stranger == "" && d.otherwise(headerKind, name, f.read.toks) == ""
		*dst = &field
	}
	if h.site != nil && d.numberOnly(h.site.read.toks) {
		// "Store= no. 114", a mark misread into the label: a number, not a name.
		if toks := h.site.read.toks; h.number == nil {
			last := toks[len(toks)-1:]
			h.number = &fact{field: "site_number", read: reading{used: 1, toks: last, value: last[0].text}, weak: true}
		}
		h.site = nil
	}
	if h.site != nil {
		set(&out.Site, "site", h.site, withShortForm(h.site.read.toks), strings.ContainsAny(textOf(h.site.read.toks), "<>{}") || d.cutShort(h.site.read.toks) || d.beginsWithEquipment(h.site.read.toks) || !h.site.printed && d.endsInTitle(h.site.read.toks) || len(h.site.label) > 0 && d.linesFrom(h.site.label) > 1 || !h.site.printed && (h.guessed || d.titleWords(h.site.read.toks)) || hasFigures(h.site.read.toks) && (!h.site.printed || h.number == nil))
	}
	if h.number != nil && (!ofEquipment(h.number) || h.number.printed && len(h.number.label) > 0 && strings.Contains(h.number.read.toks[0].text, "-")) {
		s, _ := h.number.read.value.(string)
		set(&out.SiteNumber, "site_number", h.number, s, !d.siteNumber(h.number))
	}
	if h.address != nil {
		text := textOf(h.address.read.toks)
		set(&out.Address, "address", h.address, withShortForm(h.address.read.toks), d.cutShort(h.address.read.toks) || !h.address.printed && addressScore(text) < 3 || !d.wholeAddress(text) || d.addressOpen(&h))
	}
	if h.printed == nil {
		return ""
	}
	text, ok := d.timeText(h.printed.read.moment())
	if !ok || !h.printed.read.hasDate() {
		return ""
	}
	m := h.printed.read.moment()
	cut := d.hasClocks && !m.HasClock || d.hasHalves && m.HasClock && m.Clock.Half == "" && m.Clock.Hour <= 12
	cut = cut || !m.HasClock && (d.clockBeside(h.printed.read.toks) || d.clockAfter(h.printed.read.toks))
	set(&out.PrintedAt, "printed_at", h.printed, text, false)
	out.PrintedAt.Sure = h.printed.guess != bySecondReading && d.wellRead(h.printed.read.toks, h.printed.read) && d.otherwise(headerKind, "printed_at", h.printed.read.toks) == "" && d.dateSure(m, text) && !cut && !d.after(text) && h.printed.stranger == "" && (len(h.printed.label) > 0 || m.HasClock && d.printedPlace(h.printed))
	return text
}

// withShortForm is the text of a name or address, with the full stop of a short form that ends it:
// Inc., N.Y.
func withShortForm(toks []token) string {
	const longest = 4 // letters of a short form
	text := textOf(toks)
	if n := len(toks) - 1; n > 0 && toks[n].stop == '.' && len(toks[n].text) <= longest && hasLetters(toks[n:]) {
		return text + "."
	}
	return text
}

// beginsWithEquipment reports whether words begin with a tank, line or sensor and its number.
func (d *doc) beginsWithEquipment(toks []token) bool {
	return len(toks) > 1 && d.isDevice(toks[0]) && toks[1].number
}

// endsInTitle reports whether words end with those of a title.
func (d *doc) endsInTitle(toks []token) bool {
	for i := 1; i < len(toks); i++ {
		if _, cost, n := d.kindAt(toks, nil, i); n > 1 && cost == 0 && i+n == len(toks) {
			return true
		}
	}
	return false
}

// ofEquipment reports whether a site's number is that of a tank, line or sensor: T1.
func ofEquipment(f *fact) bool {
	s, _ := f.read.value.(string)
	prefix, _, _, ok := splitIdent(s)
	return ok && identPrefixes[prefix] != ""
}

// cutShort reports whether words end where more of them must follow, or may: with an
// "and", a comma, or where their line had no room and the next goes on with words alone.
func (d *doc) cutShort(toks []token) bool {
	if len(toks) == 0 {
		return false
	}
	last := toks[len(toks)-1]
	if last.norm == "&" || last.norm == "and" {
		return true
	}
	next := last.line + 1
	if next >= len(d.lines) || len(d.lines[next].toks) == 0 || d.lines[next].rule || last.line < 0 {
		return false
	}
	l, whole := d.lines[last.line], d.lines[next].toks
	below := cells(whole)[0]
	const deepest = 8 // characters that what goes on is set in
	in := below[0].col - l.toks[0].col
	middle := l.toks[0].col + last.end - below[0].col - below[len(below)-1].end
	centred := middle > -2.5 && middle < 2.5
	return len(l.toks) > 0 && l.toks[len(l.toks)-1].at == last.at && !d.roomFor(l.toks, below) && in > 0.9 && in <= deepest && !centred &&
		below[len(below)-1].delim == 0 && !d.labelled(whole) && d.title(d.lines[next]).kind == ""
}

// wholeAddress reports whether an address has a street or a town.
func (d *doc) wholeAddress(text string) bool {
	return addressScore(text) >= 2 || townState.matches(text) || townProvince.matches(text) || premises.matches(text)
}

// numberOnly reports whether words are a number with the word for it, and so no
// name.
func (d *doc) numberOnly(toks []token) bool {
	for i, t := range toks {
		if t.number || t.blank {
			continue
		}
		if code, _, _ := d.code(lexicon.Part, toks[i:i+1]); code != "number" {
			return false
		}
	}
	return len(toks) > 0
}

// titleWords reports whether at least half of the words are such as titles are
// made of: a title that was not understood rather than a name.
func (d *doc) titleWords(toks []token) bool {
	n := 0
	for _, t := range toks {
		if d.spelt(t, lexicon.Topic) && !d.spelt(t, lexicon.Grade) {
			n++
		}
	}
	return 2*n >= len(toks)
}

// printedPlace reports whether a date without a label stands where slips say
// when they were printed: in a line of the header, beside a title, or first or
// last on the slip.
func (d *doc) printedPlace(f *fact) bool {
	if len(f.read.toks) == 0 {
		return false
	}
	i := f.read.toks[0].line
	l := d.lines[i]
	if l.head || d.title(l).kind != "" || i == 0 {
		return true
	}
	above := true
	for j := 0; j < i && above; j++ {
		l := d.lines[j]
		above = len(l.toks) == 0 || l.head || d.title(l).kind != "" || j < headLines && d.nameLike(l.toks)
	}
	if above {
		return true
	}
	for j := i + 1; j < len(d.lines); j++ {
		if len(d.lines[j].toks) > 0 && !d.lines[j].head && !d.courtesy(d.lines[j].toks) {
			return i > 0 && d.title(d.lines[i-1]).kind != ""
		}
	}
	return true
}

// hasFigures reports whether a figure stands among the tokens; in a name it may be
// the site's number or the beginning of its address.
func hasFigures(toks []token) bool {
	for _, t := range toks {
		if hasDigit(t.text) {
			return true
		}
	}
	return false
}

// siteNumber reports whether a number is the site's beyond doubt: its label says
// so, or it stands in a line of the header.
func (d *doc) siteNumber(f *fact) bool {
	bag, _, _ := d.bag(f.label)
	if labelTables().has(bag, "site") || len(f.read.toks) == 0 {
		return true
	}
	return d.lines[f.read.toks[0].line].head && (len(f.label) == 0 || d.linesFrom(f.label) < 2)
}

// linesFrom counts the lines that begin with a label, as those of several records do.
func (d *doc) linesFrom(label []token) int {
	n := 0
	for _, l := range d.lines {
		k := 0
		for k < len(label) && k < len(l.toks) && l.toks[k].norm == label[k].norm {
			k++
		}
		if k == len(label) && !(k < len(l.toks) && d.spelt(l.toks[k], lexicon.Part)) {
			n++
		}
	}
	return n
}

// doubtGuesses doubts the fields of the header that do not say what they are, for
// a slip that may be of anything but a gauge: a shop has a name and an address too.
func (h *head) doubtGuesses(out *record.Header) {
	for _, f := range []struct {
		field *record.Field
		fact  *fact
	}{{out.Site, h.site}, {out.SiteNumber, h.number}, {out.Address, h.address}, {out.PrintedAt, h.printed}} {
		if f.field != nil && (f.fact == nil || !f.fact.printed || f.field == out.PrintedAt && !saysPrint(f.fact.label)) {
			f.field.Sure = false
		}
	}
}

// titled reports whether any line announces records.
func (d *doc) titled() bool {
	for i := range d.lines {
		if len(d.lines[i].toks) > 0 && d.announces(i) {
			return true
		}
	}
	return false
}

// clockBeside reports whether a time of day stands on the line of a date that has
// none, as part of it or not.
func (d *doc) clockBeside(toks []token) bool {
	for _, l := range d.lines {
		if len(l.toks) == 0 || l.toks[0].line != toks[0].line {
			continue
		}
		for i := range l.toks {
			beside := l.toks[i].at < toks[0].at || l.toks[i].at > toks[len(toks)-1].at
			if r, ok := d.readTime(l.toks[i:], beside); ok && r.hasClock() && !r.hasDate() {
				return true
			}
		}
	}
	return false
}
