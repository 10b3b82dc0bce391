package parse

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankroll/parse/tagger"
	"tankroll/parse/value"
	"tankroll/record"
)

// SwappedDoubt begins the reason of a date whose day and month the slip alone
// does not tell apart; Hints.DayFirstKnown settles it.
const SwappedDoubt = "day and month could be swapped"

// The thresholds of a promise, so that a field that is sure is wrong at most
// once in a thousand as long as a word's confidence says how often such a word
// is right.
const (
	sureConfidence = 0.997 // of the field; the rest is made up by the checks, which find most wrong ones
	sureLabel      = 0.80  // of the words of a label that is not spelt exactly
	sureLabelCost  = 0.35  // the distance of a label from its spelling: one look-alike
)

// What corroborates a reading, as a factor on the chance that it is wrong.
const (
	knownWord = 0.1  // spelt like a known word of its field: a misread word is hardly ever another one
	inRange   = 0.6  // a time or number that is possible: many misread ones are not
	inSum     = 0.02 // a relation holds to the last digit
)

// wellRead reports whether all words of a value were read well and exactly.
func (d *doc) wellRead(toks []token, r reading) bool {
	return len(toks) > 0 && r.fixed == 0 && r.cost == 0 && confidence(toks, r) >= sureConfidence
}

// confidence is how likely the value of these words is right.
func confidence(toks []token, r reading) float64 {
	c := 1.0
	for _, t := range toks {
		conf := t.conf
		if figuresStand(r) {
			conf = max(conf, t.seen.figures)
		}
		c *= math.Min(1, math.Max(0, conf))
	}
	c *= math.Pow(0.8, float64(r.fixed)) * math.Pow(0.85, r.cost)
	return math.Round(c*1e4) / 1e4
}

// figuresStand reports whether a value can only be printed in figures, so that
// a reading with letters among them, 0.2 as @.2, need not be feared.
func figuresStand(r reading) bool {
	_, number := r.value.(float64)
	return number || r.hasTime() || r.class != ""
}

// longestNumber is the most figures that a tank, line or sensor is numbered with.
const longestNumber = 3

// mostUnsure is the most that a field which is not sure is given.
const mostUnsure = 0.98

// settle decides for every field of a record whether it is sure, and puts the
// reasons of those that are not into words. c is what is known of all records of the slip. It gives
// what is known of each field.
func (d *doc) settle(b *built, c company) []evidence {
	var known []evidence
	together := c.of(b)
	for _, name := range b.rec.FieldNames() {
		f := b.rec.Fields[name]
		fact := b.reads[name]
		f.Confidence = d.fieldConfidence(b, name, fact) // of its reading, for the reasons
		why, hard := d.reasons(b, name, f, fact)
		f.Sure = len(why) == 0
		e := together
		e.read, e.reasons, e.sure = f.Confidence, len(why), f.Sure
		e.second, e.shared = b.odds[name], fact != nil && fact.inherited
		e.free = c.free[tagger.Tag{Kind: string(b.rec.Kind), Field: name}]
		if hard {
			e.reasons--
		}
		f.Confidence = e.trust()
		if f.Sure && f.Confidence < leastTrust {
			f.Sure, why = false, []string{e.weakest()}
		}
		if !f.Sure {
			f.Confidence = min(f.Confidence, mostUnsure)
		}
		known = append(known, e)
		b.rec.Fields[name] = f
		for _, w := range why {
			b.rec.Doubts = append(b.rec.Doubts, record.Doubt{Field: name, Why: w})
		}
	}
	b.gradeFollows()
	b.nameFollows()
	return known
}

// nameFollows takes back the promise of what a record is of where nothing that it says is
// sure: it may be a record of another kind, below a title that was not read.
func (b *built) nameFollows() {
	own := ownName(b.rec.Kind)
	if own != "tank" {
		return // passes of a line are told by their words
	}
	said := 0
	for name, f := range b.rec.Fields {
		switch name {
		case own, "product", "grade":
			continue
		}
		if f.Sure || b.lacksUnitOnly(name) {
			return
		}
		said++
	}
	if said == 0 {
		return
	}
	for _, name := range []string{own, "product", "grade"} {
		f, ok := b.rec.Fields[name]
		if !ok || !f.Sure {
			continue
		}
		f.Sure, f.Confidence = false, min(f.Confidence, mostUnsure)
		b.rec.Fields[name] = f
		b.rec.Doubts = append(b.rec.Doubts, record.Doubt{Field: name, Why: "nothing that the record says is certain; it may be of another kind"})
	}
}

// lacksUnitOnly reports whether no more than its unit, which is not printed, speaks against a
// field: what it is, is told.
func (b *built) lacksUnitOnly(name string) bool {
	n := 0
	for _, d := range b.rec.Doubts {
		if d.Field == name {
			if n++; !strings.HasPrefix(d.Why, noUnit) {
				return false
			}
		}
	}
	return n > 0
}

// gradeFollows takes back the grade's promise where the product's label, on
// which it rests, is doubtful.
func (b *built) gradeFollows() {
	product, ok := b.rec.Fields["product"]
	grade, has := b.rec.Fields["grade"]
	if !ok || !has || product.Sure || !grade.Sure {
		return
	}
	grade.Sure, grade.Confidence = false, min(grade.Confidence, mostUnsure)
	b.rec.Fields["grade"] = grade
	b.rec.Doubts = append(b.rec.Doubts, record.Doubt{Field: "grade", Why: fmt.Sprintf("it rests on the product's label %q, which is doubtful", product.Text)})
}

func (d *doc) fieldConfidence(b *built, name string, f *fact) float64 {
	if f == nil {
		return 0.5
	}
	wrong := 1 - confidence(f.read.toks, f.read)
	switch spec := specs[b.rec.Kind][name]; {
	case b.firm[name]:
		wrong *= inSum
	case spec.Type == record.Code && name != "test_class" && f.read.cost == 0:
		wrong *= knownWord
	case name == "product" && b.reads["grade"] != nil && b.reads["grade"].read.cost == 0:
		wrong *= knownWord // the label is a trade word to the letter
	case spec.Type == record.Time, spec.Type == record.Number, spec.Type == record.Code:
		wrong *= inRange
	}
	return math.Round((1-wrong)*math.Pow(0.95, d.spellingCost(f))*1e4) / 1e4
}

// spellingCost is the distance of a label from what it was taken for; little words that
// are spelt right make none of it.
func (d *doc) spellingCost(f *fact) float64 {
	if f.cost > sureLabelCost || slices.ContainsFunc(f.label, func(t token) bool { return !t.blank && !d.harmless(t) }) {
		return f.cost
	}
	return 0
}

// reasons lists why a field is not sure; none means that it is. hard is whether one of
// them is how it reads.
func (d *doc) reasons(b *built, name string, f record.Field, fact *fact) (why []string, hard bool) {
	why = append(why, b.doubts[name]...)
	if b.unsure != "" {
		why = append(why, b.unsure)
	}
	if fact == nil {
		return append(why, "worked out from the rest of the slip, not printed here"), false
	}
	if fact.danger != "" && fact.danger != b.unsure {
		why = append(why, fact.danger)
	}
	if fact.stranger != "" {
		why = append(why, fmt.Sprintf("%q stands beside it and was not understood; it may belong to it", fact.stranger))
	}
	if w := d.otherwise(b.rec.Kind, name, fact.read.toks); w != "" && !d.taughtFact(fact) && !fact.ofPass() {
		why = append(why, w)
	}
	spec := specs[b.rec.Kind][name]
	if spec.Type == record.Label && d.moreWords(b.rec.Kind, name, fact.read.toks) {
		why = append(why, "a second reading of the slip takes more words for it")
	}
	if w := d.readWell(b, name, spec, f, fact); w != "" {
		why, hard = append(why, w), len(fact.read.toks) > 0
	}
	if fact.cost > sureLabelCost {
		why = append(why, fmt.Sprintf("its label was read as %q, which is not quite the name of this field", textOf(fact.label)))
	}
	for _, t := range fact.label {
		if t.conf < sureLabel && fact.cost > 0 {
			why = append(why, fmt.Sprintf("its label %q is hard to read; the value could belong to another field", textOf(fact.label)))
			break
		}
	}
	if fact.read.class != "" && len(fact.label) == 0 && finer(fact.read) {
		why = append(why, fmt.Sprintf("%q is printed finer than the rates that tests are named by; it may be a limit or a measured rate", textOf(fact.read.toks)))
	}
	if fact.read.class != "" && vagueClass(fact.read) {
		why = append(why, fmt.Sprintf("%q may be said of any test", textOf(fact.read.toks)))
	}
	if name == "test_class" || name == "test_rate" {
		for _, n := range b.rec.FieldNames() {
			o := b.reads[n]
			if o == nil {
				continue
			}
			if c := d.otherClass(b, o); c != "" {
				why = append(why, fmt.Sprintf("a line of the record speaks of the %s gal/h test", c))
				break
			}
		}
	}
	if c := d.otherClass(b, fact); c != "" {
		why = append(why, fmt.Sprintf("its line speaks of the %s gal/h test", c))
	}
	if isName(spec, name) {
		if w := d.nameDoubts(name, fact); w != "" {
			why = append(why, w)
		}
	}
	if spec.Type == record.Time && fact.read.hasTime() {
		why = append(why, d.timeDoubts(name, f, fact)...)
	}
	if spec.Type == record.Number {
		why = append(why, d.sizeDoubts(name, f, fact)...)
	}
	if bag, _, _ := d.bag(fact.label); spec.Type == record.Ident && len(f.String()) >= longestNumber && bag == bagOf("number") {
		why = append(why, fmt.Sprintf("%q may be the number of the site or the slip", f.String()))
	}
	if spec.Type == record.Ident && (len(strings.Trim(f.String(), "ABCD")) > longestNumber || plainDigits(textOf(fact.read.toks), longestNumber+1, maxWordRunes)) {
		why = append(why, fmt.Sprintf("%q is long for the number of a tank, line or sensor", f.String()))
	}
	if name == "device" && f.String() != "system" && b.reads["device_number"] == nil {
		why = append(why, "no number was found with it")
	}
	if name == "product" || name == "grade" {
		if _, _, ok := d.grade(fact.read.toks); !ok {
			why = append(why, fmt.Sprintf("%q names no known product", textOf(fact.read.toks)))
		}
		if n := d.noOctane(fact.read.toks); n != "" {
			why = append(why, fmt.Sprintf("%s is no octane number that is sold; a figure may be misread", n))
		}
	}
	return why, hard
}

// finer reports whether a rate is printed with a last figure that says nothing: 0.100.
func finer(r reading) bool {
	_, figure := r.value.(float64)
	return figure && r.num.Decimals > 1 && strings.HasSuffix(r.toks[0].text, "0")
}

// vagueClass reports whether the rate of a test follows from a word alone that is no name
// of one: month is one of the first pass of the month, precision of any fine test.
func vagueClass(r reading) bool {
	if _, figure := r.value.(float64); figure || len(r.toks) != 1 {
		return false
	}
	switch r.toks[0].norm {
	case "hour", "month", "year", "precision", "tightness", "fine", "catastrophic":
		return true
	}
	return false
}

// readWell says what is wrong with the reading of a value, or "".
func (d *doc) readWell(b *built, name string, spec record.FieldSpec, f record.Field, fact *fact) string {
	text := textOf(fact.read.toks)
	switch {
	case fact.read.fixed > 0 && !(f.Origin == record.Repaired && b.firm[name]):
		return fmt.Sprintf("read as %q, which has letters where figures belong", text)
	case spec.Type == record.Code && name != "test_class" && d.severalCodes(b.rec.Kind, name, fact.read):
		return fmt.Sprintf("%q says more than one thing", text)
	case fact.read.cost > 0 && spec.Type == record.Code:
		return fmt.Sprintf("read as %q, which is not quite a word for it", text)
	case f.Origin == record.Repaired && !b.firm[name]:
		return fmt.Sprintf("printed as %q and put right", text)
	case len(fact.read.toks) == 0:
		return "not printed; it follows from the list that it stands in"
	case f.Confidence < sureConfidence:
		return fmt.Sprintf("%q is hard to read%s", text, alternatives(weakest(fact.read.toks)))
	case spec.Type == record.Label && slices.ContainsFunc(fact.read.toks, func(t token) bool { return mixed(t.text) && !d.harmless(t) }):
		return fmt.Sprintf("%q mixes letters and figures as misread words do", text)
	}
	return ""
}

// weakest is the word that was read worst.
func weakest(toks []token) token {
	w := toks[0]
	for _, t := range toks {
		if t.conf < w.conf {
			w = t
		}
	}
	return w
}

// mixed reports whether a word has a figure between letters, or a letter of the
// other case among capitals: 8g, MI0GR4DE.
func mixed(text string) bool {
	for _, w := range strings.Fields(text) {
		digits, lower, upper := 0, 0, 0
		for i := 0; i < len(w); i++ {
			switch c := w[i]; {
			case c >= '0' && c <= '9':
				digits++
				if i > 0 && i+1 < len(w) && isLetter(w[i-1]) && isLetter(w[i+1]) {
					return true
				}
			case c >= 'a' && c <= 'z':
				lower++
			case c >= 'A' && c <= 'Z':
				upper++
			}
		}
		if digits > 0 && lower > 0 && upper == 0 && !hasDigit(w[:1]) || upper > 2 && lower == 1 {
			return true
		}
	}
	return false
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

func alternatives(t token) string {
	if len(t.seen.alts) == 0 {
		return ""
	}
	return fmt.Sprintf("; it could be %q", t.seen.alts[0])
}

func (d *doc) timeDoubts(name string, f record.Field, fact *fact) []string {
	m := fact.read.moment()
	if !m.HasDate {
		return nil
	}
	var why []string
	day, ok := m.Date.In(d.dates.order, d.dates.near)
	switch {
	case !ok:
		why = append(why, fmt.Sprintf("%q is no date in the order of the other dates", textOf(fact.read.toks)))
	case d.future(day):
		why = append(why, "the date is in the future; a digit may be misread")
	case d.hasClocks && !m.HasClock && name != "from" && name != "to":
		why = append(why, "no time of day was found with the date, as the other dates of the slip have")
	case m.HasClock && likeRate(fact.read.toks):
		why = append(why, "what was taken for the time of day may be the rate of a test")
	case !m.HasClock && d.clockAfter(fact.read.toks):
		why = append(why, "a time of day stands right beside the date and was not taken with it")
	case !m.HasClock && d.clockBelow(fact.read.toks):
		why = append(why, "a time of day stands right below the date and was not taken with it")
	case d.hasHalves && m.HasClock && m.Clock.Half == "" && m.Clock.Hour <= 12:
		why = append(why, "no am or pm was found with the time, as the other times of the slip have")
	case !m.Date.HasYear():
		why = append(why, "no year is printed; it is taken from the other dates")
	case !d.dateSure(m, f.String()):
		why = append(why, d.orderDoubt(m))
	}
	return why
}

// likeRate reports whether one of the words of a time is a rate that tests are named by,
// as 0.38 litres an hour.
func likeRate(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool {
		v, err := strconv.ParseFloat(strings.Replace(t.text, ",", ".", 1), 64)
		_, _, ok := classOf(v, "")
		return err == nil && v < 1 && ok && len(t.text) >= 3
	})
}

func (d *doc) orderDoubt(m value.Moment) string {
	if other, ok := m.Date.In(d.dates.other, d.dates.near); ok && d.dates.other != value.NoOrder {
		return fmt.Sprintf(SwappedDoubt+": read %s, but it could be %s", orderWords(d.dates.order), other)
	}
	return "nothing on the slip says whether day or month comes first"
}

// span is the range of values that a quantity can have at a fuel station.
type span struct{ low, high float64 }

// spans are plausible ranges; beyond them a digit or a decimal mark was likely
// misread. Tanks: up to 60,000 gal; depth up to 15 ft; rates of tests that end
// in hours; fuel from arctic cold to desert heat. Common practice, no source.
var spans = map[string]span{
	"gal": {-60000, 60000}, "L": {-230000, 230000}, "in": {0, 180}, "mm": {0, 4600},
	"degF": {-60, 150}, "degC": {-51, 66}, "gal/h": {-20, 20}, "L/h": {-76, 76}, "h": {0, 800}, "psi": {0, 120},
}

// mayBeNegative reports whether a number of a field can be below zero.
func mayBeNegative(field string) bool {
	switch field {
	case "over_short", "leak_rate", "threshold", "temperature", "start_temperature", "end_temperature", "ullage":
		return true
	}
	return false
}

func (d *doc) sizeDoubts(name string, f record.Field, fact *fact) []string {
	v, ok := f.Number()
	if !ok {
		return nil
	}
	var why []string
	if s, known := spans[f.Unit]; known && (v < s.low || v > s.high) || name == "percent_full" && (v < 0 || v > 105) {
		why = append(why, fmt.Sprintf("%g %s is outside what is possible; a digit or the decimal mark may be misread", v, f.Unit))
	}
	if name == "allowed" && len(f.Text) > 1 && f.Text[0] == '+' && isDigit(rune(f.Text[1])) {
		why = append(why, fmt.Sprintf("%q has a sign, as differences have and limits do not", f.Text))
	}
	if v < 0 && !mayBeNegative(name) {
		why = append(why, "a negative value is not possible here")
	}
	if text := textOf(fact.read.toks); plainDigits(text, 4, 4) && (strings.HasPrefix(text, "20") || strings.HasPrefix(text, "19")) && fact.read.unitFrom != unitBeside && len(fact.label) > 0 && fact.read.toks[0].line == fact.label[0].line && d.dateFrom(fact.read.toks[0]) {
		why = append(why, fmt.Sprintf("%q may be the year of a date", text))
	}
	if len(fact.read.num.Others) > 0 && !(d.groupsShown && fact.read.num.Decimals == 0) {
		why = append(why, fmt.Sprintf("%q could also mean %g; the slip does not show whether it writes decimals with a point or a comma", textOf(fact.read.toks), fact.read.num.Others[0]))
	}
	return why
}

func sscanDay(s string, d *value.Day) (int, error) {
	t, err := time.Parse("2006-01-02", s)
	if err != nil {
		return 0, err
	}
	*d = value.Day{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}
	return 3, nil
}
