package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// built is a record with what the checks need to know about its fields.
type built struct {
	rec      record.Record
	reads    map[string]*fact
	doubts   map[string][]string // by field
	firm     map[string]bool     // confirmed by a relation
	unsure   string              // why nothing in it can be sure
	rateUnit string              // that the printed test rate shows
}

// report turns drafts into records: values are put into their canonical form,
// checked against each other and marked sure or doubted.
func (d *doc) report(h head, drafts []*draft) record.Report {
	var rep record.Report
	var all []*built
	printed := d.headerFields(&rep.Header, h)
	for _, dr := range drafts {
		if b := d.build(dr, printed); b != nil {
			all = append(all, b)
		}
	}
	d.check(all, printed)
	for _, b := range all {
		d.settle(b)
		rep.Records = append(rep.Records, b.rec)
	}
	return rep
}

// rateAsClass takes a rate of exactly 3.0, 0.2 or 0.1 gal/h for the rate that
// was tested for, where a test prints no other: a column headed "rate" may hold
// either, but a measured rate is hardly ever so round on every line.
func rateAsClass(dr *draft) {
	if dr.kind != record.TankTest && dr.kind != record.LineTest || dr.has("test_rate") || dr.has("test_class") || dr.has(fieldType) {
		return
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		v, ok := f.read.value.(float64)
		if f.field != "leak_rate" || !ok || f.read.num.Decimals > 1 {
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

func (d *doc) build(dr *draft, printed string) *built {
	for i := range dr.facts {
		if f := &dr.facts[i]; f.inherited && dr.muddy && f.guess == "" {
			f.guess = "taken from above; a line between could not be read and may name another"
		}
	}
	b := &built{unsure: dr.doubt, rec: record.Record{Kind: dr.kind, Fields: record.Fields{}}, reads: map[string]*fact{}, doubts: map[string][]string{}, firm: map[string]bool{}}
	rateAsClass(dr)
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
	if own := ownName(dr.kind); own != "device" && b.rec.Text(own) == "" && b.unsure == "" {
		b.unsure = "no number of the " + own + " was found; the record may be of any"
	}
	return b
}

// placeMoments gives dates and times without a label a field.
func (d *doc) placeMoments(dr *draft) {
	free := map[record.Kind][]string{
		record.TankTest: {"ended_at", "started_at"}, record.LineTest: {"ended_at", "started_at"}, record.Delivery: {"ended_at", "started_at"},
		record.SensorStatus: {"at"}, record.Alarm: {"at"}, record.Inventory: {"at"}, record.Reconciliation: {"to", "from"}, record.LineSummary: nil, record.TankLimits: nil,
	}[dr.kind]
	var moments []int
	for i, f := range dr.facts {
		if f.field == fieldMoment {
			moments = append(moments, i)
		}
	}
	if len(moments) == 2 {
		if m, ok := joinMoments(dr.facts[moments[0]].read, dr.facts[moments[1]].read); ok {
			dr.facts[moments[0]].read = m
			dr.facts[moments[1]].field = ""
			moments = moments[:1]
		}
	}
	if len(moments) >= 2 && len(free) == 2 && !dr.has(free[0]) && !dr.has(free[1]) {
		dr.facts[moments[0]].field, dr.facts[moments[1]].field = free[1], free[0]
		return
	}
	for _, i := range moments {
		for _, f := range free {
			if !dr.has(f) {
				dr.facts[i].field = f
				if len(free) == 2 {
					dr.facts[i].guess = "the slip does not say whether this is the start or the end"
				}
				break
			}
		}
	}
}

// place puts one fact into the record.
func (d *doc) place(b *built, f *fact) {
	r := f.read
	switch {
	case f.field == "" || isHeader(f.field) || r.hasTime && f.field != fieldPeriod:
		return
	case f.field == fieldPeriod:
		to := *f
		to.read.moment, to.read.toks, to.read.until = *r.until, r.untilToks, nil
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
				b.doubts[f.field] = append(b.doubts[f.field], "no unit is printed; "+u+" is assumed, a wrong unit would change the amount")
			}
		}
	}
	if f.guess != "" {
		b.doubts[f.field] = append(b.doubts[f.field], f.guess)
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

func (d *doc) placeGrade(b *built, f *fact) {
	code, cost, ok := d.grade(f.read.toks)
	if !ok {
		return
	}
	if f.guess != "" {
		b.doubts["grade"] = append(b.doubts["grade"], f.guess)
	}
	g := *f
	g.read.cost = cost
	b.rec.Fields["grade"] = record.Field{Value: code, Text: textOf(f.read.toks), Box: boxOf(f.read.toks), Origin: record.Printed}
	b.reads["grade"] = &g
}

func boxOf(toks []token) record.Box {
	var b record.Box
	for _, t := range toks {
		b = b.Union(t.box)
	}
	return b
}

// placeTimes puts the times into the record; a time of day without a date
// takes the record's other date, or the date of printing.
func (d *doc) placeTimes(b *built, dr *draft, printed string) {
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.read.hasTime && f.field != fieldPeriod && f.field != fieldMoment && f.field != "" && !isHeader(f.field) {
			if _, ok := specs[dr.kind][f.field]; ok {
				b.reads[f.field] = f
			}
		}
	}
	date := ""
	for _, name := range []string{"started_at", "from", "first_pass_of_month", "at", "ended_at", "to", "last_pass_at"} {
		f := b.reads[name]
		if f == nil || !f.read.hasTime || !f.read.moment.HasDate {
			continue
		}
		text, ok := d.timeText(f.read.moment)
		if !ok {
			b.doubts[name] = append(b.doubts[name], "no such day: "+textOf(f.read.toks)+"; the time of the record stays open")
			continue
		}
		b.time(name, text)
		if date == "" {
			date = text[:10]
		}
	}
	for _, name := range []string{"started_at", "from", "first_pass_of_month", "at", "ended_at", "to", "last_pass_at"} {
		f := b.reads[name]
		if f == nil || !f.read.hasTime || f.read.moment.HasDate {
			continue
		}
		day := date
		if day == "" && len(printed) >= 10 {
			day = printed[:10]
		}
		if day == "" {
			continue
		}
		b.time(name, d.clockOn(b, name, day, f.read.moment.Clock.String()))
	}
}

// clockOn dates a time of day. The end of something that began later that day
// is on the next.
func (d *doc) clockOn(b *built, name, day, clock string) string {
	text := day + "T" + clock
	b.doubts[name] = append(b.doubts[name], "only the time of day is printed here; its date is taken from elsewhere on the slip")
	if start := b.rec.Text("started_at"); name == "ended_at" && start != "" && text < start {
		var t value.Day
		if _, err := sscanDay(day, &t); err == nil {
			next := t.Time().AddDate(0, 0, 1)
			text = next.Format("2006-01-02") + "T" + clock
		}
	}
	return text
}

func (b *built) time(name, text string) {
	f := b.reads[name]
	if f.guess != "" {
		b.doubts[name] = append(b.doubts[name], f.guess)
	}
	b.rec.Fields[name] = record.Field{Value: text, Text: textOf(f.read.toks), Box: boxOf(f.read.toks), Origin: record.Printed}
}

// timeText writes a moment in its canonical form.
func (d *doc) timeText(m value.Moment) (string, bool) {
	day, ok := m.Date.In(d.dates.order, d.dates.near)
	if !ok {
		for _, o := range m.Date.Possible() {
			if day, ok = m.Date.In(o, d.dates.near); ok {
				break
			}
		}
	}
	if !ok {
		return "", false
	}
	if !m.HasClock {
		return day.String(), true
	}
	return day.String() + "T" + m.Clock.String(), true
}

// headerFields fills the header and returns the time of printing.
func (d *doc) headerFields(out *record.Header, h head) string {
	set := func(dst **record.Field, f *fact, v any, doubt bool) {
		if f == nil {
			return
		}
		field := record.Field{Value: v, Text: textOf(f.read.toks), Box: boxOf(f.read.toks), Origin: record.Printed}
		field.Confidence = confidence(f.read.toks, f.read)
		field.Sure = !doubt && d.wellRead(f.read.toks, f.read) && !f.weak && f.stranger == ""
		*dst = &field
	}
	if h.site != nil && d.numberOnly(h.site.read.toks) {
		// "Store= no. 114", a mark misread into the label: a number, not a name.
		if toks := h.site.read.toks; h.number == nil {
			last := toks[len(toks)-1:]
			h.number = &fact{field: "site_number", read: reading{used: 1, toks: last, value: last[0].text}, weak: true}
		}
		h.site = nil
	}
	if h.site != nil {
		set(&out.Site, h.site, textOf(h.site.read.toks), h.guessed && !h.site.printed)
	}
	if h.number != nil {
		s, _ := h.number.read.value.(string)
		set(&out.SiteNumber, h.number, s, false)
	}
	if h.address != nil {
		set(&out.Address, h.address, textOf(h.address.read.toks), false)
	}
	if h.printed == nil {
		return ""
	}
	text, ok := d.timeText(h.printed.read.moment)
	if !ok || !h.printed.read.moment.HasDate {
		return ""
	}
	m := h.printed.read.moment
	cut := d.hasClocks && !m.HasClock || d.hasHalves && m.HasClock && m.Clock.Half == "" && m.Clock.Hour <= 12
	set(&out.PrintedAt, h.printed, text, false)
	out.PrintedAt.Sure = d.wellRead(h.printed.read.toks, h.printed.read) && d.dateSure(m, text) && !cut && h.printed.stranger == ""
	return text
}

// numberOnly reports whether words are a number with the word for it, and so no
// name.
func (d *doc) numberOnly(toks []token) bool {
	for i, t := range toks {
		if t.number || t.blank {
			continue
		}
		if code, _, _ := d.code(lexicon.Part, toks[i:i+1]); code != "number" {
			return false
		}
	}
	return len(toks) > 0
}

// dateSure reports whether the order of a date is beyond doubt and it is not
// from the future.
func (d *doc) dateSure(m value.Moment, text string) bool {
	if !m.HasDate {
		return false
	}
	day, ok := m.Date.In(d.dates.order, d.dates.near)
	if !ok || d.future(day) || !m.Date.HasYear() {
		return false
	}
	if m.Date.Known != value.NoOrder || d.dates.settled {
		return true
	}
	other, ok := m.Date.In(d.dates.other, d.dates.near)
	return d.dates.other != value.NoOrder && ok && other == day
}

func orderWords(o value.Order) string {
	return map[value.Order]string{value.MDY: "month first", value.DMY: "day first", value.YMD: "year first"}[o]
}
