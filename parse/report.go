package parse

import (
	"slices"

	"tankroll/record"
)

// built is a record with what the checks need to know about its fields.
type built struct {
	rec      record.Record
	reads    map[string]*fact
	doubts   map[string][]string // by field
	firm     map[string]bool     // confirmed by a relation
	odds     map[string]float64  // secondOdds of its fields
	unsure   string              // why nothing in it can be sure
	rateUnit string              // that the printed test rate shows
}

// report turns drafts into records: values are put into their canonical form,
// checked against each other and marked sure or doubted. It also gives what is known of each field of
// the records, in their order.
func (d *doc) report(h head, drafts []*draft) (record.Report, []evidence) {
	var rep record.Report
	var all []*built
	printed := d.headerFields(&rep.Header, h)
	if printed == "" && d.front.taken != nil {
		printed, _ = d.timeText(d.front.taken.read.moment()) // the day of times that have none
	}
	if len(drafts) == 0 && !d.titled() {
		h.doubtGuesses(&rep.Header)
	}
	for _, dr := range drafts {
		if printed == "" {
			d.doubtOwnTimes(dr)
		}
		if b := d.build(dr, printed); b != nil {
			all = append(all, b)
		}
	}
	d.check(all, printed)
	c := d.company(all)
	var known []evidence
	for _, b := range all {
		known = append(known, d.settle(b, c)...)
		rep.Records = append(rep.Records, b.rec)
	}
	return rep, known
}

// rateAsClass takes a rate of exactly 3.0, 0.2 or 0.1 gal/h for the rate that
// was tested for, where a test prints no other: a column headed "rate" may hold
// either, but a measured rate is hardly ever so round on every line.
func (d *doc) rateAsClass(dr *draft) {
	if dr.kind != record.TankTest && dr.kind != record.LineTest || dr.has("test_rate") || dr.has("test_class") || dr.has(fieldType) {
		return
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		v, ok := f.read.value.(float64)
		if f.field != "leak_rate" || !ok {
			continue
		}
		if f.read.num.Decimals > 1 {
			if _, _, ok := classOf(v, f.read.unit); ok && f.guess == "" && !f.under && d.bareRate(*f) && f.read.toks[0].text[0] != '+' {
				f.guess = "it is just a rate that tests are made for; it could be that and not the measured one" // RATE GAL/HR   0.20
			}
			continue
		}
		if class, unit, ok := classOf(v, f.read.unit); ok {
			f.field, f.read.class, f.weak = "test_rate", class, true
			if f.read.unit == "" {
				f.read.unit = unit
			}
			f.guess = "the slip says only \"rate\"; it is taken for the rate tested for, it could be the measured one"
		}
	}
}

// build makes a record of a draft; nil when no field of its kind is left.
func (d *doc) build(dr *draft, printed string) *built {
	b := &built{unsure: dr.doubt, rec: record.Record{Kind: dr.kind, Fields: record.Fields{}}, reads: map[string]*fact{}, doubts: map[string][]string{}, firm: map[string]bool{}}
	d.rateAsClass(dr)
	placeLoose(dr)
	d.placeMoments(dr)
	for i := range dr.facts {
		if r := dr.facts[i].read; r.class != "" && quantityOf(r.unit) == record.Rate {
			b.rateUnit = r.unit
		}
	}
	for i := range dr.facts {
		d.place(b, &dr.facts[i])
	}
	d.placeTimes(b, dr, printed)
	for name := range b.rec.Fields {
		if _, ok := specs[dr.kind][name]; !ok {
			delete(b.rec.Fields, name)
		}
	}
	if len(b.rec.Fields) == 0 {
		return nil
	}
	if b.unsure == "" && (b.onlyNamed() || b.onlyLeft()) {
		b.unsure = tooLittle
	}
	if own := ownName(dr.kind); own != "device" && b.rec.Text(own) == "" && b.unsure == "" {
		b.unsure = "no number of the " + own + " was found; the record may be of any"
	}
	return b
}

// onlyNamed reports whether a record says of what it is and nothing more.
func (b *built) onlyNamed() bool {
	if b.rec.Kind == record.Inventory || b.rec.Kind == record.Delivery || b.rec.Kind == record.TankLimits || b.rec.Kind == record.Reconciliation {
		for name := range b.rec.Fields {
			if specs[b.rec.Kind][name].Type == record.Number {
				return false
			}
		}
		return true // these are about amounts
	}
	for name := range b.rec.Fields {
		if name != ownName(b.rec.Kind) && name != "product" && name != "grade" {
			return false
		}
	}
	return ownName(b.rec.Kind) != "device"
}

// onlyLeft reports whether a delivery says what was in a tank behind it and nothing of what came in or
// when: it may be the stock of any tank.
func (b *built) onlyLeft() bool {
	if b.rec.Kind != record.Delivery {
		return false
	}
	for _, name := range []string{"started_at", "ended_at", "start_volume", "delivered", "net_delivered"} {
		if _, ok := b.rec.Fields[name]; ok {
			return false
		}
	}
	return true
}

// noUnit begins the doubt about an amount whose unit is assumed.
const noUnit = "no unit is printed"

// place puts one fact into the record.
func (d *doc) place(b *built, f *fact) {
	r := f.read
	switch {
	case f.field == "" || isHeader(f.field) || r.hasTime() && f.field != fieldPeriod:
		return
	case f.field == fieldPeriod:
		to := *f
		to.read.when, to.read.toks, to.read.until = r.until.when, r.until.toks, nil
		from := *f
		from.read.until = nil
		from.field, to.field = "from", "to"
		b.reads["from"], b.reads["to"] = &from, &to
		return
	case r.class != "":
		d.placeClass(b, f)
		return
	case f.field == fieldType:
		f.field = "method"
	case f.field == fieldVolume && b.rec.Kind == record.TankTest:
		f.field = "start_volume"
		f.weak = true
		b.doubts["start_volume"] = append(b.doubts["start_volume"], "the slip does not say whether this volume is from the start or the end")
	}
	spec, ok := specs[b.rec.Kind][f.field]
	if !ok {
		return
	}
	v := record.Field{Value: r.value, Text: textOf(r.toks), Box: boxOf(r.toks), Origin: record.Printed}
	if spec.Type == record.Number {
		v.Unit = r.unit
		if r.unit == "" && spec.Quantity != record.Plain {
			u, shown := d.unitFor(spec.Quantity)
			if spec.Quantity == record.Rate && b.rateUnit != "" {
				u, shown = b.rateUnit, true
			}
			v.Unit = u
			if !shown {
				b.doubts[f.field] = append(b.doubts[f.field], noUnit+"; "+u+" is assumed, a wrong unit would change the amount")
			}
		}
	}
	if n, ok := v.Value.(float64); ok && n < 0 && f.field == "sold" {
		v.Value = -n // what went out, with the sign that it counts with
	}
	if f.guess != "" {
		b.doubts[f.field] = append(b.doubts[f.field], f.guess)
	}
	if text := withBrackets(r.toks); f.field == "product" && text != "" && v.Value == v.Text {
		v.Value, v.Text = text, text
	}
	b.rec.Fields[f.field] = v
	b.reads[f.field] = f
	if f.field == "product" {
		d.placeGrade(b, f)
	}
	if r.also != nil {
		d.place(b, r.also)
	}
}

// withBrackets is the text of a product with the brackets around its last words, as in DIESEL (AGO);
// "" for one without.
func withBrackets(toks []token) string {
	n := len(toks) - 1
	for i := 1; i <= n; i++ {
		if toks[i].open && toks[n].shut && !slices.ContainsFunc(toks[i:n], func(t token) bool { return t.shut }) {
			return textOf(toks[:i]) + " (" + textOf(toks[i:]) + ")"
		}
	}
	return ""
}

// placeClass puts the rate that was tested for into the record.
func (d *doc) placeClass(b *built, f *fact) {
	r := f.read
	if f.guess != "" {
		b.doubts["test_class"] = append(b.doubts["test_class"], f.guess)
		b.doubts["test_rate"] = append(b.doubts["test_rate"], f.guess)
	}
	v := record.Field{Value: r.class, Text: textOf(r.toks), Box: boxOf(r.toks), Origin: record.Printed}
	b.rec.Fields["test_class"] = v
	b.reads["test_class"] = f
	if n, ok := r.value.(float64); ok {
		v.Value, v.Unit = n, r.unit
		b.rec.Fields["test_rate"] = v
		b.reads["test_rate"] = f
	}
}

// placeGrade adds the grade that a product label names, or that the second reading knows it by.
func (d *doc) placeGrade(b *built, f *fact) {
	code, cost, ok := d.grade(f.read.toks)
	if n := d.octaneAmong(f.read.toks); !ok && n != nil {
		code, cost, ok = d.grade(n)
	}
	var why string
	if ok {
		toks := f.read.toks
		if n := d.octaneAmong(toks); n != nil {
			toks = n
		}
		if open, doubt, is := d.octaneGrade(toks); is {
			code, why = open, doubt
		} else {
			why = d.octaneAgainst(code, f.read.toks)
		}
	}
	if !ok || why != "" {
		guessed, p := d.guessedGrade(b.rec.Kind, f.read.toks)
		switch {
		case !ok && p < likelyCode:
			return
		case !ok:
			code, why = guessed, bySecondReading
		case p >= plainField:
			code = guessed
		}
	}
	for _, doubt := range []string{f.guess, why} {
		if doubt != "" && !slices.Contains(b.doubts["grade"], doubt) {
			b.doubts["grade"] = append(b.doubts["grade"], doubt)
		}
	}
	g := *f
	g.read.cost = cost
	b.rec.Fields["grade"] = record.Field{Value: code, Text: textOf(f.read.toks), Box: boxOf(f.read.toks), Origin: record.Printed}
	b.reads["grade"] = &g
}

// guessedGrade is the grade that the second reading knows a product by, and how likely it is.
func (d *doc) guessedGrade(k record.Kind, toks []token) (string, float64) {
	if d.second == nil {
		return "", 0
	}
	words := d.second.wordsOf(toks)
	if len(words) == 0 {
		return "", 0
	}
	return d.second.tags.Code(words, k, "grade")
}
