package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// cutByThings cuts a section of tests, or one without a title, where its tanks end and its
// lines begin, or the other way round, where the two read better apart:
//
//	section = { headline } { tank { line } } [ "LINES" ] { line { line } }
//
// Slips that sum up a month show the tests of tanks and those of lines without a title for
// each. A word for tanks or lines right above the first of them begins its part.
func (d *doc) cutByThings(s section) []section {
	switch s.title.kind {
	case "", record.TankTest, record.LineTest:
	default:
		return []section{s}
	}
	first, at := d.otherThings(s)
	if at <= s.from {
		return []section{s}
	}
	above, below := section{from: s.from, to: at, title: s.title}, section{from: at, to: s.to}
	below.title = d.testsTitle(at)
	var head []section
	if s.title.kind == "" && first > s.from {
		if t := d.testsTitle(first); t.kind != "" {
			head = []section{{from: s.from, to: first}}
			above.from, above.title = first, t
		}
	}
	a, b := d.bestTests(&above), d.bestTests(&below)
	if !a.evident() || !b.evident() || ownName(a.kind) == ownName(b.kind) {
		return []section{s}
	}
	for _, k := range []record.Kind{record.TankTest, record.LineTest, record.Alarm} {
		if whole := d.readAs(k, s); (k != record.Alarm || d.speaksOfAlarms(whole)) && whole.worth > a.worth+b.worth {
			return []section{s}
		}
	}
	return append(head, above, below)
}

// testsTitle is the title of tests that a line is in words of its own: LINES, LATEST TESTS.
func (d *doc) testsTitle(i int) titleFinding {
	if t := d.topicTitle(d.lines[i]); t.kind == record.TankTest || t.kind == record.LineTest {
		return t
	}
	return titleFinding{}
}

// bestTests is the best reading of a section as tests of what it names, whose kinds it notes.
func (d *doc) bestTests(s *section) reads {
	kinds := []record.Kind{record.TankTest}
	if s.things = d.thingsOf(s); s.things == "line" {
		kinds = []record.Kind{record.LineTest, record.LineSummary}
	}
	var best reads
	for i, k := range kinds {
		if r := d.readAs(k, *s); i == 0 || r.worth > best.worth {
			best = r
		}
	}
	return best
}

// thingsOf is what the first line of a section that names a tank or line names.
func (d *doc) thingsOf(s *section) string {
	for _, l := range d.lines[s.from:s.to] {
		if thing := d.beginsThing(l.toks); thing != "" {
			return thing
		}
	}
	return ""
}

// otherThings are the lines with which the tanks or lines of a section begin that it names
// first, and with which the others do that stand below them; -1 where it names one sort
// alone or they take turns.
func (d *doc) otherThings(s section) (first, other int) {
	sort := ""
	last := -1
	other = -1
	for i := s.from; i < s.to; i++ {
		switch thing := d.beginsThing(d.lines[i].toks); {
		case thing == "":
		case sort == "":
			sort, first, last = thing, i, i
		case thing == sort && other >= 0:
			return first, -1
		case thing == sort:
			last = i
		case other < 0:
			other = i
		}
	}
	if other < 0 {
		return first, -1
	}
	return d.headedAt(first, s.from-1, sort), d.headedAt(other, last, d.beginsThing(d.lines[other].toks))
}

// headedAt is the line with which things begin whose first stands on line i: one with the word
// for them right above it, and below line after, or the line itself.
func (d *doc) headedAt(i, after int, thing string) int {
	const most = 2 // lines, one of them a rule or empty
	for j := i - 1; j > after && j >= i-most; j-- {
		if l := d.lines[j]; !l.rule && len(l.toks) > 0 && !d.tabular(l) && d.headsThings(l.toks) == thing {
			return j
		}
	}
	return i
}

// headsThings is the sort of things that a line begins with the word for: LINES, LATEST TEST.
func (d *doc) headsThings(toks []token) string {
	code, cost, n := d.code(lexicon.Device, toks)
	if n == 0 || cost > 0 || code != "tank" && code != "line" {
		return ""
	}
	return code
}

// beginsThing is the sort of thing that a line begins with the name of: TANK 1, [LINE NO.2], T3.
func (d *doc) beginsThing(toks []token) string {
	if len(toks) == 0 {
		return ""
	}
	if prefix, _, _, ok := toks[0].ident(); ok && (identPrefixes[prefix] == "tank" || identPrefixes[prefix] == "line") {
		return identPrefixes[prefix]
	}
	code, cost, n := d.code(lexicon.Device, toks)
	if n == 0 || cost > 0 || code != "tank" && code != "line" || n >= len(toks) || toks[n-1].stop != 0 && toks[n-1].stop != '.' {
		return ""
	}
	if _, ok := d.readIdent(code, toks[n:]); !ok {
		return ""
	}
	return code
}

// ofThings leaves out the kinds that are not about the things that a section names.
func (s *section) ofThings(kinds []record.Kind) []record.Kind {
	if s.things == "" {
		return kinds
	}
	var out []record.Kind
	for _, k := range []record.Kind{record.TankTest, record.LineTest, record.LineSummary} {
		if ownName(k) == s.things && (s.title.kind == "" || slices.Contains(kinds, k)) {
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		return kinds
	}
	return out
}

// cut cuts a section where what it is about changes without a title.
func (d *doc) cut(s section) []section {
	for _, by := range []func(section) []section{d.cutAtHeads, d.cutByThings} {
		if out := by(s); len(out) > 1 {
			return out
		}
	}
	return d.cutAtLines(s)
}
