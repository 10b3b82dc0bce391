package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// productAt reads a product label: a phrase that names a grade, or after an
// equipment number any words that are nothing else.
func (s *scanner) productAt(i int, afterThing bool) (fact, float64, bool) {
	if i >= len(s.toks) || s.toks[i].blank {
		return fact{}, 0, false
	}
	if !s.has.product {
		return fact{}, 0, false
	}
	end := cellEnd(s.toks, i)
	led := false // the name of its tank or line stands behind it
	for q := i; q < end; q++ {
		t := s.toks[q]
		if q > i && t.open && t.shut && s.d.isUnit(t) {
			end = q // MIDGRADE PLUS (GALLONS)
			break
		}
		if t.shut || t.stop == ',' || t.prose && t.stop != 0 || t.number && t.stop == '.' && t.at > s.toks[0].at+1 {
			end = q + 1
			break
		}
		if q > i && s.thingHere(q) {
			for end = q; end > i+1 && s.toks[end-1].norm != "a" && s.d.littleWord(s.toks[end-1]); end-- {
			}
			led = true
			break
		}
		if q > i && (s.rateHere(q) || s.methodHere(q)) {
			end = q // REGULAR 0.2 GAL/H, REGULAR STATIC
			break
		}
		if q > i && s.labelledHere(q) {
			end = q // DEF HOLDS 1,544 GAL
			break
		}
		if q > i && (t.open || t.prose && !s.toks[i].open && s.d.isVerb(t)) {
			end = q
			break
		}
	}
	for n := min(end-i, 6); n > 0; n-- {
		if s.toks[i].open && n != end-i {
			break
		}
		run := s.toks[i : i+n]
		if crosses(run, n) || !s.plausibleProduct(run) || run[0].prose && !run[0].open && !s.d.endsInGrade(run) && !s.d.lettered(run) && !(afterThing && run[n-1].delim == ':' && s.d.beginsInGrade(run)) {
			continue
		}
		_, cost, ok := s.d.grade(run)
		switch {
		case ok:
			named := s.d.namesGrade(run)
			return productFact(run, cost), float64(named)*freeWorth + float64(n-named)*textWorth + 0.3 - cost*misreadCost, true
		case (afterThing || led) && i+n == end && !s.known(run):
			return productFact(run, 0), float64(n)*textWorth - 0.2, true
		}
	}
	return fact{}, 0, false
}

// labelledHere reports whether a label of one word stands here with an amount and its unit.
func (s *scanner) labelledHere(i int) bool {
	if i+2 >= len(s.toks) || !s.toks[i+1].number || !s.d.spelt(s.toks[i], lexicon.Part) || s.d.numberWord(s.toks[i]) {
		return false
	}
	_, cost, used := s.d.unitAfter(s.toks[i+2:])
	return used > 0 && cost == 0
}

// rateHere reports whether the rate that names a test stands here with its unit, in a
// record that has one.
func (s *scanner) rateHere(i int) bool {
	if !s.has.class || !s.toks[i].number {
		return false
	}
	r, ok := s.d.readClass(s.kind, s.toks[i:], "")
	return ok && (r.unitFrom == unitBeside || s.kind == record.LineSummary && r.num.Decimals > 0)
}

// methodHere reports whether a word for how a tank is tested stands here.
func (s *scanner) methodHere(i int) bool {
	if !s.has.method || len(s.toks[i].text) < 5 {
		return false
	}
	_, cost, n := s.d.code(lexicon.Method, s.toks[i:])
	return n > 0 && cost == 0
}

// beginsInGrade reports whether the first word of a run names a grade: JET A-1.
func (d *doc) beginsInGrade(run []token) bool {
	_, cost, ok := d.grade(run[:1])
	return ok && cost == 0
}

// lettered reports whether a run is a product and a letter for which of several it is: TRUCK
// DSL A.
func (d *doc) lettered(run []token) bool {
	n := len(run) - 1
	return n > 0 && len(run[n].text) == 1 && isLetter(run[n].text[0]) && run[n].stop == ',' && d.endsInGrade(run[:n])
}

// productFact is the fact that a run of tokens is a product label.
func productFact(run []token, cost float64) fact {
	return fact{field: "product", read: reading{used: len(run), toks: run, value: textOf(run), cost: cost}, weak: true}
}

// plausibleProduct rules out runs that begin or end with what belongs to a
// value or a verdict.
func (s *scanner) plausibleProduct(run []token) bool {
	if len(run) > 1 && run[0].norm == "product" {
		return false // the label of what follows
	}
	if len(run) == 1 && run[0].number {
		return false // an octane figure alone is not told from any number
	}
	if _, cost, ok := s.d.whole(lexicon.Month, run); ok && cost == 0 {
		return false // (4) APR
	}
	if run[0].number && len(run[0].text) <= 2 && run[0].text < "80" && run[0].at == s.toks[0].at {
		return false // the number of the tank that the line is about
	}
	for _, t := range run {
		if t.blank || t.delim == ':' && t.norm != run[len(run)-1].norm {
			return false
		}
		if t.number && (len(t.text) > 3 && !octane(t.text) || t.text[0] == '-') {
			return false
		}
		for _, h := range s.d.find([]token{t}) {
			if h.Cost == 0 && h.Sense == lexicon.Result && t.norm != "super" && t.norm != "good" {
				return false
			}
		}
	}
	return true
}

// octane reports whether a text is an octane figure with its decimal: 85.5.
func octane(s string) bool {
	return len(s) == 4 && (s[2] == '.' || s[2] == ',') && plainDigits(s[:2], 2, 2) && plainDigits(s[3:], 1, 1) && s[:2] >= "80"
}

// known reports whether any word of the run means something else.
func (s *scanner) known(run []token) bool {
	for _, t := range run {
		for _, h := range s.d.find([]token{t}) {
			if h.Cost == 0 && h.Sense != lexicon.FieldLabel && h.Sense != lexicon.Grade {
				return true
			}
		}
	}
	return false
}

// products tries product labels that stand alone.
func (s *scanner) products(i int, try *ways) {
	if !starts(s.toks, i) && !s.toks[i].open && s.toks[i-1].stop != ',' && !(i == 1 && s.toks[0].number) {
		return
	}
	if p, worth, ok := s.productAt(i, false); ok && (s.mostlyGrade(p.read.toks) || s.leadsThing(i+p.read.used)) {
		try.with(p.read.used, worth-0.4, p)
	}
}

// thingHere reports whether the word for a tank or line stands here with its number.
func (s *scanner) thingHere(i int) bool {
	own := ownName(s.kind)
	if own != "tank" && own != "line" || i+1 >= len(s.toks) || starts(s.toks, i+1) {
		return false
	}
	code, cost, n := s.d.code(lexicon.Device, s.toks[i:])
	if n == 0 || cost > 0 || code != own {
		return false
	}
	if i+n < len(s.toks) && s.d.numberWord(s.toks[i+n]) {
		n++
	}
	return i+n < len(s.toks) && plainDigits(strings.TrimLeft(s.toks[i+n].text, "#"), 1, 3)
}

// numbersFuel reports whether NO stands with the figure of a fuel behind the number of what holds
// it: TANK 3 BOILER NO 2 OIL, TANK 2 NO. 1 DIESEL.
func (s *scanner) numbersFuel(i, j int, n name) bool {
	if i == 0 || n.bag != numberBag() || j != i+n.used || !plainDigits(s.toks[j].text, 1, 1) || starts(s.toks, j) || s.toks[j-1].delim != 0 {
		return false
	}
	for k := range i {
		if s.thingHere(k) || s.ownIdent(k) {
			return !s.d.isDevice(s.toks[i-1])
		}
	}
	return false
}

// ownIdent reports whether a number with the letter of what its kind is about stands here: T3.
func (s *scanner) ownIdent(i int) bool {
	prefix, _, _, ok := s.toks[i].ident()
	return ok && identPrefixes[prefix] == ownName(s.kind)
}

// leadsThing reports whether the name of a tank or line stands here, behind a little
// word or not.
func (s *scanner) leadsThing(i int) bool {
	for i < len(s.toks) && s.d.littleWord(s.toks[i]) {
		i++
	}
	return i < len(s.toks) && s.thingHere(i)
}

// mostlyGrade reports whether at least half of the words name grades.
func (s *scanner) mostlyGrade(run []token) bool {
	n := 0
	for i, t := range run {
		if _, _, ok := s.d.grade(run[i : i+1]); ok || t.number {
			n++
		}
	}
	return 2*n >= len(run)
}

// grade finds the grade of a product label.
func (d *doc) grade(toks []token) (code string, cost float64, ok bool) {
	if len(toks) == 0 {
		return "", 0, false
	}
	key, ok := run(toks)
	m := d.memory(key.at)
	if !ok || m == nil {
		return d.lex.GradeOf(textOf(toks))
	}
	for a := m.grades; a != nil; a = a.before {
		if a.is.key == key {
			return a.is.code, a.is.cost, a.is.ok
		}
	}
	code, cost, ok = d.lex.GradeOf(textOf(toks))
	d.kept.grades.keep(&m.grades, gradeAnswer{key, code, cost, ok})
	return code, cost, ok
}
