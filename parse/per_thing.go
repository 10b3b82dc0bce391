package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// perThing reads one field of several tanks or lines behind its label:
//
//	line = label ":" { thing value }     RESULT: TK 1 PASS   TK 2 FAIL
//
// They are rows of a table that goes on with that of the same things above.
func (d *doc) perThing(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 2 // things
	own := ownName(k)
	toks := lines[i].toks
	if own != "tank" && own != "line" || len(toks) < 2*fewest+1 {
		return structure{}, false
	}
	for _, n := range d.names(toks) {
		if n.bag == "" || n.used >= len(toks) || n.cost > sureLabelCost || toks[n.used-1].delim == 0 && !starts(toks, n.used) {
			continue
		}
		f, ok := d.field(k, n.bag)
		if !ok || isHeader(f) || f == own || f == "product" {
			continue
		}
		spec, ok := specOf(k, f)
		if !ok || spec.Type == record.Label || spec.Type == record.Ident {
			continue
		}
		s := structure{lines: 1, worth: float64(n.used) * wordWorth}
		rest := toks[n.used:]
		for len(rest) > 0 {
			thing, used := d.thingAt(own, rest)
			if used == 0 || used >= len(rest) {
				break
			}
			r, ok := d.readLabelled(k, spec, n.bag, rest[used:], n.unit)
			if !ok || r.cost > 0 {
				break
			}
			at := fact{field: f, read: r, label: toks[:n.used], cost: n.cost, printed: true}
			s.entries = append(s.entries, entry{row: true, table: i + 1, facts: append([]fact{thing}, d.classIn(k, at, []fact{at})...)})
			s.worth += float64(used+r.used)*wordWorth + factWorth
			rest = rest[used+r.used:]
		}
		if len(rest) == 0 && len(s.entries) >= fewest {
			return s, true
		}
	}
	return structure{}, false
}

// thingAt reads the name of a tank or line at the beginning of tokens; 0 tokens for none.
func (d *doc) thingAt(own string, toks []token) (fact, int) {
	if prefix, _, _, ok := toks[0].ident(); ok && identPrefixes[prefix] == own {
		r, ok := d.readIdent(own, toks)
		if !ok {
			return fact{}, 0
		}
		return fact{field: own, read: r, printed: true}, r.used
	}
	code, cost, n := d.code(lexicon.Device, toks)
	if n == 0 || cost > 0 || code != own || n >= len(toks) || starts(toks, n) {
		return fact{}, 0
	}
	r, ok := d.readIdent(own, toks[n:])
	if !ok {
		return fact{}, 0
	}
	return fact{field: own, read: r, label: toks[:n], printed: true}, n + r.used
}
