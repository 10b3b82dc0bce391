package parse

import "tankroll/record"

// monthList reads the first pass of each month, a line for each below what they are:
//
//	0.2 GPH FIRST PASS OF MONTH
//	  OCT   2024-10-02 01:10
//	  NOV   2024-11-01 04:12
//	  DEC   NONE
func (d *doc) monthList(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.LineSummary || i+1 >= len(lines) {
		return structure{}, false
	}
	phrases, ok := d.passHeading(lines[i].toks)
	if !ok {
		return structure{}, false
	}
	var label []token
	var class *fact
	for _, p := range phrases {
		if p.class != nil && class != nil {
			return structure{}, false
		}
		if p.class != nil {
			class = p.class
		}
		label = append(label, p.toks...)
	}
	c := passColumn{toks: label, dated: true}
	if !d.passFields(&c) || c.fields[0] != "first_pass_of_month" {
		return structure{}, false
	}
	var months []fact
	s := structure{worth: float64(len(lines[i].toks)), lines: 1}
	for j := i + 1; j < len(lines); j++ {
		f, ok := d.monthLine(lines[j].toks)
		if !ok || lines[j].rule || lines[j].head {
			break
		}
		f.label, f.cost, f.printed = label, c.cost, true
		months = append(months, f)
		s.lines, s.worth = s.lines+1, s.worth+float64(len(lines[j].toks))+factWorth
	}
	if len(months) == 0 {
		return structure{}, false
	}
	if class != nil {
		s.entries = append(s.entries, entry{facts: []fact{*class}})
	}
	for _, f := range months {
		if len(months) > 1 && f.field != fieldNone {
			f.field = fieldMoment
		}
		s.entries = append(s.entries, entry{facts: []fact{f}})
	}
	return s, true
}

// monthLine reads a line that is a month, with its year or not, and the date of its first pass
// or a word for none.
func (d *doc) monthLine(toks []token) (fact, bool) {
	if len(toks) < 2 {
		return fact{}, false
	}
	if _, cost, ok := d.timeNames.Month(toks[0].text); !ok || cost > 0 {
		return fact{}, false
	}
	n := 1
	if plainDigits(toks[1].text, 4, 4) && !starts(toks, 1) {
		n = 2
	}
	if n >= len(toks) || !starts(toks, n) && toks[n-1].delim == 0 {
		return fact{}, false
	}
	rest := toks[n:]
	if m := noneYet(rest); m == len(rest) {
		return fact{field: fieldNone, read: reading{used: m, toks: rest}}, true
	}
	r := d.passDate(rest)
	return fact{field: "first_pass_of_month", read: r}, r.used == len(rest)
}
