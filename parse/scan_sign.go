package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// signedField is the field of a kind that a word for a gain or a loss is said
// of.
func signedField(k record.Kind) string {
	switch k {
	case record.TankTest, record.LineTest:
		return "leak_rate"
	case record.Reconciliation:
		return "over_short"
	}
	return ""
}

// signs tries an amount whose sign is a word: LOSS OF .004 GPH, SHORT BY 521.
func (s *scanner) signs(i int, try *ways) {
	field := signedField(s.kind)
	if field == "" {
		return
	}
	code, cost, n := s.d.code(lexicon.Sign, s.toks[i:])
	j, marked := i+n, false
	if n == 0 || cost > 0 || crosses(s.toks[i:], n) {
		return
	}
	for len(s.toks) > j && (s.toks[j].norm == "of" || s.toks[j].norm == "by") {
		j++
		marked = true
	}
	if j >= len(s.toks) || !s.toks[j].number || !marked && (s.toks[j-1].delim != 0 || starts(s.toks, j)) && !s.signLine(i, j) && !s.signSaid(j) {
		return
	}
	spec := specs[s.kind][field]
	r, ok := s.d.readNumber(spec.Quantity, s.toks[j:], "")
	if !ok || field == "leak_rate" && r.unitFrom != unitBeside {
		return
	}
	if v, isNumber := r.value.(float64); isNumber && code == "minus" && v > 0 {
		r.value, r.num.Value = -v, -v
	}
	worth := float64(j-i+r.used)*wordWorth + factWorth - float64(r.fixed)*0.3
	f := fact{field: field, read: r, label: s.toks[i:j], printed: true}
	try.with(j-i+r.used, worth, f)
}

// signSaid reports whether a mark and an amount with its unit stand right behind a word for a loss or
// gain in a sentence of an account: THE TANK IS SHORT: 125 L.
func (s *scanner) signSaid(j int) bool {
	if s.kind != record.Reconciliation || !s.toks[0].prose || starts(s.toks, j) {
		return false
	}
	r, ok := s.d.readNumber(record.Volume, s.toks[j:], "")
	return ok && r.unitFrom == unitBeside
}

// signLine reports whether a line of an account is no more than a word for a loss or gain and
// an amount: SHORT   34 L, OVER   18.
func (s *scanner) signLine(i, j int) bool {
	if s.kind != record.Reconciliation || i > 0 {
		return false
	}
	r, ok := s.d.readNumber(record.Volume, s.toks[j:], "")
	return ok && j+r.used == len(s.toks)
}

// signByWord gives an amount the sign of the word that its label ends with, as
// MEASURED LOSS does. A loss elsewhere in the label leaves it open.
func (d *doc) signByWord(f *fact) {
	v, ok := f.read.value.(float64)
	if !ok || v <= 0 || len(f.label) == 0 || strings.HasPrefix(f.read.toks[0].text, "+") || strings.HasPrefix(f.read.toks[0].print(), "+") {
		return
	}
	for i := range f.label {
		if code, cost, n := d.code(lexicon.Sign, f.label[i:]); n > 0 && cost == 0 && code == "plus" {
			return // GAIN (LOSS): as it is printed
		}
	}
	for i, t := range f.label {
		code, cost, n := d.code(lexicon.Sign, f.label[i:])
		if n == 0 || cost > 0 || code != "minus" || t.norm == "short" && len(f.label) > 1 {
			continue
		}
		if i+n == len(f.label) {
			f.read.value, f.read.num.Value = -v, -v
			return
		}
		f.guess = "the label speaks of a loss; whether the amount is one is not certain"
	}
}
