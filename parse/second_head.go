package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// plainHead is how likely the second reading must take words for a field of the head before they stand in
// the place of others. The value was chosen on printouts of consoles that neither had met.
const plainHead = 0.98

// fillHead gives the head what is claimed for it and it lacks, or has from words that the second reading
// hardly takes for it.
func (d *doc) fillHead(claims []claim, drafts []*draft, h *head) {
	held, inHead := d.heldBy(drafts, &head{}), d.heldBy(nil, h)
	for _, want := range []struct {
		field string
		to    **fact
	}{{"site", &h.site}, {"site_number", &h.number}, {"address", &h.address}, {"printed_at", &h.printed}} {
		f, p, ok := d.headFact(claims, want.field, held)
		if !ok {
			continue
		}
		old := *want.to
		if old == nil && slices.ContainsFunc(d.second.wordsOf(f.read.toks), func(w int) bool { return inHead[w] }) {
			continue // it is another field's
		}
		if old != nil && (p < plainHead || !d.hardlyHead(old, want.field) || d.cutsShort(old, &f)) {
			continue
		}
		*want.to = &f
	}
}

// hardlyHead reports whether a fact of the head has a word that the second reading hardly takes for it.
func (d *doc) hardlyHead(f *fact, field string) bool {
	_, least, known := d.second.agrees(f.read.toks, string(headerKind), field)
	return known && least < hardlyField || d.second.goesBeyond(f.read.toks, field)
}

// cutsShort reports whether a fact leaves out words of another that it has some of.
func (d *doc) cutsShort(old, f *fact) bool {
	words := d.second.wordsOf(f.read.toks)
	has, lacks := false, false
	for _, w := range d.second.wordsOf(old.read.toks) {
		if slices.Contains(words, w) {
			has = true
		} else {
			lacks = true
		}
	}
	return has && lacks
}

// headFact is what is claimed for a field of the head, of words that no record has, and how likely
// it is; of an address all its lines.
func (d *doc) headFact(claims []claim, field string, held heldWords) (fact, float64, bool) {
	var toks []token
	p := 1.0
	for _, c := range claims {
		if c.tag.Kind != string(headerKind) || c.tag.Field != field || held.any(c) {
			continue
		}
		if len(toks) > 0 && (field != "address" && field != "printed_at" || c.toks[0].line > toks[len(toks)-1].line+1) {
			break
		}
		toks, p = append(toks, c.toks...), min(p, c.p)
	}
	for len(toks) > 1 && toks[0].delim == ':' {
		toks = toks[1:] // ADDRESS: is the label
	}
	if len(toks) == 0 {
		return fact{}, 0, false
	}
	f := fact{field: "header." + field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}, guess: bySecondReading, weak: true}
	if spec, ok := specOf(headerKind, f.field); ok && (spec.Type != record.Label || field == "site_number") {
		r, ok := d.readField(headerKind, spec, toks, "")
		for !ok && len(toks) > 1 {
			toks = toks[1:]
			r, ok = d.readField(headerKind, spec, toks, "")
		}
		if !ok || field == "printed_at" && !r.hasDate() || field == "site_number" && areaCode(r.toks[0]) {
			return fact{}, 0, false
		}
		f.read = r
	}
	return f, p, true
}

// areaCode reports whether a token is the first part of a telephone number: (555).
func areaCode(t token) bool {
	return (t.open && t.shut || strings.HasPrefix(t.text, "(")) && plainDigits(strings.Trim(t.text, "()"), 3, 3)
}
