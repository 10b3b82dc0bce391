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

// namedRows reads such a heading, of one line or several, and the names and rows below it.
func (d *doc) namedRows(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 3 // columns
	own := ownName(k)
	if own != "tank" && own != "line" || i+2 >= len(lines) || len(lines[i].toks) < fewest || hasFigures(lines[i].toks) || cellCount(lines[i].toks) < fewest {
		return structure{}, false
	}
	var best structure
	found := false
	for h := 1; h <= maxHeadingLines; h++ {
		n, heading := d.headingLines(k, lines, i, h)
		if len(heading) < h {
			break
		}
		if s, ok := d.rowsBelowNames(k, lines, i, n, heading); ok && (!found || s.worth > best.worth) {
			best, found = s, true
		}
	}
	return best, found
}

// rowsBelowNames reads the names and rows from line j on, below a heading that begins at line i.
func (d *doc) rowsBelowNames(k record.Kind, lines []line, i, j int, heading [][]token) (structure, bool) {
	if at := skipRules(lines, j); at+1 >= len(lines) || !valuesAlone(lines[at+1].toks) {
		return structure{}, false // most headings
	}
	var rows []line
	for _, toks := range heading {
		rows = append(rows, line{toks: toks})
	}
	var names [][]fact
	worth := 0.0
	end := j
	for ; j+1 < len(lines); j += 2 {
		j = skipRules(lines, j)
		if j+1 >= len(lines) || !valuesAlone(lines[j+1].toks) {
			break
		}
		facts, w, ok := d.nameOfRow(k, heading[0], lines[j])
		if !ok {
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
		if hasField(e.facts, ownName(k)) {
			return structure{}, false
		}
		e.facts, e.row = slices.Concat(names[n], e.facts), true
		out.entries = append(out.entries, e)
	}
	return out, true
}

// nameOfRow reads the line above a row of values: the name of its thing with the word for it, or a
// number below that word in the heading, and what it holds.
func (d *doc) nameOfRow(k record.Kind, heading []token, l line) ([]fact, float64, bool) {
	own := ownName(k)
	if d.thingAlone(l) {
		facts, w := d.scan(k, l.toks)
		return facts, w, hasField(facts, own) && d.complete(facts, l.toks)
	}
	if l.rule || l.head || len(l.toks) == 0 || l.toks[0].ordinal || !plainDigits(l.toks[0].text, 1, 3) || l.toks[0].delim != 0 {
		return nil, 0, false
	}
	if bag, _, _ := d.bag(heading[:cellEnd(heading, 0)]); thingOf(bag) != own && bag != numberBag() || heading[0].col > l.toks[0].end {
		return nil, 0, false
	}
	name, ok := d.readIdent(own, l.toks[:1])
	if !ok || slices.ContainsFunc(l.toks, func(t token) bool { return t.delim == ':' || t.delim == '=' || t.blank }) {
		return nil, 0, false
	}
	facts, worth := []fact{{field: own, read: name, label: heading[:1], under: true}}, wordWorth
	switch rest := l.toks[1:]; {
	case len(rest) == 0:
	case len(rest) == 1 && rest[0].number || cellCount(rest) > 1 || len(rest) > mostInCell(record.Label):
		return nil, 0, false
	default:
		if _, _, graded := d.grade(rest); !graded && slices.ContainsFunc(rest, func(t token) bool { return t.number }) {
			return nil, 0, false
		}
		facts, worth = append(facts, productFact(rest, 0)), worth+float64(len(rest))*wordWorth
	}
	return facts, worth, true
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
