package parse

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// nameDoubts says what speaks against free text: words at its ends, or in it,
// that belong to the sentence or to another field.
func (d *doc) nameDoubts(name string, f *fact) string {
	toks := f.read.toks
	if len(toks) == 0 {
		return ""
	}
	text := textOf(toks)
	for i, t := range toks[:len(toks)-1] {
		if t.stop == '.' && d.isHeading(toks[i+1:]) || t.delim == ':' || t.stop == '.' && (len(t.text) > 2 && !t.prose || t.number) {
			return fmt.Sprintf("%q says two things; what belongs to it is not certain", text)
		}
	}
	switch name {
	case "product", "grade":
		if i := slices.IndexFunc(toks, func(t token) bool { return d.isUnit(t) && !d.spelt(t, lexicon.Grade) && len(t.norm) > 1 }); i >= 0 && len(toks) > 1 {
			return fmt.Sprintf("%q in %q is a unit, no part of a name", toks[i].text, text)
		}
		if last := toks[len(toks)-1]; len(toks) > 1 && last.norm != "a" && d.littleWord(last) {
			return fmt.Sprintf("%q at the end of %q may be no part of it", last.text, text)
		}
		if d.overRoom(toks) {
			return fmt.Sprintf("%q stands on two lines, the first of which had room for more; it may be two things", text)
		}
		if at := d.beyondGrade(toks); at >= 0 {
			return fmt.Sprintf("%q in %q may be no part of the name", toks[at].text, text)
		}
		return ""
	}
	for _, i := range []int{0, len(toks) - 1} {
		if _, ok := d.filler(toks[i]); ok && d.spelt(toks[i], lexicon.Filler) && !toks[i].number && len(toks) > 1 && name != "event" {
			return fmt.Sprintf("%q at the end of %q may be no part of it", toks[i].text, text)
		}
	}
	if last := toks[len(toks)-1]; name == "event" && last.delim != 0 && !f.under && d.isHeading(toks) {
		return fmt.Sprintf("%q has a mark behind it, as labels have", text)
	}
	if name == "event" && d.namesEquipment(toks) {
		return fmt.Sprintf("%q begins with the name of equipment", text)
	}
	if last := toks[len(toks)-1]; name == "event" && len(toks) > 1 && d.littleWord(last) {
		return fmt.Sprintf("%q may go on after %q", text, last.text)
	}
	if name == "location" && (!strings.ContainsAny(text, letters) || len(toks) == 1 && !f.under && d.isHeading(toks)) {
		return fmt.Sprintf("%q is no place", text)
	}
	if last := toks[len(toks)-1]; name == "location" && len(toks) > 2 && !f.under && d.spelt(last, lexicon.Device) && identPrefixes[last.norm] == "sensor" {
		return fmt.Sprintf("%q at the end of %q may be part of what is said of it", last.text, text)
	}
	if name == "event" && slices.ContainsFunc(toks, func(t token) bool {
		return plainDigits(t.text, 4, 4) && (strings.HasPrefix(t.text, "19") || strings.HasPrefix(t.text, "20"))
	}) {
		return fmt.Sprintf("%q holds what may be the year of a date", text)
	}
	if name == "location" && !slices.ContainsFunc(toks, func(t token) bool { return !d.isDevice(t) && !t.number && !d.numberWord(t) }) {
		return fmt.Sprintf("%q is the name of equipment, no place", text)
	}
	if name == "location" && len(toks) > 1 && d.spelt(toks[0], lexicon.Device) && identPrefixes[toks[0].norm] == "sensor" && toks[1].number {
		return fmt.Sprintf("%q begins like the name of equipment", text)
	}
	return ""
}

// overRoom reports whether tokens go over to another line although the first had room for
// the next word.
func (d *doc) overRoom(toks []token) bool {
	for i := 1; i < len(toks); i++ {
		a, la, okA := d.where(toks[i-1:i], nil)
		_, lb, okB := d.where(toks[i:i+1], nil)
		if okA && okB && a == len(la.toks)-1 && la.toks[0].at != lb.toks[0].at && d.roomFor(la.toks, lb.toks) {
			return true
		}
	}
	return false
}

// spelt reports whether a word is spelt exactly like one of a sense.
func (d *doc) spelt(t token, s lexicon.Sense) bool {
	for _, h := range d.lookup(t.norm) {
		if h.Sense == s && h.Cost == 0 {
			return true
		}
	}
	return false
}

// beyondGrade finds a word of a product label that names no grade although
// others do, where the label has no cell of its own; -1 for none.
func (d *doc) beyondGrade(toks []token) int {
	if !toks[0].prose && d.bounded(toks) {
		return -1
	}
	if end := d.gradeEnd(toks); end > 0 && end < len(toks) {
		return end
	}
	return -1
}

// endsInGrade reports whether the last word of a run is one of a grade or a
// figure that goes with it.
func (d *doc) endsInGrade(run []token) bool { return d.gradeEnd(run) == len(run) }

// namesGrade is how many tokens of a product label go up to its last word of a
// grade; all of them when none is told.
func (d *doc) namesGrade(run []token) int {
	if n := d.gradeEnd(run); n > 0 {
		return n
	}
	return len(run)
}

// gradeEnd is how many tokens go up to the last word of a grade, 0 for none.
func (d *doc) gradeEnd(toks []token) int {
	end := 0
	for i := 0; i < len(toks); {
		n := d.gradeWords(toks[i:])
		if n > 0 {
			end = i + n
		}
		i += max(n, 1)
	}
	return end
}

// gradeWords is how many tokens from the first on are words of grades or the
// figures that go with them.
func (d *doc) gradeWords(toks []token) int {
	if _, cost, n := d.code(lexicon.Grade, toks); n > 0 && cost == 0 {
		return n
	}
	if toks[0].number && plainDigits(strings.TrimLeft(toks[0].text, "#"), 1, 2) && toks[0].stop == 0 {
		return 1
	}
	return 0
}

// bounded reports whether tokens that stand side by side fill a cell, a bracket
// or what lies between marks.
func (d *doc) bounded(toks []token) bool {
	first, l, ok := d.where(toks, nil)
	if !ok {
		return false
	}
	end := first + len(toks)
	if end > len(l.toks) || toks[0].open && toks[len(toks)-1].shut {
		return true // over the end of a line, or in brackets
	}
	begins := starts(l.toks, first) || l.toks[first-1].delim != 0
	ends := end == len(l.toks) || starts(l.toks, end) || l.toks[end-1].delim != 0 || l.toks[end].open
	return begins && ends
}

// isName reports whether a field is free text.
func isName(spec record.FieldSpec, name string) bool {
	return spec.Type == record.Label || name == "grade"
}
