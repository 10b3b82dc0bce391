package parse

import (
	"slices"
	"strings"
)

// addressOpen reports whether an address may lack its town, or hold what belongs to another field:
// the line below it looks like one of a town, a number of the site stands in it that nothing else
// holds, or the name of a site that has none stands before its first comma.
func (d *doc) addressOpen(h *head) bool {
	toks := h.address.read.toks
	if len(toks) == 0 {
		return false
	}
	if d.townUnder(toks) || slices.ContainsFunc(toks, func(t token) bool { return t.norm == "zip" || t.norm == "postcode" }) {
		return true // ZIP is the label of the rest
	}
	if h.number == nil {
		for i, t := range toks {
			if i > 0 && strings.HasPrefix(t.text, "#") || i+2 == len(toks) && toks[i+1].number && (endsInNumberWord(t.norm) && i > 0) {
				return true
			}
		}
	}
	if h.site == nil && siteNoun.matches(" "+textOf(toks)) {
		return true // WHITCHURCH ROAD FILLING STN CARDIFF: what the station is called stands in it
	}
	if h.site != nil || toks[0].number {
		return false
	}
	n := slices.IndexFunc(toks, func(t token) bool { return t.stop == ',' })
	return n > 0 && !hasFigures(toks[:n+1]) && !hasWay(textOf(toks[:n+1]))
}

// townUnder reports whether the line below an address, no part of it, looks like one of a town or of
// its code.
func (d *doc) townUnder(toks []token) bool {
	last := toks[len(toks)-1]
	next := last.line + 1
	if last.line < 0 || next >= len(d.lines) || d.lines[next].rule || d.lines[next].gap || len(d.lines[next].toks) == 0 {
		return false
	}
	l := d.lines[next]
	switch strings.TrimRight(l.toks[0].norm, ":") {
	case "city", "town", "zip", "postcode", "city/state", "post", "postal", "suburb", "city,state":
		return true
	}
	text := textOf(l.toks)
	if len(l.toks) > 1 && plainDigits(l.toks[0].text, 4, 6) && !hasFigures(l.toks[1:]) && l.toks[0].delim == 0 {
		return true // 43200 CHERAS, SELANGOR
	}
	return postalFirst.matches(text) || townState.matches(text) || townProvince.matches(text) || len(l.toks) <= 2 && postal.matches(" "+text)
}

// endsInNumberWord reports whether a word is one for a number, or ends in it behind a stroke:
// STATIONS-NR.
func endsInNumberWord(w string) bool {
	if i := strings.LastIndexByte(w, '-'); i >= 0 {
		w = w[i+1:]
		switch w {
		case "nr", "no", "num":
			return true
		}
	}
	return false
}
