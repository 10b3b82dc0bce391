package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// cutAtLines cuts a section of tanks or sensors above the first line, apart from what stands
// above it, that names a line and its number where what follows reads as records of lines:
// slips that show a bit of everything give some parts no title.
func (d *doc) cutAtLines(s section) []section {
	if k := s.title.kind; k != record.SensorStatus && k != record.Inventory {
		return []section{s}
	}
	for i := s.from + 1; i < s.to; i++ {
		l := d.lines[i]
		if len(l.toks) < 2 || l.head || !l.gap && !d.lines[i-1].rule || !d.namesLine(l.toks) {
			continue
		}
		rest := section{from: i, to: s.to}
		for _, k := range []record.Kind{record.LineSummary, record.LineTest} {
			if r := d.readAs(k, rest); r.evident() && r.worth > d.readAs(s.title.kind, rest).worth {
				return []section{{from: s.from, to: i, title: s.title}, rest}
			}
		}
	}
	return []section{s}
}

// namesLine reports whether a line begins with the name of a line: LINE 1, L1.
func (d *doc) namesLine(toks []token) bool {
	if prefix, _, _, ok := toks[0].ident(); ok && identPrefixes[prefix] == "line" {
		return true
	}
	code, cost, n := d.code(lexicon.Device, toks)
	return n > 0 && cost == 0 && code == "line" && n < len(toks) && plainDigits(toks[n].text, 1, 3)
}

// headsGroup reports whether a line of a summary of lines says only which tests those below
// it are: 0.2 GPH TESTS PASSED, HOURLY TEST, 3.0 GPH HOURLY TEST.
func (d *doc) headsGroup(toks []token) bool {
	for len(toks) > 1 && !toks[0].number && toks[0].stop != ',' && d.noun(toks[0]) {
		toks = toks[1:] // TEST 0.2 GPH, but not LINES, 0.2 GPH TESTS PASSED
	}
	r, ok := d.readClass(record.LineSummary, toks, "")
	if !ok || r.cost > 0 || toks[0].number && r.used >= len(toks) {
		return false
	}
	rest := toks[r.used:]
	if also, ok := d.readClass(record.LineSummary, rest, ""); ok && also.cost == 0 && also.class == r.class {
		rest = rest[also.used:] // the figure and the word: 3.0 GPH HOURLY TEST
	}
	for _, t := range rest {
		if t.number || !d.noun(t) && !d.past(t) && t.norm != "leak" && t.norm != "line" {
			return false
		}
	}
	return true
}
