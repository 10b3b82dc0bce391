package parse

import "tankroll/record"

// ratedName is a label of a summary with the rate of the test among its words:
//
//	rated = label rate [ label ]     LAST 0.2 GAL/HR PASS
type ratedName struct {
	name
	class fact
}

// ratedNames lists the labels with a rate among them that tokens begin with.
func (d *doc) ratedNames(k record.Kind, toks []token) []ratedName {
	if k != record.LineSummary && k != record.LineTest {
		return nil
	}
	var out []ratedName
	for _, n := range d.names(toks) {
		if n.used+1 < len(toks) && (toks[n.used].norm == "at" || toks[n.used].norm == "of") && toks[n.used+1].number {
			n.used++ // LAST PASSED AT 0.1 GPH
		}
		if n.bag == "" || n.used >= len(toks) || !toks[n.used].number || toks[n.used-1].delim != 0 || starts(toks, n.used) {
			continue
		}
		class, ok := d.readClass(k, toks[n.used:], "")
		from := n.used + class.used
		if !ok {
			continue
		}
		if class.unitFrom == unitBeside && (from == len(toks) || toks[from-1].delim != 0 || starts(toks, from) || d.littleThen(toks[from:])) {
			at := n
			at.used = from
			out = append(out, ratedName{at, fact{field: "test_rate", read: class, weak: true}}) // LAST 0.2 GPH ... 03/14/25
			continue
		}
		if from >= len(toks) || starts(toks, from) {
			continue
		}
		for _, m := range d.names(toks[from:]) {
			if m.bag == "" {
				continue
			}
			both := name{used: from + m.used, bag: n.bag, cost: n.cost + m.cost, words: n.words + m.words}
			both.bag = withBag(both.bag, m.bag)
			out = append(out, ratedName{both, fact{field: "test_rate", read: class, weak: true}})
		}
	}
	return out
}

// littleThen reports whether one or two little words and then a figure come first: WAS AT 02:10.
func (d *doc) littleThen(toks []token) bool {
	n := 0
	for n < 2 && n < len(toks) && d.littleWord(toks[n]) {
		n++
	}
	return n > 0 && n < len(toks) && hasDigit(toks[n].text)
}

// rated tries a label with a rate among its words and the date of the pass behind it, or how many
// passed.
func (s *scanner) rated(i int, try *ways) {
	for _, n := range s.d.ratedNames(s.kind, s.toks[i:]) {
		field, ok := s.d.field(s.kind, n.bag)
		spec, known := specOf(s.kind, field)
		j, marked := s.skipJoint(i + n.used)
		if !ok || !known || isHeader(field) || j >= len(s.toks) {
			continue
		}
		r, ok := s.d.readField(s.kind, spec, s.toks[j:], n.unit)
		counts := isPassField(field) && spec.Type == record.Number && marked && i == 0 && j+r.used == len(s.toks) // 24 H COUNT OF 3.0 GPH PASSES: 9
		if !ok || !counts && (spec.Type != record.Time || !r.hasDate()) || s.toks[i+n.used-1].stop != 0 {
			continue
		}
		worth := float64(j-i)*wordWorth + float64(r.used)*wordWorth + 2*factWorth - (n.cost+r.cost)*misreadCost
		if marked {
			worth += markWorth
		}
		try.with(j-i+r.used, worth, n.class, fact{field: field, read: r, label: s.toks[i : i+n.used], cost: n.cost, printed: true})
	}
}
