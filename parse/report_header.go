package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// headerFields fills the header and returns the time of printing.
func (d *doc) headerFields(out *record.Header, h head) string {
	set := func(dst **record.Field, f *fact, v any, doubt bool) {
		if f == nil {
			return
		}
		field := record.Field{Value: v, Text: textOf(f.read.toks), Box: boxOf(f.read.toks), Origin: record.Printed}
		field.Confidence = confidence(f.read.toks, f.read)
		field.Sure = !doubt && d.wellRead(f.read.toks, f.read) && !f.weak && f.stranger == ""
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
		set(&out.Site, h.site, textOf(h.site.read.toks), h.guessed && !h.site.printed)
	}
	if h.number != nil {
		s, _ := h.number.read.value.(string)
		set(&out.SiteNumber, h.number, s, false)
	}
	if h.address != nil {
		set(&out.Address, h.address, textOf(h.address.read.toks), false)
	}
	if h.printed == nil {
		return ""
	}
	text, ok := d.timeText(h.printed.read.moment)
	if !ok || !h.printed.read.moment.HasDate {
		return ""
	}
	m := h.printed.read.moment
	cut := d.hasClocks && !m.HasClock || d.hasHalves && m.HasClock && m.Clock.Half == "" && m.Clock.Hour <= 12
	set(&out.PrintedAt, h.printed, text, false)
	out.PrintedAt.Sure = d.wellRead(h.printed.read.toks, h.printed.read) && d.dateSure(m, text) && !cut && h.printed.stranger == ""
	return text
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
