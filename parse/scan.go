package parse

import (
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// scanner reads a run of tokens from left to right for one kind of record:
//
//	run     = { pair | thing | verdict | class | moment | product | word }
//	pair    = label [ ":" | "=" | leaders | gap | filler ] value [ unit ]
//	thing   = ( "tank" | "line" | "sensor" ) [ "no" ] number [ product ]
//	verdict = a result word, alone
//	class   = rate [ unit ] "test"  |  "test" rate [ unit ]
//	product = a phrase that names a grade
//
// Every way to cut the run is weighed; the best one stands.
type scanner struct {
	d    *doc
	kind record.Kind
	toks []token
	best []step
	lead string // the parts of a label at the beginning that its own labels follow: VOLUME START 12 END 13
}

type step struct {
	worth float64
	used  int
	facts []fact
}

// scan reads tokens as pairs and lone values. The worth is what it explains
// less what it leaves over.
func (d *doc) scan(k record.Kind, toks []token) ([]fact, float64) {
	s := &scanner{d: d, kind: k, toks: toks, best: make([]step, len(toks)+1)}
	s.lead = d.leadLabel(toks)
	for i := len(toks) - 1; i >= 0; i-- {
		s.best[i] = s.at(i)
	}
	var out []fact
	for i := 0; i < len(toks); i += s.best[i].used {
		out = append(out, s.best[i].facts...)
	}
	return out, s.best[0].worth
}

// at finds the best way to go on from token i.
func (s *scanner) at(i int) step {
	best := step{worth: s.best[i+1].worth - s.leftOver(i), used: 1}
	try := func(used int, worth float64, facts ...fact) {
		if w := worth + s.best[i+used].worth; used > 0 && w > best.worth {
			best = step{w, used, facts}
		}
	}
	s.pairs(i, try)
	s.things(i, try)
	s.verdicts(i, try)
	s.classes(i, try)
	s.moments(i, try)
	s.products(i, try)
	s.bareNames(i, try)
	s.behind(i, try)
	s.valueFirst(i, try)
	s.loose(i, try)
	s.quantities(i, try)
	s.methods(i, try)
	s.remarks(i, try)
	return best
}

func (s *scanner) leftOver(i int) float64 {
	t := s.toks[i]
	switch {
	case t.blank:
		return fillerCost
	case t.number:
		return numberCost
	}
	for _, h := range s.d.find(s.toks[i : i+1]) {
		switch h.Sense {
		case lexicon.Filler:
			return fillerCost
		case lexicon.Part:
			return labelCost
		}
	}
	return unknownCost
}

type tryFunc func(used int, worth float64, facts ...fact)

// pairs tries every label that begins here with the value behind it.
func (s *scanner) pairs(i int, try tryFunc) {
	for _, n := range s.d.names(s.toks[i:]) {
		if n.bag == "" {
			continue
		}
		j, marked := s.skipJoint(i + n.used)
		if j >= len(s.toks) {
			continue
		}
		if last := s.toks[i+n.used-1].norm; last == "and" || last == "or" || last == "with" {
			continue // what follows is another thing
		}
		if !marked && s.testsName(n.bag) || !balanced(s.toks[i:i+n.used]) || s.toks[i].prose && s.toks[i+n.used-1].stop != 0 {
			continue
		}
		field, ok := s.d.field(s.kind, n.bag)
		if !ok {
			s.byUnit(i, j, n, marked, try)
			continue
		}
		s.pair(i, j, n, field, marked, 0, try)
		if i > 0 && s.lead != "" && (n.bag == bagOf("start") || n.bag == bagOf("end")) {
			bag := s.lead
			for b := range n.bag {
				bag = withPart(bag, n.bag[b])
			}
			if f, ok := s.d.field(s.kind, bag); ok {
				s.pair(i, j, n, f, marked, -0.4, try)
				continue
			}
		}
		if s.toks[j].number && (n.bag == bagOf("start") || n.bag == bagOf("end")) {
			if f, ok := s.d.field(s.kind, withParts(n.bag, "volume")); ok {
				s.pair(i, j, n, f, marked, 0.3, try) // BEFORE 1563
			}
		}
		if spec, known := specOf(s.kind, field); known && (spec.Type == record.Number || spec.Type == record.Label) {
			s.byUnit(i, j, n, marked, try)
		}
	}
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

// behind tries a value with its label behind it: 21 passes in 24 hours, 25 %
// full, 6,287 gal gross.
func (s *scanner) behind(i int, try tryFunc) {
	if !s.toks[i].number || s.toks[i].delim != 0 {
		return
	}
	unit, _, used := s.d.unitAfter(s.toks[i+1:])
	j := i + 1 + used
	if j > i+1 && s.toks[j-1].stop != 0 || s.toks[i].stop != 0 {
		return
	}
	for n := 0; n < 2 && j < len(s.toks) && (s.toks[j].norm == "of" || s.toks[j].norm == "in" || s.toks[j].norm == "the"); n++ {
		j++
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
		try(j-i+n.used, worth, fact{field: field, read: r, label: s.toks[j : j+n.used], cost: n.cost, printed: true})
	}
}

// valueFirst tries a line that is a value in one cell and its label in the
// next: 37 854 L   Capacity.
func (s *scanner) valueFirst(i int, try tryFunc) {
	if i > 0 {
		return
	}
	j := len(s.toks) - 1
	for j > 0 && !starts(s.toks, j) {
		j--
	}
	if j <= 0 || s.toks[j-1].delim != 0 {
		return
	}
	for _, n := range s.d.names(s.toks[j:]) {
		if j+n.used != len(s.toks) || n.bag == "" {
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
			try(len(s.toks), worth, fact{field: field, read: r, label: s.toks[j:], cost: n.cost, printed: true})
		}
	}
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

// loose tries a number whose unit alone says what it is: a temperature or a
// pressure where the record has one only.
func (s *scanner) loose(i int, try tryFunc) {
	if !s.toks[i].number {
		return
	}
	code, _, used := s.d.unitAfter(s.toks[i+1:])
	if used == 0 {
		return
	}
	q := quantityOf(unitCodes[code])
	if q != record.Temperature && q != record.Pressure && q != record.Hours {
		return
	}
	found := ""
	for name, spec := range specs[s.kind] {
		if spec.Quantity == q {
			if found != "" {
				return
			}
			found = name
		}
	}
	if found == "" {
		return
	}
	if r, ok := s.d.read(specs[s.kind][found], s.toks[i:], ""); ok {
		try(r.used, float64(r.used)*freeWorth, fact{field: found, read: r, weak: true})
	}
}

// fieldLoose is a quantity without a label in a list line; what it is follows
// from its unit and its place among the others.
const fieldLoose = "loose"

// looseFields says, for each kind and quantity, what unlabelled amounts are, in
// their usual order.
var looseFields = map[record.Kind]map[record.Quantity][]string{
	record.Inventory: {record.Volume: {"volume"}, record.Length: {"height", "water_height"}, record.Temperature: {"temperature"}},
	record.TankTest:  {record.Rate: {"leak_rate"}, record.Temperature: {"temperature"}},
	record.LineTest:  {record.Rate: {"leak_rate"}, record.Pressure: {"pressure"}},
	record.Delivery:  {record.Volume: {"delivered"}},
}

// quantities tries an amount whose unit stands with it but no label.
func (s *scanner) quantities(i int, try tryFunc) {
	if !s.toks[i].number || looseFields[s.kind] == nil {
		return
	}
	code, _, used := s.d.unitAfter(s.toks[i+1:])
	q := quantityOf(unitCodes[code])
	if used == 0 || looseFields[s.kind][q] == nil {
		return
	}
	if r, ok := s.d.readNumber(q, s.toks[i:], ""); ok && r.unitFrom == unitBeside {
		try(r.used, float64(r.used)*0.5-0.2, fact{field: fieldLoose, read: r, weak: true, guess: "no label stands with it; its unit and place alone say what it is"})
	}
}

// methods tries the word that says how a tank was tested.
func (s *scanner) methods(i int, try tryFunc) {
	if _, has := specs[s.kind]["method"]; !has {
		return
	}
	code, cost, n := s.d.code(lexicon.Method, s.toks[i:])
	if n == 0 || cost > 0 || n == 1 && len(s.toks[i].text) < 5 {
		return
	}
	r := reading{used: n, toks: s.toks[i : i+n], value: code}
	try(n, float64(n)*freeWorth-0.1, fact{field: "method", read: r, weak: true})
}

// skipJoint passes the little words between a label and its value.
func (s *scanner) skipJoint(j int) (int, bool) {
	marked := j > 0 && s.toks[j-1].delim != 0
	for n := 0; n < 2 && j < len(s.toks) && !s.toks[j].number; n++ {
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
	return bag == bagOf("test") || bag == bagOf("leak", "test")
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

// byUnit lets the unit behind the value say what an incomplete label means:
// WATER 0.5 IN, WATER 12 GAL.
func (s *scanner) byUnit(i, j int, n name, marked bool, try tryFunc) {
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

func (s *scanner) pair(i, j int, n name, field string, marked bool, cost float64, try tryFunc) {
	spec, ok := specOf(s.kind, field)
	if !ok {
		return
	}
	s.d.marked = marked
	r, ok := s.d.readField(s.kind, spec, s.toks[j:], n.unit)
	s.d.marked = false
	if !ok || sentenceEnds(s.toks[i:j]) {
		return
	}
	if spec.Type == record.Label && !marked && s.d.isHeading(r.toks) && field != "header.site" && field != "header.address" {
		return // one heading beside another
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
	if spec.Type != record.Ident {
		try(j-i+r.used, worth, f)
		return
	}
	s.thing(i, j, r, f, worth, try)
}

// thing goes on from an equipment number to the product behind it.
func (s *scanner) thing(i, j int, r reading, f fact, worth float64, try tryFunc) {
	try(j-i+r.used, worth, f)
	at := j + r.used
	for at < len(s.toks) && s.toks[at].blank && s.toks[at].norm != "n/a" {
		at++
	}
	if p, more, ok := s.productAt(at, true); ok && (f.field == "tank" || f.field == "line") {
		try(at+p.read.used-i, worth+more, f, p)
	}
}

// things tries equipment numbers that carry their letter: T2, SENSOR-04.
func (s *scanner) things(i int, try tryFunc) {
	prefix, _, _, ok := splitIdent(s.toks[i].text)
	field := identPrefixes[prefix]
	if !ok || field == "" {
		return
	}
	if _, has := specs[s.kind][field]; !has {
		return
	}
	r, ok := s.d.readIdent(field, s.toks[i:])
	if ok {
		s.thing(i, i, r, fact{field: field, read: r, printed: true}, factWorth, try)
	}
}

// productAt reads a product label: a phrase that names a grade, or after an
// equipment number any words that are nothing else.
func (s *scanner) productAt(i int, afterThing bool) (fact, float64, bool) {
	if i >= len(s.toks) || s.toks[i].blank {
		return fact{}, 0, false
	}
	if _, has := specs[s.kind]["product"]; !has {
		return fact{}, 0, false
	}
	end := cellEnd(s.toks, i)
	for q := i; q < end; q++ {
		t := s.toks[q]
		if t.shut || t.stop == ',' || t.prose && t.stop != 0 {
			end = q + 1
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
		if crosses(run, n) || !s.plausibleProduct(run) {
			continue
		}
		_, cost, ok := s.d.grade(run)
		switch {
		case ok:
			return productFact(run, cost), float64(n)*freeWorth + 0.3 - cost*misreadCost, true
		case afterThing && i+n == end && !s.known(run):
			return productFact(run, 0), float64(n)*textWorth - 0.2, true
		}
	}
	return fact{}, 0, false
}

func productFact(run []token, cost float64) fact {
	return fact{field: "product", read: reading{used: len(run), toks: run, value: textOf(run), cost: cost}, weak: true}
}

// plausibleProduct rules out runs that begin or end with what belongs to a
// value or a verdict.
func (s *scanner) plausibleProduct(run []token) bool {
	if len(run) == 1 && run[0].number {
		return false // an octane figure alone is not told from any number
	}
	if run[0].number && len(run[0].text) <= 2 && run[0].text < "80" && run[0].at == s.toks[0].at {
		return false // the number of the tank that the line is about
	}
	for _, t := range run {
		if t.blank || t.delim == ':' && t.norm != run[len(run)-1].norm {
			return false
		}
		if t.number && (len(t.text) > 3 || t.text[0] == '-') {
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

// grade finds the grade of a product label.
func (d *doc) grade(run []token) (code string, cost float64, ok bool) {
	text := textOf(run)
	if g, done := d.grades[text]; done {
		return g.code, g.cost, g.ok
	}
	code, cost, ok = d.lex.GradeOf(text)
	d.grades[text] = gradeAnswer{code, cost, ok}
	return code, cost, ok
}

func (s *scanner) products(i int, try tryFunc) {
	if !starts(s.toks, i) && !s.toks[i].open && !(i == 1 && s.toks[0].number) {
		return
	}
	if p, worth, ok := s.productAt(i, false); ok && s.mostlyGrade(p.read.toks) {
		try(p.read.used, worth-0.4, p)
	}
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

// verdicts tries result words that stand alone.
func (s *scanner) verdicts(i int, try tryFunc) {
	if _, has := specs[s.kind]["result"]; !has && s.kind != record.LineSummary {
		return
	}
	r, ok := s.d.readCode("result", s.toks[i:])
	if s.kind == record.LineSummary && (i+r.used != len(s.toks) || !s.dated()) {
		return // "passes" is a label there, but at the end of a dated line
	}
	if ok && !crosses(s.toks[i:], r.used) && s.toks[i].norm != "leak" {
		try(r.used, float64(r.used)*freeWorth+0.3-r.cost*misreadCost, fact{field: "result", read: r, weak: true})
	}
}

// dated reports whether a date stands among the tokens.
func (s *scanner) dated() bool {
	for i := range s.toks {
		if r, ok := s.d.readTime(s.toks[i:], false); ok && r.moment.HasDate {
			return true
		}
	}
	return false
}

// classes tries the rate that names a test: 0.2 GAL/H TEST, HOURLY TEST.
func (s *scanner) classes(i int, try tryFunc) {
	if _, has := specs[s.kind]["test_class"]; !has {
		return
	}
	t := s.toks[i]
	if t.number {
		r, ok := s.d.readClass(s.kind, s.toks[i:], "")
		if !ok {
			return
		}
		after, before := s.isTest(i+r.used) || s.isTest(i+r.used+1), s.isTest(i-1) || s.isTest(i-2)
		alone := starts(s.toks, i) && r.unitFrom == unitBeside
		if (after || before) && (r.unitFrom == unitBeside || r.num.Decimals > 0) || alone {
			n := r.used
			for n < len(s.toks)-i && s.isTestWord(i+n) {
				n++
			}
			try(n, float64(r.used)*wordWorth+0.3, fact{field: "test_rate", read: r, weak: true})
		}
		return
	}
	code, cost, n := s.d.code(lexicon.TestClass, s.toks[i:])
	if n > 0 && cost == 0 && (s.isTest(i+n) || s.isTest(i-1) || s.toks[i+n-1].norm == "test") {
		r := reading{used: n, toks: s.toks[i : i+n], value: code, class: code}
		try(n, float64(n)*freeWorth, fact{field: "test_class", read: r, weak: true})
	}
}

func (s *scanner) isTest(i int) bool {
	if i < 0 || i >= len(s.toks) {
		return false
	}
	switch s.toks[i].norm {
	case "test", "tests", "tested", "tst", "check", "testing", "tsts":
		return true
	case "pass", "passes", "passed":
		return s.kind == record.LineSummary
	}
	return false
}

func (s *scanner) isTestWord(i int) bool {
	switch s.toks[i].norm {
	case "test", "tests", "leak", "tank", "line", "the", "tightness":
		return true
	}
	return false
}

// bareNames tries a number in the first cell of a line as the name of what the
// line is about.
func (s *scanner) bareNames(i int, try tryFunc) {
	own := ownName(s.kind)
	if _, has := specs[s.kind][own]; i > 0 || !has || own == "device" || len(s.toks) < 2 || !s.toks[0].number || s.toks[0].delim == '.' {
		return
	}
	if !starts(s.toks, 1) {
		if p, _, ok := s.productAt(1, false); !ok || !s.mostlyGrade(p.read.toks) || len(s.toks[0].text) > 2 {
			return
		}
	}
	if r, ok := s.d.readIdent(own, s.toks); ok && len(s.toks[0].text) <= 3 {
		try(1, freeWorth, fact{field: own, read: r, weak: true})
	}
}

// remarks passes over labelled remarks: they may hold any words.
func (s *scanner) remarks(i int, try tryFunc) {
	_, cost, n := s.d.code(lexicon.Skip, s.toks[i:])
	if n == 0 || cost > 0 || i+n >= len(s.toks) || s.toks[i+n-1].delim == 0 && !starts(s.toks, i+n) {
		return
	}
	end := cellEnd(s.toks, i+n)
	try(end-i, float64(end-i)*textWorth)
}

// moments tries dates and times without a label.
func (s *scanner) moments(i int, try tryFunc) {
	t := s.toks[i]
	if len(t.text) == 0 || t.blank {
		return
	}
	r, ok := s.d.readTime(s.toks[i:], false)
	if !ok || r.moment.HasDate && !r.moment.Date.HasYear() && !r.moment.HasClock {
		return
	}
	try(r.used, float64(r.used)*freeWorth-0.1, fact{field: "moment", read: r, weak: true})
}
