package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// cutAtHeads cuts a section of tests where the heading of another thing begins: the slip shows
// tests of tanks and lines under one title.
//
//	ENDED             TANK         RESULT
//	03/14/25 05:00    T1 REGULAR   PASS
//	ENDED             LINE         RESULT
//	03/14/25 06:00    L1 REGULAR   PASS
func (d *doc) cutAtHeads(s section) []section {
	if s.title.kind != record.TankTest && s.title.kind != record.LineTest {
		return []section{s}
	}
	var out []section
	above := ""
	for i := s.from + 1; i+1 < s.to; i++ {
		of := d.thingHeaded(i)
		if of == "" {
			continue
		}
		if above != "" && of != above {
			out = append(out, section{from: s.from, to: i, title: s.title, things: s.things})
			s = section{from: i, to: s.to, things: of}
		}
		above = of
	}
	return append(out, s)
}

// thingHeaded is the thing, tank or line, for which a line that heads columns has one of its
// own, and the other none.
func (d *doc) thingHeaded(i int) string {
	const fewest = 2 // columns
	l := d.lines[i]
	if l.rule || l.head || cellCount(l.toks) < fewest || hasFigures(l.toks) || !d.isHeading(l.toks) || !hasFigures(d.lines[i+1].toks) && !d.lines[i+1].rule {
		return ""
	}
	of := ""
	for c := range eachCell(l.toks) {
		code, cost, ok := d.whole(lexicon.Device, c)
		if !ok || cost > 0 || code != "tank" && code != "line" {
			continue
		}
		if of != "" {
			return ""
		}
		of = code
	}
	if of == "" || slices.ContainsFunc(l.toks, func(t token) bool { return t.delim != 0 }) {
		return ""
	}
	return of
}
