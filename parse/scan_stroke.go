package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// strokes tries counts of passes with strokes: between two counts behind a label with one,
// or between a count and its label.
//
//	24H/MIDN 22/7        PASSES 24 H / TODAY: 22/7        22/24H   7/MIDN
func (s *scanner) strokes(i int, try *ways) {
	if s.kind != record.LineSummary {
		return
	}
	s.countOfDay(i, try)
	s.noPass(i, try)
	if !s.stroke {
		return
	}
	s.countStroke(i, try)
	end := min(cellEnd(s.toks, i), i+maxNameTokens)
	if !slices.ContainsFunc(s.toks[i:end], func(t token) bool { return !t.number && strings.Contains(t.text, "/") }) || !s.d.partAt(s.toks[i]) {
		return
	}
	var label []token
	stroke := false
	for j := i; j < end; j++ {
		t := s.toks[j]
		if halves := strokeHalves(t); halves != nil && !t.number {
			label, stroke = append(label, halves...), true
		} else if t.text != "/" {
			label = append(label, t)
		} else {
			stroke = true
		}
		at, _ := s.skipJoint(j + 1)
		if !stroke || at >= len(s.toks) {
			continue
		}
		a, b, ok := strokeCounts(s.toks[at])
		if !ok {
			continue
		}
		c := passColumn{pair: true, toks: label}
		if !s.d.passFields(&c) {
			return
		}
		var facts []fact
		for n, r := range []reading{a, b} {
			facts = append(facts, fact{field: c.fields[n], read: r, label: s.toks[i : j+1], cost: c.cost, printed: true})
		}
		try.with(at+1-i, float64(at+1-i)*wordWorth+3*factWorth, facts...)
		return
	}
}

// partAt reports whether a token, or its half before a stroke, is a word of labels.
func (d *doc) partAt(t token) bool {
	if before, _, ok := strings.Cut(t.text, "/"); ok && before != "" {
		t.text, t.norm, t.at = before, strings.ToLower(before), -1
	}
	return d.spelt(t, lexicon.Part) || hasDigit(t.text)
}

// noPass tries words that say that a test has not passed: NO 0.2 GPH PASS THIS MONTH.
func (s *scanner) noPass(i int, try *ways) {
	if s.toks[i].norm != "no" || i+2 >= len(s.toks) {
		return
	}
	class, ok := s.d.readClass(s.kind, s.toks[i+1:], "")
	if !ok || class.unitFrom != unitBeside || class.cost > 0 {
		return
	}
	at := i + 1 + class.used
	for _, n := range s.d.names(s.toks[at:]) {
		if bag := withoutPart(withoutPart(n.bag, labelTables().parts["month"]), labelTables().parts["test"]); bag == bagOf("passes") {
			used := at + n.used - i
			try.with(used, float64(used)*wordWorth+2*factWorth, fact{field: "test_rate", read: class, weak: true},
				fact{field: fieldNone, read: reading{used: n.used, toks: s.toks[at : at+n.used]}})
		}
	}
}

// countOfDay tries the count of a calendar day beside that of a day: 24H 22  DAY 7.
func (s *scanner) countOfDay(i int, try *ways) {
	if i == 0 || i+1 >= len(s.toks) || s.toks[i].norm != "day" || !plainDigits(s.toks[i+1].text, 1, 3) {
		return
	}
	for j := range i {
		for _, n := range s.d.names(s.toks[j:i]) {
			if f, _ := s.d.field(s.kind, n.bag); f == "passes_24h" {
				r, ok := s.d.readField(s.kind, specs[s.kind]["passes_since_midnight"], s.toks[i+1:], "")
				if ok {
					try.with(1+r.used, float64(1+r.used)*wordWorth+factWorth, fact{field: "passes_since_midnight", read: r, label: s.toks[i : i+1], printed: true})
				}
				return
			}
		}
	}
}

// countStroke tries a count with its label behind a stroke: 22/24H.
func (s *scanner) countStroke(i int, try *ways) {
	t := s.toks[i]
	count, rest, ok := strings.Cut(t.text, "/")
	if !ok || !plainDigits(count, 1, 3) || rest == "" {
		return
	}
	half := t
	half.text, half.norm, half.at = rest, strings.ToLower(rest), -1
	for used := 1; used <= 2 && i+used <= len(s.toks); used++ {
		if used > 1 && (starts(s.toks, i+1) || t.delim != 0) {
			return
		}
		c := passColumn{toks: append([]token{half}, s.toks[i+1:i+used]...)}
		if s.d.passFields(&c) {
			try.with(used, float64(used)*wordWorth+factWorth, fact{field: c.fields[0], read: countOf(t, count), label: s.toks[i : i+used], cost: c.cost, printed: true})
		}
	}
}
