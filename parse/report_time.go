package parse

import (
	"tankroll/parse/value"
	"tankroll/record"
)

// freeTimes are the fields of a kind that a time without a label may be.
var freeTimes = map[record.Kind][]string{
	record.TankTest: {"ended_at", "started_at"}, record.LineTest: {"ended_at", "started_at"}, record.Delivery: {"ended_at", "started_at"},
	record.SensorStatus: {"at"}, record.Alarm: {"at"}, record.Inventory: {"at"}, record.Reconciliation: {"to", "from"},
}

// placeMoments gives dates and times without a label a field.
func (d *doc) placeMoments(dr *draft) {
	listedSince(dr)
	free := freeTimes[dr.kind]
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
	if dr.kind == record.Reconciliation && dr.row && len(moments) == 1 && dr.facts[moments[0]].printed && dr.facts[moments[0]].read.hasDate() {
		for i := range dr.facts {
			if f := &dr.facts[i]; f.inherited && (f.field == "from" || f.field == "to") {
				f.field = "" // of all days, below which each has a row of its own
			}
		}
	}
	if dr.kind == record.Reconciliation && len(moments) == 1 && !dr.has("from") && !dr.has("to") && dr.facts[moments[0]].printed {
		f := dr.facts[moments[0]]
		dr.facts[moments[0]].field = "from"
		f.field = "to"
		dr.facts = append(dr.facts, f)
		return
	}
	if len(moments) >= 2 && len(free) == 2 && !dr.has(free[0]) && !dr.has(free[1]) {
		a, b := &dr.facts[moments[0]], &dr.facts[moments[1]]
		a.field, b.field = free[1], free[0]
		if a.read.toks[0].line != b.read.toks[0].line && !a.read.toks[0].prose {
			a.guess = "no label says that this is the start"
			b.guess = "no label says that this is the end"
		}
		return
	}
	if side := map[string]string{"start": "started_at", "end": "ended_at"}[d.timesAre]; len(moments) == 1 && len(free) == 2 && free[1] == "started_at" && side != "" && !dr.has(side) {
		dr.facts[moments[0]].field = side
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

// listedSince takes a date without a time of day that stands above the records of a list for that from
// which they are listed, where a test has a time of its own: SINCE 1 MAY 2013.
func listedSince(dr *draft) {
	if dr.kind != record.TankTest && dr.kind != record.LineTest || !dr.has(fieldMoment) && !dr.has("ended_at") {
		return
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.field == "started_at" && f.inherited && !f.read.hasClock() && len(f.label) == 1 && (f.label[0].norm == "since" || f.label[0].norm == "from") {
			f.field = ""
		}
	}
}

// placeTimes puts the times into the record; a time of day without a date
// takes the record's other date, or the date of printing.
func (d *doc) placeTimes(b *built, dr *draft, printed string) {
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.read.hasTime() && f.field != fieldPeriod && f.field != fieldMoment && f.field != "" && !isHeader(f.field) {
			if _, ok := specs[dr.kind][f.field]; ok {
				b.reads[f.field] = f
			}
		}
	}
	date := ""
	for _, name := range []string{"started_at", "from", "first_pass_of_month", "at", "ended_at", "to", "last_pass_at"} {
		f := b.reads[name]
		if f == nil || !f.read.hasTime() || !f.read.hasDate() {
			continue
		}
		text, ok := d.timeText(f.read.moment())
		if !ok {
			b.doubts[name] = append(b.doubts[name], "no such day: "+textOf(f.read.toks)+"; the time of the record stays open")
			continue
		}
		b.time(name, text)
		if date == "" {
			date = text[:10]
		}
	}
	for i := range dr.facts {
		// TANK 2   07/14/99, below it START 10:41
		if f := &dr.facts[i]; date == "" && f.field == fieldMoment && f.read.hasDate() && !f.read.hasClock() {
			if text, ok := d.timeText(f.read.moment()); ok {
				date = text[:10]
			}
		}
	}
	for _, name := range []string{"started_at", "from", "first_pass_of_month", "at", "ended_at", "to", "last_pass_at"} {
		f := b.reads[name]
		if f == nil || !f.read.hasTime() || f.read.hasDate() {
			continue
		}
		day := date
		if day == "" && len(printed) >= 10 {
			day = printed[:10]
		}
		if day == "" {
			continue
		}
		b.time(name, d.clockOn(b, name, day, f.read.moment().Clock.String()))
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

// time puts a time into the record.
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

// orderWords says in words which part of a date comes first.
func orderWords(o value.Order) string {
	return map[value.Order]string{value.MDY: "month first", value.DMY: "day first", value.YMD: "year first"}[o]
}
