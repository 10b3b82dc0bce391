package parse

import (
	"slices"

	"tankroll/record"
)

// The name of each record may have a line of its own above the row of its values, below one heading
// for all:
//
//	             GROSS    NET   HEIGHT   WATER
//	TANK 1 REG
//	              5231   5180    55.20    0.40
//	TANK 2 DSL
//	              4419   4401    48.07    0.00

// namedRows reads such a heading and the names and rows below it.
func (d *doc) namedRows(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 3 // columns
	own := ownName(k)
	if own != "tank" && own != "line" || i+2 >= len(lines) || len(lines[i].toks) < fewest || hasFigures(lines[i].toks) || cellCount(lines[i].toks) < fewest || !d.isHeading(lines[i].toks) {
		return structure{}, false
	}
	rows := []line{lines[i]}
	var names [][]fact
	worth := 0.0
	j := skipRules(lines, i+1)
	end := j
	for ; j+1 < len(lines); j += 2 {
		for j+1 < len(lines) && lines[j].rule {
			j++
		}
		if !d.thingAlone(lines[j]) || j+1 >= len(lines) || !valuesAlone(lines[j+1].toks) {
			break
		}
		facts, w := d.scan(k, lines[j].toks)
		if !hasField(facts, own) || !d.complete(facts, lines[j].toks) {
			break
		}
		names, rows, worth, end = append(names, facts), append(rows, lines[j+1]), worth+w, j+2
	}
	if len(names) == 0 {
		return structure{}, false
	}
	s, ok := d.table(k, rows, 0)
	if !ok || s.lines != len(rows) || len(s.entries) != len(names) {
		return structure{}, false
	}
	out := structure{worth: s.worth + worth, lines: end - i}
	for n, e := range s.entries {
		if hasField(e.facts, own) {
			return structure{}, false
		}
		e.facts, e.row = slices.Concat(names[n], e.facts), true
		out.entries = append(out.entries, e)
	}
	return out, true
}

// valuesAlone reports whether a line holds figures or gaps for them and nothing else.
func valuesAlone(toks []token) bool {
	const fewest = 2
	for _, t := range toks {
		if !t.number && !t.blank {
			return false
		}
	}
	return len(toks) >= fewest
}
