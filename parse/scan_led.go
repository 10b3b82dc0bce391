package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// led tries a line that begins with a label for several values, each with the word for what
// it is of before or behind it:
//
//	led = label { value [ unit ] label }      VOLUME  1050 GAL GROSS  1055 GAL NET
//	    | label { label value [ unit ] }      HEIGHT: FUEL 23.5, WATER 1.2 IN
//
// Every word of the line must have its place.
func (s *scanner) led(i int, try *ways) {
	if i > 0 || len(s.toks) < 5 || s.d.over.bag != "" || s.toks[0].number {
		return
	}
	for _, lead := range s.d.names(s.toks) {
		if lead.bag == "" || lead.cost > sureLabelCost || lead.used+3 >= len(s.toks) {
			continue
		}
		read := s.valuesBefore
		if !s.toks[lead.used].number {
			read = s.valuesBehind
		}
		facts, ok := read(lead)
		if !ok || len(facts) < 2 {
			continue
		}
		try.with(len(s.toks), float64(len(s.toks))*wordWorth+float64(len(facts))*factWorth, facts...)
	}
}

// valuesBefore reads values that stand before the words for what they are of.
func (s *scanner) valuesBefore(lead name) ([]fact, bool) {
	var out []fact
	for j := lead.used; j < len(s.toks); {
		if !s.toks[j].number {
			return nil, false
		}
		code, _, used := s.d.unitAfter(s.toks[j+1:])
		at := j + 1 + used
		if at >= len(s.toks) || starts(s.toks, at) {
			return nil, false
		}
		if code == "" {
			code = lead.unit
		}
		f, n := s.ledField(lead, s.toks[at:], code, s.toks[j:at])
		if n == 0 {
			return nil, false
		}
		f.label = s.toks[at : at+n]
		out = append(out, f)
		j = at + n
	}
	return out, !twice(out)
}

// valuesBehind reads values behind the words for what they are of; the last unit is that of
// all.
func (s *scanner) valuesBehind(lead name) ([]fact, bool) {
	unit := lead.unit
	if last := len(s.toks) - 1; unit == "" && !s.toks[last].number {
		if code, cost, n := s.d.code(lexicon.Unit, s.toks[last:]); n == 1 && cost == 0 {
			unit = code
		}
	}
	var out []fact
	for j := lead.used; j < len(s.toks); {
		at := j
		for at < len(s.toks) && !s.toks[at].number {
			at++
		}
		if at == j || at >= len(s.toks) {
			return nil, false
		}
		_, _, used := s.d.unitAfter(s.toks[at+1:])
		f, n := s.ledField(lead, s.toks[j:at], unit, s.toks[at:at+1+used])
		if n != at-j {
			return nil, false
		}
		f.label = s.toks[j:at]
		out = append(out, f)
		j = at + 1 + used
	}
	return out, !twice(out)
}

// ledField finds the field that a leading label and the words at the beginning of toks name
// together and reads its value; 0 tokens for none.
func (s *scanner) ledField(lead name, toks []token, unit string, value []token) (fact, int) {
	names := s.d.names(toks)
	for x := len(names) - 1; x >= 0; x-- {
		n := names[x]
		bag := withBag(lead.bag, n.bag)
		if n.bag == "" || n.cost > sureLabelCost {
			continue
		}
		field, spec, cost, ok := s.d.fieldOf(s.kind, bag, unit)
		if !ok || cost > 0 {
			field, spec, cost, ok = s.d.fieldOf(s.kind, n.bag, unit)
		}
		if !ok || cost > 0 || spec.Type != record.Number || isHeader(field) {
			continue
		}
		r, ok := s.d.readField(s.kind, spec, value, unit)
		if !ok || r.used != len(value) {
			continue
		}
		return fact{field: field, read: r, cost: n.cost + lead.cost, above: s.toks[:lead.used], printed: true}, n.used
	}
	return fact{}, 0
}
