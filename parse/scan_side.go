package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// An amount may go with the start or the end that stands on its line:
//
//	side = ( "start" | "end" ) moment { label value }       START 12:30  VOL 5123  T 12
//	     | label value [ "at" ] ( "start" | "end" )         VOLUME 5123 AT START
//	     | label [ "from" ] value "to" value                TEMPERATURE ROSE FROM 12 TO 14
//	     | value "to" value unit                            2584 TO 8036 GAL

// sideLabel is the part, start or end, that a line begins with before a time, "" for none.
func (d *doc) sideLabel(toks []token) string {
	for _, n := range d.names(toks) {
		if n.bag != startBag() && n.bag != endBag() || n.used >= len(toks) {
			continue
		}
		if r, ok := d.readTime(toks[n.used:], true); ok && r.used+n.used < len(toks) && (r.hasDate() || r.hasClock()) {
			if n.bag == startBag() {
				return "start"
			}
			return "end"
		}
	}
	return ""
}

// sided tries a label behind the time of a start or an end as what it is of; a lone T is a
// temperature there.
func (s *scanner) sided(i, j int, n name, marked bool, try *ways) bool {
	bag := n.bag
	if bag == bagOf("tank") && n.used == 1 && s.toks[i].norm == "t" && starts(s.toks, i) {
		bag = bagOf("temperature")
	}
	bag = withParts(bag, s.side)
	field, ok := s.d.field(s.kind, bag)
	spec, known := specOf(s.kind, field)
	if !ok || !known || spec.Type != record.Number || bag == n.bag {
		return false
	}
	s.pair(i, j, n, field, marked, -0.4, try)
	return true
}

// sides tries one label for two amounts, the first of the start and the second of the end.
func (s *scanner) sides(i int, try *ways) {
	if sideFields[s.kind] == nil {
		return
	}
	s.span(i, try)
	for _, n := range s.d.names(s.toks[i:]) {
		if n.bag == "" {
			continue
		}
		if s.rising(i, n, try) {
			return
		}
		if s.toks[i+n.used-1].delim != 0 {
			continue
		}
		s.atSides(i, n, try)
	}
}

// rising tries a label with what it rose or fell from and to: TEMPERATURE ROSE FROM 12 C TO
// 14 C.
func (s *scanner) rising(i int, n name, try *ways) bool {
	j := i + n.used
	for j < len(s.toks) && j < i+n.used+2 && moves[s.toks[j].norm] {
		j++
	}
	if j < len(s.toks) && s.toks[j].norm == "from" {
		j++
	}
	if j >= len(s.toks) {
		return false
	}
	a, ok := s.amountOf(n.bag, "start", j)
	if !ok {
		return false
	}
	k := j + a.read.used
	if k+1 >= len(s.toks) || s.toks[k].norm != "to" && s.toks[k].text != "-" || starts(s.toks, k) || starts(s.toks, k+1) {
		return false
	}
	b, ok := s.amountOf(n.bag, "end", k+1)
	if !ok {
		return false
	}
	end := k + 1 + b.read.used
	a.label, b.label = s.toks[i:j], s.toks[k:k+1]
	if a.read.unit == "" {
		a.read.unit, a.read.unitFrom = b.read.unit, b.read.unitFrom // 47 TO 52 F
	}
	try.with(end-i, float64(end-i)*wordWorth+2*factWorth-n.cost*misreadCost, a, b)
	return true
}

// moves are the words for how an amount changed.
var moves = map[string]bool{"rose": true, "fell": true, "went": true, "changed": true, "dropped": true, "increased": true, "moved": true, "up": true, "down": true}

// atSides tries an amount with the side that it is of behind it, and a second one: VOLUME
// 5123 L AT START, 5122 L AT END.
func (s *scanner) atSides(i int, n name, try *ways) {
	var facts []fact
	j := i + n.used
	for _, side := range []string{"start", "end"} {
		if j >= len(s.toks) || !s.toks[j].number {
			break
		}
		f, ok := s.amountOf(n.bag, side, j)
		k := j + f.read.used
		if !ok || k+1 >= len(s.toks) || s.toks[k].norm != "at" && s.toks[k].norm != "before" && s.toks[k].norm != "after" {
			break
		}
		if part, cost, used := s.d.code(lexicon.Part, s.toks[k+1:]); used == 0 || cost > 0 || part != side {
			break
		}
		f.label = s.toks[i : i+n.used]
		facts = append(facts, f)
		j = k + 2
	}
	if len(facts) > 0 {
		try.with(j-i, float64(j-i)*wordWorth+float64(len(facts))*factWorth-n.cost*misreadCost, facts...)
	}
}

// amountOf reads the amount from token j for the field that a label's parts and a side name.
func (s *scanner) amountOf(bag, side string, j int) (fact, bool) {
	field, ok := s.d.field(s.kind, withParts(bag, side))
	spec, known := specs[s.kind][field]
	if !ok || !known || spec.Type != record.Number {
		return fact{}, false
	}
	r, ok := s.d.readField(s.kind, spec, s.toks[j:], "")
	return fact{field: field, read: r, printed: true}, ok && s.toks[j].number
}

// sidesBelow reads a line of two cells that say the same label below one with the amounts of
// a start and an end:
//
//	BEFORE 5120 L    AFTER 14098 L
//	TEMP 20.6 C      TEMP 22.9 C
func (d *doc) sidesBelow(k record.Kind, lines []line, i int) (structure, bool) {
	if i == 0 || sideFields[k] == nil {
		return structure{}, false
	}
	if cellCount(lines[i].toks) != 2 || cellCount(lines[i-1].toks) != 2 {
		return structure{}, false
	}
	own, above := cells(lines[i].toks), cells(lines[i-1].toks)
	s := structure{lines: 1, entries: []entry{{}}}
	for c, side := range []string{"start", "end"} {
		names := d.names(above[c])
		if len(names) == 0 || !labelTables().has(names[len(names)-1].bag, side) {
			return structure{}, false
		}
		sc := &scanner{d: d, kind: k, toks: own[c]}
		n := len(own[c])
		for _, l := range d.names(own[c]) {
			if f, ok := sc.amountOf(l.bag, side, l.used%n); ok && l.used+f.read.used == n && l.used <= min(len(own[0]), len(own[1])) && phraseOf(own[0][:l.used]) == phraseOf(own[1][:l.used]) {
				f.label = own[c][:l.used]
				s.entries[0].facts = append(s.entries[0].facts, f)
				s.worth += float64(n)*wordWorth + factWorth
			}
		}
	}
	return s, len(s.entries[0].facts) == 2
}

// span tries two amounts without a label, of which the second has the unit: 2584 TO 8036 GAL.
func (s *scanner) span(i int, try *ways) {
	if i+3 >= len(s.toks) || !s.toks[i].number || s.toks[i+1].norm != "to" && s.toks[i+1].text != "-" || !s.toks[i+2].number || !starts(s.toks, i) {
		return
	}
	code, _, used := s.d.unitAfter(s.toks[i+3:])
	name := sideFields[s.kind][quantityOf(unitCodes[code])]
	if used == 0 || name == "" || !sideAmount(s.kind, name) {
		return
	}
	q := quantityOf(unitCodes[code])
	a, ok := s.d.readNumber(q, s.toks[i:i+1], "")
	b, too := s.d.readNumber(q, s.toks[i+2:], "")
	if !ok || !too {
		return
	}
	const guess = "no label stands with it; its unit and place alone say what it is"
	a.unit, a.unitFrom = b.unit, b.unitFrom
	try.with(2+b.used, float64(2+b.used)*freeWorth, fact{field: "start_" + name, read: a, weak: true, guess: guess}, fact{field: "end_" + name, read: b, weak: true, guess: guess})
}

// sideAmount reports whether a kind has an amount of the start and one of the end.
func sideAmount(k record.Kind, name string) bool {
	_, start := specs[k]["start_"+name]
	_, end := specs[k]["end_"+name]
	return start && end
}

// cameIn tries IN with a label mark and a volume for what was delivered: IN : 20,012 L.
func (s *scanner) cameIn(i int, try *ways) {
	if s.kind != record.Delivery || s.toks[i].norm != "in" || s.toks[i].delim != ':' || i+2 >= len(s.toks) || !starts(s.toks, i) || !s.toks[i+1].number {
		return
	}
	spec, ok := specOf(s.kind, "delivered")
	if !ok {
		return
	}
	if r, ok := s.d.readLabelled(s.kind, spec, bagOf("delivered"), s.toks[i+1:], ""); ok && r.unit != "" && quantityOf(r.unit) == record.Volume {
		f := fact{field: "delivered", read: r, label: s.toks[i : i+1], printed: true}
		try.with(1+r.used, float64(1+r.used)*wordWorth+factWorth+markWorth, f)
	}
}
