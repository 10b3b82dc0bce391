package parse

import (
	"fmt"
	"slices"
	"strings"
)

// strangeLines are the lines of a section that nothing holds and that may say of what or
// of which kind the records below them are.
func (d *doc) strangeLines(s *part, placed placeSet) []int {
	var out []int
	for _, i := range s.left {
		l := d.lines[i]
		if l.head || l.rule || len(l.toks) == 0 || i == s.from && s.title.kind != "" || d.oneQuantity(l.toks) || d.courtesy(l.toks) {
			continue
		}
		if slices.ContainsFunc(l.toks, func(t token) bool { return placed.has(t.at) }) || !slices.ContainsFunc(l.toks, func(t token) bool { return !t.blank && !d.harmless(t) }) {
			continue
		}
		out = append(out, i)
	}
	return out
}

// legible reports whether a line is of words and numbers that were read well: what it
// says may be unknown, but it can be told what it is not.
func (d *doc) legible(toks []token) bool {
	words, known := 0, 0
	for _, t := range toks {
		switch {
		case t.blank || t.number:
			continue
		case t.conf < clearPrint || strings.ContainsAny(t.text, "#*%&;~|\\^_<>{}$"):
			return false
		}
		words++
		if d.harmless(t) || len(t.norm) > 1 && strings.ContainsAny(t.norm, "aeiou") {
			known++
		}
	}
	return 2*known >= words
}

// markBelow puts a danger on facts that a line which was not understood parts from what
// they are of.
func (p *placing) markBelow(strange []int) {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if len(f.read.toks) == 0 || f.danger != "" || f.guess != "" {
			continue
		}
		for _, row := range strange {
			toks := p.d.lines[row].toks
			at := toks[0].at
			switch clear := p.d.legible(toks); {
			case f.inherited && at > f.read.toks[0].at && at < p.begins() && (!clear || f.field != ownName(p.dr.kind) && !saysValue(toks)):
				f.danger = "taken from above; a line between could not be read and may name another"
			case !f.inherited && !clear && p.parts(at, f):
				f.danger = "a line above it could not be read and may name another thing"
			case f.read.class != "" && !clear && at > f.read.toks[0].at && row < p.lastRow():
				f.danger = "a line among its passes could not be read and may name another rate"
			}
		}
	}
}

// saysValue reports whether a line is a label with its value, and so no heading.
func saysValue(toks []token) bool {
	for i, t := range toks {
		if i > 0 && t.number || i+1 < len(toks) && t.delim != 0 {
			return true
		}
	}
	return false
}

// markGoingOn puts a danger on facts at the beginning of a line that goes on with the one
// above, where the words above have no place: the label may begin there, or the fact be
// the rest of something else.
func (p *placing) markGoingOn() {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		toks := f.label
		if len(toks) == 0 {
			toks = f.read.toks
		}
		if len(toks) == 0 || f.danger != "" {
			continue
		}
		row := p.rows[toks[0].at]
		l := p.d.lines[row]
		if f.under || row == 0 || l.gap || l.toks[0].at != toks[0].at && !(len(l.toks) > 1 && l.toks[0].blank && l.toks[1].at == toks[0].at) {
			continue
		}
		above := p.d.lines[row-1]
		if above.rule || above.head || len(above.toks) == 0 || l.toks[0].col < above.toks[0].col+0.9 && !toks[0].prose {
			continue
		}
		if t := above.toks[len(above.toks)-1]; !p.placed.has(t.at) && !t.blank && t.delim == 0 && !t.number && len(above.toks) > 1 &&
			(goesOn(p.d, t) || !p.d.silent(t) && p.holds(above) && !p.d.roomFor(above.toks, l.toks)) {
			f.danger = fmt.Sprintf("%q at the end of the line above was not understood; it may go on here", t.text)
		}
	}
}

// goesOn reports whether a little word at the end of a line shows that more of the same
// follows; an article may stand before anything.
func goesOn(d *doc, t token) bool {
	return !t.prose && d.littleWord(t) && t.norm != "a" && t.norm != "an" && t.norm != "the"
}

// markBehind puts a danger on values below a label that stands behind a number on its own
// line: the label is that number's.
func (p *placing) markBehind() {
	for i := range p.dr.facts {
		f := &p.dr.facts[i]
		if len(f.label) == 0 || len(f.read.toks) == 0 || f.under || f.danger != "" {
			continue
		}
		row := p.rows[f.label[0].at]
		toks := p.d.lines[row].toks
		if row == p.rows[f.read.toks[0].at] || toks[0].prose {
			continue
		}
		for _, t := range toks {
			if t.at < f.label[0].at && t.number && f.label[0].open {
				f.danger = fmt.Sprintf("%q stands before its label; the label may be of that", t.text)
			}
		}
	}
}

// holds reports whether anything on a line has a place.
func (p *placing) holds(l line) bool {
	return slices.ContainsFunc(l.toks, func(t token) bool { return p.placed.has(t.at) })
}

// clocks are the times of day of a draft that no date was found for: they may be those of
// other dates on their lines.
func (p *placing) clocks() []unread {
	var out []unread
	for _, f := range p.dr.facts {
		if n := len(f.read.toks); n > 0 && f.field == fieldMoment && !f.inherited && f.read.hasClock() && !f.read.hasDate() {
			out = append(out, unread{token: f.read.toks[0], row: p.rows[f.read.toks[0].at], dated: true})
		}
	}
	return out
}
