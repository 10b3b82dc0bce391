package parse

import "tankroll/record"

// bareArrow tries two amounts at the beginning of a line, of which the second is what became of the
// first, where their unit says of what: 3207.4 -> 8190.7 GAL.
func (s *scanner) bareArrow(i int, try *ways) {
	if i > 0 || len(s.toks) < 3 || s.toks[0].delim != ':' || !s.toks[1].number || s.kind != record.Delivery && s.kind != record.TankTest {
		return
	}
	code, cost, used := s.d.unitAfter(s.toks[2:])
	q := quantityOf(unitCodes[code])
	name := sideFields[s.kind][q]
	if used == 0 || cost > 0 || name == "" || !sideAmount(s.kind, name) || q != record.Volume && q != record.Temperature {
		return
	}
	a, ok := s.d.readNumber(q, s.toks[:1], "")
	b, too := s.d.readNumber(q, s.toks[1:], "")
	if !ok || !too || 1+b.used != len(s.toks) {
		return
	}
	a.unit, a.unitFrom = b.unit, b.unitFrom
	const guess = "no label stands with it; its unit and the arrow say what it is"
	try.with(len(s.toks), float64(len(s.toks))*wordWorth+2*factWorth,
		fact{field: "start_" + name, read: a, guess: guess}, fact{field: "end_" + name, read: b, guess: guess})
}

// arrows tries a label with two amounts, of which the second is what became of the first:
// VOL: 15,630.2 -> 15,629.8 L. The mark between them stands behind the first.
func (s *scanner) arrows(i int, try *ways) {
	if s.toks[i].number {
		s.bareArrow(i, try)
		return
	}
	if i+3 > len(s.toks) {
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
