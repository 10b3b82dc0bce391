package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// likelyCode is how likely words must at least say a code that no word of the lexicon does.
const likelyCode = 0.5

// factOf reads the value of a claim.
func (d *doc) factOf(c claim) (fact, bool) {
	k := record.Kind(c.tag.Kind)
	spec, ok := specOf(k, c.tag.Field)
	if !ok {
		return fact{}, false
	}
	r, ok := d.claimedValue(c, spec)
	if !ok {
		return fact{}, false
	}
	f := fact{field: c.tag.Field, read: r, guess: bySecondReading, weak: true}
	if f.field == "product" {
		var known bool
		if f.grade, _, known = d.grade(r.toks); !known {
			if code, p := d.guessedGrade(k, r.toks); p >= likelyCode {
				f.grade = code
			}
		}
	}
	return f, true
}

// claimedValue reads the words of a claim as the value of its field.
func (d *doc) claimedValue(c claim, spec record.FieldSpec) (reading, bool) {
	k := record.Kind(c.tag.Kind)
	toks := c.toks
	switch {
	case spec.Type == record.Label:
		return d.claimedText(toks, spec.Name == "product")
	case spec.Type == record.Time:
		toks = closeTogether(toks)
	case spec.Type == record.Number:
		toks = d.withUnit(joinedGroups(toks))
	case spec.Type == record.Ident && len(toks[len(toks)-1].text) == 1 && !toks[len(toks)-1].number:
		if last := toks[len(toks)-1]; last.norm >= "a" && last.norm <= "z" {
			return reading{used: 1, toks: toks[len(toks)-1:], value: strings.ToUpper(last.text)}, true
		}
	}
	r, ok := d.readField(k, spec, toks, "")
	for !ok && len(toks) > 1 { // of a label and its value without a gap
		toks = toks[1:]
		r, ok = d.readField(k, spec, toks, "")
	}
	if !ok && spec.Type == record.Code {
		if code, p := d.second.tags.Code(c.words, k, c.tag.Field); p >= likelyCode {
			return reading{used: len(c.toks), toks: c.toks, value: code}, true
		}
	}
	return r, ok
}

// closeTogether are tokens as if no gap or bar stood between them: a date and a time of day in two cells.
func closeTogether(toks []token) []token {
	out := slices.Clone(toks)
	for i := range out[1:] {
		out[i+1].gap, out[i+1].bar = min(out[i+1].gap, 1), false
	}
	return out
}

// claimedText is a name as it is printed, of a product without the number that a legend
// gives it: 1=DIESEL.
func (d *doc) claimedText(toks []token, product bool) (reading, bool) {
	text := textOf(toks)
	if number, name, ok := strings.Cut(text, "="); ok && product && plainDigits(strings.TrimSpace(number), 1, 2) {
		text = strings.TrimSpace(name)
	}
	if !strings.ContainsFunc(text, isLetterOrDigit) {
		return reading{}, false
	}
	return reading{used: len(toks), toks: toks, value: text}, true
}

// joinedGroups puts a number together whose thousands are parted by a blank: 36 400.
func joinedGroups(toks []token) []token {
	if len(toks) < 2 || !plainDigits(strings.TrimLeft(toks[0].text, "+-"), 1, 3) {
		return toks
	}
	n := 1
	for n < len(toks) && (plainDigits(toks[n].text, 3, 3) || lastGroup(toks[n].text)) {
		n++
	}
	if n == 1 {
		return toks
	}
	return append([]token{together(toks[:n])}, toks[n:]...)
}

// withUnit adds the token behind a run, which may be its unit.
func (d *doc) withUnit(toks []token) []token {
	if rest := d.lineFrom(toks[len(toks)-1]); len(rest) > 1 && !starts(rest, 1) {
		return append(toks[:len(toks):len(toks)], rest[1])
	}
	return toks
}

// lineFrom is the rest of a token's line, from the token on; nothing where it was put together with others.
func (d *doc) lineFrom(t token) []token {
	for _, l := range d.lines {
		if i := slices.IndexFunc(l.toks, func(o token) bool { return o.at == t.at }); i >= 0 {
			return l.toks[i:]
		}
	}
	return nil
}
