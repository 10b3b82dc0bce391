package parse

import (
	"slices"

	"tankroll/record"
)

// A matrix of tests may have a column for each rate and a block of rows for each tank or line, which
// has a line of its own above them:
//
//	                0.2 GPH     0.1 GPH
//	TANK 1 REG
//	  RESULT        PASS        PASS
//	  ENDED         03/12/22    01/06/22
//	TANK 2 PREM
//	  RESULT        PASS        NO TEST
//	  ENDED         03/13/22

// testMatrix reads such a matrix from the line of the rates on.
func (d *doc) testMatrix(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.TankTest && k != record.LineTest || i+2 >= len(lines) || !hasFigures(lines[i].toks) {
		return structure{}, false
	}
	heads, n := d.matrixHead(k, lines[i].toks)
	if n < 2 || !headsTests(heads) {
		return structure{}, false
	}
	out := structure{worth: float64(len(lines[i].toks)) * freeWorth}
	at := i + 1
	for at < len(lines) {
		from := skipRules(lines, at)
		if from >= len(lines) {
			break
		}
		named, worth, ok := d.testedThing(k, lines[from])
		if !ok {
			break
		}
		end := from + 1
		for end < len(lines) && !lines[end].rule && !lines[end].head && len(lines[end].toks) > 0 && lines[end].toks[0].col > lines[from].toks[0].col+0.9 {
			end++
		}
		s, ok := d.matrixUnder(k, slices.Concat(lines[i:i+1], lines[from+1:end]), 0, heads, n)
		if !ok || s.lines != end-from {
			break
		}
		for _, e := range s.entries {
			if hasField(e.facts, "result") || hasField(e.facts, "ended_at") || hasField(e.facts, "leak_rate") {
				out.entries = append(out.entries, entry{row: true, facts: slices.Concat(named, e.facts)})
			}
		}
		out.worth += worth + s.worth - float64(len(lines[i].toks))*freeWorth
		at = end
	}
	out.lines = at - i
	return out, len(out.entries) > 0
}

// testedThing reads a line that is no more than the name of a tank or line, and its product.
func (d *doc) testedThing(k record.Kind, l line) ([]fact, float64, bool) {
	if l.head || len(l.toks) == 0 {
		return nil, 0, false
	}
	facts, worth := d.scan(k, l.toks)
	if len(facts) == 0 || facts[0].field != ownName(k) || len(facts) > 2 || len(facts) == 2 && facts[1].field != "product" || !d.complete(facts, l.toks) {
		return nil, 0, false
	}
	return facts, worth, true
}
