package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// both tries two labels with a stroke between them before two values with one:
//
//	OPENING/CLOSING GAL  4255/7633        FUEL / WATER   23.5 / 1.2 IN
//
// One of the values may be missing: RATE/LIMIT  --/0.100 GAL/H
func (s *scanner) both(i int, try *ways) {
	if s.kind == record.LineSummary || !starts(s.toks, i) || s.toks[i].number {
		return // counts of passes have strokes of their own
	}
	j := i
	stroke := false
	for j < len(s.toks) && j < i+maxNameTokens && !hasDigit(s.toks[j].text) && !missing(s.toks[j]) {
		stroke = stroke || strings.Contains(s.toks[j].text, "/") || s.toks[j].stop == '/'
		j++
	}
	if !stroke || j >= len(s.toks) {
		return
	}
	first, second, unit := s.labelsApart(s.toks[i:j])
	a, b, used := s.valuesApart(j)
	if len(first) == 0 || len(second) == 0 || used == 0 {
		return
	}
	end := j + used
	if code, _, n := s.d.unitAfter(s.toks[end:]); n > 0 {
		unit, end = code, end+n
	}
	var facts []fact
	for n, label := range [][]token{first, second} {
		value := []token{a, b}[n]
		if missing(value) {
			continue
		}
		f, ok := s.ofLabel(label, unit, value)
		if !ok {
			return
		}
		f.label = s.toks[i:j]
		facts = append(facts, f)
	}
	if len(facts) == 0 || twice(facts) {
		return
	}
	try.with(end-i, float64(end-i)*wordWorth+2*factWorth, facts...)
}

// labelsApart cuts a label at its stroke in two, and takes the unit off its end.
func (s *scanner) labelsApart(toks []token) (first, second []token, unit string) {
	if code, cost, n := s.d.code(lexicon.Unit, toks[len(toks)-1:]); n == 1 && cost == 0 && len(toks) > 1 && !strings.Contains(toks[len(toks)-1].text, "/") {
		unit, toks = code, toks[:len(toks)-1]
	} else if last := toks[len(toks)-1]; strings.Contains(last.text, "/") && len(toks) > 1 && n == 1 && cost == 0 {
		unit, toks = code, toks[:len(toks)-1] // GAL/H
	}
	behind := false
	for _, t := range toks {
		halves := strokeHalves(t)
		switch {
		case t.text == "/":
			behind = true
			continue
		case halves != nil && !behind:
			first, second, behind = append(first, halves[0]), append(second, halves[1]), true
			continue
		}
		if behind {
			second = append(second, t)
		} else {
			first = append(first, t)
		}
	}
	return first, second, unit
}

// valuesApart reads two numbers with a stroke between them from token j on, in one word or
// three; 0 tokens for none.
func (s *scanner) valuesApart(j int) (a, b token, used int) {
	t := s.toks[j]
	if x, y, ok := strings.Cut(t.text, "/"); ok && x != "" && y != "" {
		part := func(text string) token {
			p := t
			p.text, p.norm, p.number = text, text, hasDigit(text)
			if p.seen != nil {
				seen := *p.seen
				seen.shown = ""
				p.seen = &seen
			}
			return p
		}
		return part(x), part(y), 1
	}
	if value := func(t token) bool { return t.number || missing(t) }; j+2 < len(s.toks) && value(t) && s.toks[j+1].text == "/" && value(s.toks[j+2]) {
		return t, s.toks[j+2], 3
	}
	return a, b, 0
}

// missing reports whether a token stands for a value that is missing: --.
func missing(t token) bool { return len(t.text) > 1 && strings.Trim(t.text, "-") == "" }

// ofLabel reads a number as the field that a label names.
func (s *scanner) ofLabel(label []token, unit string, value token) (fact, bool) {
	for _, n := range s.d.names(label) {
		if n.used != len(label) || n.bag == "" || n.cost > sureLabelCost {
			continue
		}
		field, spec, cost, ok := s.d.fieldOf(s.kind, n.bag, unit)
		if !ok || cost > 0 || spec.Type != record.Number || isHeader(field) {
			continue
		}
		if r, ok := s.d.readField(s.kind, spec, []token{value}, unit); ok {
			return fact{field: field, read: r, cost: n.cost, printed: true}, true
		}
	}
	return fact{}, false
}

// flows tries IN and OUT before an amount of an account: what came into the tank and what
// went out.
func (s *scanner) flows(i int, try *ways) {
	if s.kind != record.Reconciliation || i+1 >= len(s.toks) || !s.toks[i+1].number || !starts(s.toks, i) && s.toks[i-1].stop == 0 && !s.d.isUnit(s.toks[i-1]) && !s.toks[i-1].number {
		return
	}
	field := flowField(s.toks[i : i+1])
	if field == "" {
		return
	}
	if r, ok := s.d.readField(s.kind, specs[s.kind][field], s.toks[i+1:], ""); ok {
		try.with(1+r.used, float64(1+r.used)*wordWorth+factWorth, fact{field: field, read: r, label: s.toks[i : i+1], printed: true})
	}
}

// flowField is what a label of an account that is IN or OUT and nothing else names.
func flowField(label []token) string {
	if len(label) != 1 {
		return ""
	}
	return map[string]string{"in": "delivered", "out": "sold"}[label[0].norm]
}
