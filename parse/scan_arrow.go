package parse

import "tankroll/record"

// arrows tries a label with two amounts, of which the second is what became of the first:
// VOL: 15,630.2 -> 15,629.8 L. The mark between them stands behind the first.
func (s *scanner) arrows(i int, try *ways) {
	if s.toks[i].number || i+3 > len(s.toks) {
		return
	}
	for _, n := range s.d.names(s.toks[i:]) {
		j := i + n.used
		if n.bag == "" || n.cost > sureLabelCost || j+1 >= len(s.toks) || !s.toks[j].number || s.toks[j].delim != ':' || !s.toks[j+1].number {
			continue
		}
		code, _, used := s.d.unitAfter(s.toks[j+2:])
		unit := unitCodes[code]
		if used == 0 {
			unit = unitCodes[n.unit]
		}
		q := quantityOf(unit)
		name := sideFields[s.kind][q]
		if name == "" || !sideAmount(s.kind, name) || q != record.Volume && q != record.Temperature {
			continue
		}
		if t := labelTables(); !t.has(n.bag, quantityPart[q]) {
			continue
		}
		a, ok := s.d.readNumber(q, s.toks[j:j+1], n.unit)
		b, too := s.d.readNumber(q, s.toks[j+1:], n.unit)
		if !ok || !too {
			continue
		}
		a.unit, a.unitFrom = b.unit, b.unitFrom
		label := s.toks[i:j]
		try.with(n.used+1+b.used, float64(n.used+1+b.used)*wordWorth+2*factWorth,
			fact{field: "start_" + name, read: a, label: label, printed: true}, fact{field: "end_" + name, read: b, label: label, printed: true})
	}
}
