package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// looseCost is what a label with a word too many costs beside its distance: what
// its words are otherwise goes before.
const looseCost = 0.6

// pairs tries every label that begins here with the value behind it.
func (s *scanner) pairs(i int, try *ways) {
	if s.toks[i].norm == "in" && i > 0 && !starts(s.toks, i) && s.toks[i-1].delim == 0 && s.thingHere(i+1) {
		return // REGULAR IN TANK 1 is no amount
	}
	if s.d.over.bag != "" {
		s.measuredUnderHead(i, try)
	}
	s.cameIn(i, try)
	for _, n := range s.d.names(s.toks[i:]) {
		if n.bag == "" || i == 0 && s.namesTest(0, 1) {
			continue
		}
		j, marked := s.skipJoint(i + n.used)
		if j >= len(s.toks) || s.numbersFuel(i, j, n) {
			continue
		}
		if !s.has.capacity && s.toks[j].number && ownName(s.kind) == "tank" && labelTables().has(n.bag, "capacity") {
			if r, ok := s.d.readNumber(record.Volume, s.toks[j:], n.unit); ok {
				try.with(j-i+r.used, float64(j-i+r.used)*wordWorth-n.cost*misreadCost, fact{read: r, label: s.toks[i : i+n.used]})
				continue // TANK 1 REGULAR   CAP 9,728 GAL, of a test
			}
		}
		if u, used := s.unitBefore(j); used > 0 && n.unit == "" {
			n.unit, j = u, j+used // VOLUME   GAL 5123
		}
		if used := s.shareBefore(j, n.bag); used > 0 {
			j += used
		}
		if last := s.toks[i+n.used-1].norm; last == "and" || last == "or" || last == "with" && !s.endsPhrase(i, i+n.used) {
			continue // what follows is another thing
		}
		if i > 0 && s.toks[i-1].number && s.unitHere(i) {
			continue // the unit of the number before it
		}
		if i > 0 && s.toks[i-1].number && !starts(s.toks, i) && s.toks[i-1].stop == 0 && s.toks[i-1].delim == 0 && s.toks[i+n.used-1].stop == ',' && s.kind == record.LineSummary {
			continue // 22 PASSED IN 24 H, 7 TODAY
		}
		if i > 0 && s.toks[i+n.used-1].stop == ',' && !starts(s.toks, i) && s.toks[i-1].stop == 0 && s.toks[i-1].delim == 0 && (s.toks[i-1].number || s.d.isUnit(s.toks[i-1])) {
			continue // 5123 GAL GROSS, 5110 GAL NET
		}
		if !marked && (s.testsName(n.bag) || n.bag == raisedBag()) || !balanced(s.toks[i:i+n.used]) || s.toks[i].prose && s.toks[i+n.used-1].stop != 0 {
			continue
		}
		if s.d.over.bag != "" && s.underHead(i, j, n, marked, try) {
			continue
		}
		if i > 0 && s.side != "" && s.sided(i, j, n, marked, try) {
			continue
		}
		field, ok := s.d.field(s.kind, n.bag)
		if s.amountIn(i, n) {
			field, ok = "delivered", true
		}
		if !ok {
			s.byUnit(i, j, n, marked, try)
			if f, spec, cost, ok := s.d.fieldOf(s.kind, n.bag, n.unit); ok && s.looselyFits(spec, j, n) {
				n.cost += cost
				s.pair(i, j, n, f, marked, looseCost, try)
			}
			continue
		}
		if field == ownName(s.kind) && j > i+n.used && s.toks[j].number {
			if _, _, used := s.d.unitAfter(s.toks[j+1:]); used > 0 && !starts(s.toks, j+1) {
				s.byUnit(i, j, n, marked, try) // THE TANK WAS 78 % FULL
				continue
			}
		}
		if field == ownName(s.kind) && (field == "tank" || field == "line") && !s.toks[j].number {
			s.productNumbered(i, j, n, field, try)
		}
		s.pair(i, j, n, field, marked, 0, try)
		if i > 0 && s.lead != "" && (n.bag == startBag() || n.bag == endBag()) {
			bag := withBag(s.lead, n.bag)
			if f, ok := s.d.field(s.kind, bag); ok {
				s.pair(i, j, n, f, marked, -0.4, try)
				continue
			}
		}
		if s.toks[j].number && (n.bag == startBag() || n.bag == endBag()) {
			if f, ok := s.d.field(s.kind, withParts(n.bag, "volume")); ok {
				s.pair(i, j, n, f, marked, 0.3, try) // BEFORE 1563
			}
		}
		if spec, known := specOf(s.kind, field); known && (spec.Type == record.Number || spec.Type == record.Label || n.unit != "") {
			s.byUnit(i, j, n, marked, try)
		}
	}
}

// amountIn reports whether a label of one word says no more than that an amount follows, which is what
// was delivered where no start or end stands above or before it: AMOUNT 7501 GAL.
func (s *scanner) amountIn(i int, n name) bool {
	if s.kind != record.Delivery || n.used != 1 || i > 0 || s.d.qualifier != "" && !s.d.softly || s.side != "" || s.d.over.bag != "" {
		return false
	}
	switch s.toks[i].norm {
	case "amount", "quantity", "qty", "amt":
		return true
	}
	return false
}

// unitBefore finds a unit that stands right before a number.
func (s *scanner) unitBefore(j int) (code string, used int) {
	code, cost, n := s.d.code(lexicon.Unit, s.toks[j:])
	if n == 0 || cost > 0 || j+n >= len(s.toks) || !s.toks[j+n].number || crosses(s.toks[j:], n) {
		return "", 0
	}
	if _, little := s.d.filler(s.toks[j]); little && n == 1 && s.toks[j].gap < wideGap {
		return "", 0 // the word in, not the unit
	}
	return code, n
}

// shareBefore is how many tokens say to which share of the tank a limit or the room is, before its
// amount: OVERFILL   90%   5400.
func (s *scanner) shareBefore(j int, bag string) int {
	if s.kind != record.TankLimits && !labelTables().has(bag, "ullage") {
		return 0
	}
	if n := s.d.shareFrom(1, s.toks[j:]); n > 0 && j+n < len(s.toks) && s.toks[j+n].number {
		if c, _, u := s.d.unitAfter(s.toks[j+n+1:]); u == 0 || c != "percent" {
			return n
		}
	}
	return 0
}

// pair tries a label from i with a value from j as one field.
func (s *scanner) pair(i, j int, n name, field string, marked bool, cost float64, try *ways) {
	spec, ok := specOf(s.kind, field)
	if !ok {
		return
	}
	if field == fieldType && s.kind == record.LineSummary {
		if code, _, used := s.d.code(lexicon.TestClass, s.toks[i:i+n.used]); used > 0 && code != "" {
			return // MONTHLY TEST names the test itself
		}
	}
	if field == "product" && s.ofThing(i, j, n, cost, try) {
		return
	}
	if field == "header.printed_at" && saysDue(s.toks[:j]) {
		return // NEXT REPORT DUE 12/01/88
	}
	if spec.Type == record.Number && !marked && s.numbersThingAt(i, j, n) {
		return // STOCK, TANK 4
	}
	if spec.Type == record.Number && spec.Quantity != record.Plain && spec.Quantity != record.Hours && s.daysHere(j) {
		return // PRESSURE PIPING - 30 DAY LIST
	}
	s.d.marked = marked
	r, ok := s.d.readLabelled(s.kind, spec, n.bag, s.toks[j:], n.unit)
	s.d.marked = false
	if !ok || sentenceEnds(s.toks[i:j]) || spec.Type == record.Time && s.bareClock(r, n.bag) {
		return
	}
	if spec.Type == record.Label && !marked && s.d.isHeading(r.toks) && (field != "header.site" && field != "header.address" || labelTables().has(n.bag, "location") || labelTables().has(n.bag, "name")) {
		return // one heading beside another
	}
	if field == "event" && !hasLetters(r.toks) {
		return // MSG 0211: its number
	}
	if field == "event" && j > i+1 {
		if m, timed := s.d.readTime(s.toks[j:], false); timed && m.hasDate() && m.used == r.used {
			return // ALARM ON   03/14/25 07:11
		}
	}
	if spec.Name == "product" && r.cost >= unknownGrade && s.toks[j].number && j+1 < len(s.toks) && s.d.isUnit(s.toks[j+1]) {
		return // FUEL: 5123 GAL
	}
	if spec.Name == "product" && r.cost >= unknownGrade && !marked && !starts(s.toks, j) {
		return // "fuel was drawn"
	}
	if spec.Type == record.Label && !marked && !starts(s.toks, j) {
		cost += 0.4 // free text right behind a label may be more of the label
	}
	per := wordWorth
	if spec.Type == record.Label {
		per = labelTextWorth
	}
	worth := float64(j-i)*wordWorth + float64(r.used)*per + factWorth - (n.cost+r.cost)*misreadCost - cost - float64(r.fixed)*0.3
	if marked {
		worth += markWorth
	}
	if len(field) > 7 && field[:7] == "header." {
		worth -= headerCost
	}
	f := fact{field: field, read: r, label: s.toks[i : i+n.used], cost: n.cost, printed: true}
	if s.d.softly && !s.d.namesField(s.kind, n.bag) {
		f.guess = "its label is short; it is taken to go with the " + s.d.qualifier + " above it"
	}
	if field == signedField(s.kind) {
		s.d.signByWord(&f)
	}
	if spec.Type != record.Ident {
		try.with(j-i+r.used, worth, s.d.classIn(s.kind, f, []fact{f})...)
		return
	}
	s.thing(i, j, r, f, worth, try)
}

// productNumbered tries the fuel of a tank or line behind its label, with the number in brackets
// behind: TANK   DIESEL (5).
func (s *scanner) productNumbered(i, j int, n name, field string, try *ways) {
	const most = 4 // words of a fuel
	for k := j + 1; k < len(s.toks) && k <= j+most; k++ {
		if !bracketedNumber(s.toks[k]) {
			continue
		}
		if _, cost, known := s.d.grade(s.toks[j:k]); !known || cost > 0 {
			return
		}
		id, ok := s.d.readIdent(field, s.toks[k:])
		p, okP := s.d.readField(s.kind, specs[s.kind]["product"], s.toks[j:k], "")
		if !ok || !okP || p.used != k-j {
			return
		}
		try.with(k-i+id.used, float64(k-i+id.used)*wordWorth+2*factWorth-n.cost*misreadCost, fact{field: field, read: id, label: s.toks[i : i+n.used], cost: n.cost, printed: true}, fact{field: "product", read: p, weak: true})
		return
	}
}

// saysDue reports whether words speak of a day to come.
func saysDue(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool {
		switch t.norm {
		case "due", "next", "expires", "expiry", "expire", "renewal", "renew":
			return true
		}
		return false
	})
}

// daysHere reports whether a number of days, weeks, months or years stands here.
func (s *scanner) daysHere(j int) bool {
	if s.toks[j].blank && j+1 < len(s.toks) {
		j++
	}
	return spanOfTime(s.toks[j:]) && !s.d.isUnit(s.toks[j+1])
}

// ofThing tries a product whose label ends with the name of its tank or line: PRODUCT
// OF LINE 4: UNL 87.
func (s *scanner) ofThing(i, j int, n name, cost float64, try *ways) bool {
	own := ownName(s.kind)
	if own != "tank" && own != "line" || !labelTables().has(n.bag, own) || s.toks[j].delim != ':' || j+1 >= len(s.toks) {
		return false
	}
	r, ok := s.d.readIdent(own, s.toks[j:])
	if !ok {
		return false
	}
	p, ok := s.d.readField(s.kind, specs[s.kind]["product"], s.toks[j+1:], "")
	if !ok {
		return false
	}
	worth := float64(j+1-i)*wordWorth + float64(p.used)*labelTextWorth + 2*factWorth + markWorth - (n.cost+p.cost)*misreadCost - cost
	try.with(j+1-i+p.used, worth, fact{field: own, read: r, label: s.toks[i : i+n.used], cost: n.cost, printed: true},
		fact{field: "product", read: p, label: s.toks[i : i+n.used], cost: n.cost, printed: true})
	return true
}

// byUnit lets the unit behind the value say what an incomplete label means:
// WATER 0.5 IN, WATER 12 GAL.
func (s *scanner) byUnit(i, j int, n name, marked bool, try *ways) {
	if !s.toks[j].number {
		return
	}
	code, _, used := s.d.unitAfter(s.toks[j+1:])
	if used == 0 {
		code = n.unit
	}
	part := quantityPart[quantityOf(unitCodes[code])]
	if code == "percent" {
		part = code
	}
	if part == "" {
		return
	}
	bag := withPart(n.bag, labelTables().parts[part])
	if field, ok := s.d.field(s.kind, bag); ok && bag != n.bag {
		s.pair(i, j, n, field, marked, 0.1, try)
	}
}

// skipJoint passes the little words between a label and its value.
func (s *scanner) skipJoint(j int) (int, bool) {
	marked := j > 0 && s.toks[j-1].delim != 0
	if j > 0 && s.cameTo(j) {
		return j + 2, marked
	}
	if j+1 < len(s.toks) && s.toks[j].blank && s.toks[j].text == "-" && s.toks[j+1].text[0] == '#' {
		return j + 1, true // TANK - #6
	}
	for n := 0; n < 2 && j < len(s.toks) && !s.toks[j].number && !s.toks[j].letter; n++ {
		if _, ok := s.d.filler(s.toks[j]); !ok {
			break
		}
		switch s.toks[j].norm {
		case "is", "was", "of", "at", "on", "were", "has", "been", "by", "the", "are", "a":
			marked = marked || s.toks[j].delim != 0
			j++
		default:
			return j, marked
		}
	}
	return j, marked
}

// cameTo reports whether two words stand in a sentence between what is spoken of and its amount:
// DELIVERIES CAME TO 47940 L, THE STOCK STOOD AT 9870 L.
func (s *scanner) cameTo(j int) bool {
	if j+2 >= len(s.toks) || !s.toks[j+2].number || crosses(s.toks[j:], 3) {
		return false
	}
	switch s.toks[j].norm {
	case "came", "comes", "come", "amounted", "amounts", "summed", "added":
		return s.toks[j+1].norm == "to"
	case "stood", "stands", "stays", "stayed", "lay", "lies":
		return s.toks[j+1].norm == "at"
	}
	return false
}

// leadLabel finds a label at the beginning of a line behind which another label
// stands instead of a value: VOLUME START 12 END 13.
func (d *doc) leadLabel(toks []token) string {
	names := d.names(toks)
	for i := len(names) - 1; i >= 0; i-- {
		n := names[i]
		if n.bag == "" || n.used >= len(toks) || labelTables().has(n.bag, "start") || labelTables().has(n.bag, "end") {
			continue
		}
		if part, cost, used := d.code(lexicon.Part, toks[n.used:]); used > 0 && cost == 0 && (part == "start" || part == "end") {
			return n.bag
		}
		return ""
	}
	return ""
}

// testsName reports whether a label is no more than "test" or "leak test",
// which name the test itself when a rate stands beside them.
func (s *scanner) testsName(bag string) bool {
	for _, own := range []string{"tank", "line"} {
		bag = withoutPart(bag, labelTables().parts[own]) // TANK LEAK TEST
	}
	return bag == testBag() || bag == leakTestBag()
}

// balanced reports whether every bracket that closes in the tokens opens in
// them: "25 % full) at" is no label.
func balanced(toks []token) bool {
	depth := 0
	for _, t := range toks {
		if t.open {
			depth++
		}
		if t.shut {
			depth--
		}
		if depth < 0 {
			return false
		}
	}
	return true
}

// sentenceEnds reports whether a full stop stands behind one of the tokens of
// a paragraph: what follows belongs to the next sentence.
func sentenceEnds(toks []token) bool {
	for _, t := range toks {
		if t.prose && t.stop == '.' {
			return true
		}
	}
	return false
}

// endsPhrase reports whether the last two tokens before end are one part of a
// label, as OPENED WITH.
func (s *scanner) endsPhrase(from, end int) bool {
	if end-from < 2 {
		return false
	}
	_, cost, ok := s.d.whole(lexicon.Part, s.toks[end-2:end])
	return ok && cost == 0
}

// unitHere reports whether token i is spelt like a unit and ends its phrase.
func (s *scanner) unitHere(i int) bool {
	return s.d.spelt(s.toks[i], lexicon.Unit) && s.toks[i].stop != 0
}

// bareClock reports whether what passes for a time of day is a plain number,
// as 820 in BEFORE 820, where no label speaks of time.
func (s *scanner) bareClock(r reading, bag string) bool {
	return !r.hasDate() && r.used == 1 && plainDigits(r.toks[0].text, 3, 4) && !labelTables().has(bag, "time")
}

// looselyFits reports whether a value may stand behind a label that has a word
// more than the name of a field: a number must have its unit.
func (s *scanner) looselyFits(spec record.FieldSpec, j int, n name) bool {
	if spec.Type != record.Number || spec.Quantity == record.Plain || n.unit != "" {
		return true
	}
	_, _, used := s.d.unitAfter(s.toks[j+1:])
	return s.toks[j].number && used > 0
}
