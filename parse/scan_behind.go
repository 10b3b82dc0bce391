package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// behind tries a value with its label behind it: 21 passes in 24 hours, 25 %
// full, 6,287 gal gross.
func (s *scanner) behind(i int, try *ways) {
	if !s.toks[i].number || s.toks[i].delim != 0 {
		return
	}
	unit, _, used := s.d.unitAfter(s.toks[i+1:])
	j := i + 1 + used
	if j > i+1 && (s.toks[j-1].stop != 0 || s.toks[j-1].delim != 0) || j < len(s.toks) && s.toks[j].bar || s.toks[i].stop != 0 || s.toks[i].shut && !s.toks[i].open {
		return // the end of what is said of another: (UNL 87) PASSED
	}
	if s.kind == record.LineSummary && j+1 < len(s.toks) && s.toks[j].norm == "times" && s.toks[j].stop == 0 {
		j++ // PASSED 21 TIMES IN THE LAST 24 HOURS
	}
	for n := 0; n < 2 && j < len(s.toks) && (s.toks[j].norm == "of" || s.toks[j].norm == "in" || s.toks[j].norm == "the" || s.toks[j].norm == "them" && s.kind == record.LineSummary); n++ {
		j++
	}
	if j < len(s.toks) && j == i+1+used && used > 0 && (s.toks[j].norm == "are" || s.toks[j].norm == "is" || s.toks[j].norm == "were" || s.toks[j].norm == "was") && s.toks[j].stop == 0 {
		j++ // 1,199 LITRES ARE ALLOWED
	}
	if j >= len(s.toks) {
		return
	}
	if starts(s.toks, j) {
		return
	}
	for _, n := range s.d.names(s.toks[j:]) {
		if n.bag == "" || s.toks[j+n.used-1].delim != 0 || s.testsName(n.bag) || n.bag == bagOf("leak") {
			continue
		}
		bag := n.bag
		if part := quantityPart[quantityOf(unitCodes[unit])]; part != "" {
			bag = withPart(bag, labelTables().parts[part])
		}
		if unit == "percent" {
			bag = withPart(bag, labelTables().parts["percent"])
		}
		field, ok := s.d.field(s.kind, bag)
		if !ok {
			field, ok = s.d.field(s.kind, n.bag)
		}
		spec, known := specOf(s.kind, field)
		if !ok || !known || spec.Type != record.Number || strings.HasPrefix(field, "header.") {
			continue
		}
		r, ok := s.d.readField(s.kind, spec, s.toks[i:j], "")
		if !ok {
			continue
		}
		worth := float64(j-i+n.used)*0.9 + factWorth - (n.cost+r.cost)*misreadCost - 0.2
		try.with(j-i+n.used, worth, fact{field: field, read: r, label: s.toks[j : j+n.used], cost: n.cost, printed: true})
	}
}

// countedTests tries a count of passes with the rate of the test between it and
// the time that it is for: 21 TESTS OF 3.0 GPH IN THE LAST 24 HOURS, 21 HOURLY TESTS
// PASSED IN THE PAST DAY.
func (s *scanner) countedTests(i int, try *ways) {
	if s.kind != record.LineSummary || !s.toks[i].number {
		return
	}
	j := i + 1
	for j < len(s.toks) && j < i+4 && (s.isTest(j) || s.toks[j].norm == "times" || s.d.littleWord(s.toks[j])) {
		j++
	}
	if j >= len(s.toks) || j == i+1 && s.toks[j].number {
		return
	}
	class, ok := s.d.readClass(s.kind, s.toks[j:], "")
	if !ok || class.cost > 0 || !s.toks[j].number && !s.isTest(j+class.used) {
		return
	}
	at := j + class.used
	for at < len(s.toks) && s.d.littleWord(s.toks[at]) {
		at++
	}
	if at >= len(s.toks) {
		return
	}
	for _, n := range s.d.names(s.toks[at:]) {
		field, ok := s.d.field(s.kind, withParts(n.bag, "passes"))
		spec, known := specOf(s.kind, field)
		if n.bag == "" || !ok || !known || spec.Type != record.Number {
			continue
		}
		if r, ok := s.d.readField(s.kind, spec, s.toks[i:i+1], ""); ok {
			end := at + n.used
			try.with(end-i, float64(end-i)*0.9+2*factWorth-n.cost*misreadCost,
				fact{field: field, read: r, label: s.toks[at:end], cost: n.cost, printed: true}, fact{field: "test_rate", read: class, weak: true})
		}
	}
}

// valueFirst tries a line that is a value in one cell and its label in the
// next: 37 854 L   Capacity.
func (s *scanner) valueFirst(i int, try *ways) {
	if i > 0 {
		return
	}
	s.timeFirst(try)
	s.whichBetween(try)
	s.countBehind(try)
	j := len(s.toks) - 1
	for j > 0 && !starts(s.toks, j) {
		j--
	}
	if j <= 0 || s.toks[j-1].delim != 0 || s.toks[j].bar || s.toks[j].edge {
		return
	}
	for _, n := range s.d.names(s.toks[j:]) {
		class, classed := s.classAtEnd(j + n.used)
		if j+n.used != len(s.toks) && !classed || n.bag == "" || n.bag == raisedBag() {
			continue
		}
		for _, field := range s.d.fieldsBehind(s.kind, n, s.toks[:j]) {
			spec, ok := specOf(s.kind, field)
			if !ok {
				continue
			}
			r, ok := s.d.readField(s.kind, spec, s.toks[:j], n.unit)
			if !ok || r.used != j || spec.Type == record.Label && (s.d.isHeading(s.toks[:j]) || s.toks[0].number && j == 1) {
				continue
			}
			worth := float64(j)*0.85 + float64(n.used) + factWorth - 0.3 - (n.cost+r.cost)*misreadCost - float64(r.fixed)*0.3
			if spec.Type == record.Label {
				worth -= float64(j) * 0.4
			}
			f := fact{field: field, read: r, label: s.toks[j : j+n.used], cost: n.cost, printed: true}
			switch {
			case !classed:
				try.with(len(s.toks), worth, f)
			case isPassField(field):
				try.with(len(s.toks), worth+2*factWorth, class, f)
			}
		}
	}
}

// classAtEnd reads the rate that a line of a summary ends with, behind the label of its value:
// 03/14/25 12:30 LAST PASS 0.2.
func (s *scanner) classAtEnd(from int) (fact, bool) {
	if s.kind != record.LineSummary || from >= len(s.toks) || !s.toks[from].number || starts(s.toks, from) {
		return fact{}, false
	}
	r, ok := s.d.readClass(s.kind, s.toks[from:], "")
	return fact{field: "test_rate", read: r, weak: true}, ok && from+r.used == len(s.toks) && (r.num.Decimals > 0 || r.unitFrom == unitBeside)
}

// fieldsBehind lists what a label behind a value may name, alone or with the
// quantity of the value's unit.
func (d *doc) fieldsBehind(k record.Kind, n name, toks []token) []string {
	var out []string
	if f, ok := d.field(k, n.bag); ok {
		out = append(out, f)
	}
	for i, t := range toks {
		if i == 0 || !toks[i-1].number || t.number {
			continue
		}
		code, _, used := d.unitAfter(toks[i:])
		if part := quantityPart[quantityOf(unitCodes[code])]; used > 0 && part != "" {
			if f, ok := d.field(k, withParts(n.bag, part)); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// timeFirst tries a line that is a date with its time and its label right behind it:
// 03/14/2025 12:30 LAST PASS.
func (s *scanner) timeFirst(try *ways) {
	r, ok := s.d.readTime(s.toks, false)
	if !ok || s.toks[0].prose || !r.hasDate() || r.used >= len(s.toks) || starts(s.toks, r.used) || s.toks[r.used-1].delim != 0 || s.toks[r.used-1].stop != 0 {
		return
	}
	if s.toks[r.used].open && !s.toks[len(s.toks)-1].shut {
		return // the label goes on in the next line
	}
	switch s.toks[r.used].norm {
	case "to", "thru", "through", "until", "till", "from":
		return // another time follows
	}
	for _, n := range s.d.names(s.toks[r.used:]) {
		field, ok := s.d.field(s.kind, n.bag)
		spec, known := specOf(s.kind, field)
		if !ok || !known || isHeader(field) || spec.Type != record.Time || n.bag == raisedBag() {
			continue // behind its time RAISED is the state
		}
		end := r.used + n.used
		f := fact{field: field, read: r, label: s.toks[r.used:end], cost: n.cost, printed: true}
		worth := float64(len(s.toks))*0.9 + factWorth - n.cost*misreadCost
		if end == len(s.toks) {
			try.with(len(s.toks), worth, f)
		} else if class, ok := s.classAtEnd(end); ok && isPassField(field) {
			try.with(len(s.toks), worth+factWorth, class, f)
		}
	}
}

// whichBetween tries a line of a summary that is the time of a pass, which of them it is and
// the word for one that passed:
//
//	03/14/25 02:05   LATEST          PASS
//	03/02/25 01:12   FIRST OF MONTH  PASS
func (s *scanner) whichBetween(try *ways) {
	if s.kind != record.LineSummary {
		return
	}
	r, ok := s.d.readTime(s.toks, false)
	if !ok || !r.hasDate() || s.toks[r.used-1].delim != 0 {
		return
	}
	last := len(s.toks) - 1
	if last <= r.used || !starts(s.toks, last) {
		return
	}
	verdict, cost, ok := s.d.whole(lexicon.Result, s.toks[last:])
	which, is := s.d.whichPass(s.kind, s.toks[r.used:last])
	if !ok || cost > 0 || verdict != "pass" || !is {
		return
	}
	field, _ := which.read.value.(string)
	try.with(len(s.toks), float64(len(s.toks))*wordWorth+factWorth,
		fact{field: field, read: r, label: which.label, cost: which.cost, printed: true},
		fact{field: "result", read: reading{used: 1, toks: s.toks[last:], value: verdict}, weak: true})
}
