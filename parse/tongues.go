package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// Labels may be printed in two tongues with a stroke between, of which one is known:
//
//	EAU/WATER            12 MM        VOLUME BRUT/GROSS   9412 L        RESERVOIR / TANK   1

// fewestTongues are the lines with such a label that show that the slip has two tongues.
const fewestTongues = 3

// twoTongues reads labels of two tongues by the one that is known, where several lines have such.
// It reports whether it found any.
func (d *doc) twoTongues() bool {
	type found struct {
		line, at int
		norm     string
	}
	var all []found
	lines := 0
	for n, l := range d.lines {
		before := len(all)
		for i := range l.toks {
			if norm := d.knownTongue(l.toks[i]); norm != "" {
				all = append(all, found{n, i, norm})
			}
		}
		if len(all) > before {
			lines++
		}
	}
	if lines < fewestTongues {
		return false
	}
	for _, f := range all {
		d.lines[f.line].toks[f.at].norm = f.norm
	}
	for n := range d.lines {
		l := &d.lines[n]
		if len(l.toks) > 2 && l.toks[1].text == "/" && d.unknownWord(l.toks[0].norm) && d.labelWord(l.toks[2].norm) && (len(l.toks) == 3 || starts(l.toks, 3) || l.toks[2].delim != 0) {
			l.toks = slices.Clone(l.toks[2:])
		}
	}
	return true
}

// knownTongue is the half of a word with a stroke that is known, where the other half is none.
func (d *doc) knownTongue(t token) string {
	if t.number || hasDigit(t.text) {
		return ""
	}
	a, b, ok := strings.Cut(t.norm, "/")
	if !ok || len(a) < 3 || len(b) < 3 || strings.Contains(b, "/") {
		return ""
	}
	switch {
	case d.labelWord(a) && d.unknownWord(b):
		return a
	case d.labelWord(b) && d.unknownWord(a):
		return b
	}
	return ""
}

// labelWord reports whether a word is one of labels.
func (d *doc) labelWord(word string) bool {
	return slices.ContainsFunc(d.lookup(word), func(h lexicon.Hit) bool {
		return h.Cost == 0 && (h.Sense == lexicon.Part || h.Sense == lexicon.Device || h.Sense == lexicon.Kind)
	})
}

// unknownWord reports whether a word is spelt like none that is known.
func (d *doc) unknownWord(word string) bool {
	return !slices.ContainsFunc(d.lookup(word), func(h lexicon.Hit) bool { return h.Cost == 0 })
}
