package query

import (
	"slices"

	"tankroll/record"
)

// settleMeasure decides which number is asked about, if any.
func (p *parser) settleMeasure() {
	q := &p.q
	if q.Kind == record.Alarm || q.Kind == record.SensorStatus || p.mentioned["sensor"] || q.Kind == "" && q.Place != "" && !p.test {
		p.noMeasure()
		return
	}
	if q.Count && q.Figure == Total && len(p.measures) == 0 && !p.howMuch { // how many in total
		q.Figure = ""
	}
	if p.howFull && (p.test || q.Kind == record.TankTest) && q.Measure == "" { // how full it was at its last test
		q.Measure = "percent_full"
	}
	extreme := q.Order == Highest || q.Order == Lowest
	p.soldGallons(extreme)
	for _, m := range p.measures {
		field := p.fitting(m.m.field)
		if q.Measure != "" || field == "" || m.m.field == "duration" && m.plain && !p.superl && q.Figure == "" {
			for j := m.i; j < m.i+m.n && q.Measure != field; j++ {
				p.lost = append(p.lost, j)
			}
			continue
		}
		q.Measure = field
	}
	if p.sized && q.Measure == "" && q.Kind == "" && !p.test {
		q.Kind, q.Measure = record.TankLimits, "capacity"
	}
	if q.Measure == "" && (extreme || len(p.boundAt) > 0 || q.Figure != "" || p.howMuch) {
		q.Measure = p.unnamed(extreme)
	}
	p.measureKind()
	switch bounded := len(p.boundAt) > 0; {
	case q.Measure == "" && bounded:
		q.Over, q.Under, q.AtLeast, q.AtMost = nil, nil, nil, nil
		p.lost = append(p.lost, p.boundAt...)
	case q.Measure != "" && !bounded && !extreme && !(p.everywhere && !p.howMuch) && q.Figure == "" && !p.plural && !p.manyOf && !p.all && !q.Count && p.per == "" && q.Missing == "" &&
		(p.howMuch || q.From == "" || q.From == q.To):
		p.superl = true                                                                          // what is the temperature: the newest one
		if has(p.w, "tanks") && q.Tank == "" && q.Per == "" && (q.Site != "" || q.Grade != "") { // of the tanks: the newest of each
			q.Per = "tank"
		}
	}
	if q.Measure == "" && extreme {
		q.Order = ""
		p.lost = append(p.lost, p.extremeAt)
	}
	if q.Measure == "" {
		q.Figure = ""
	}
}

// noMeasure gives the words of measures back: "high water" is an alarm's text.
func (p *parser) noMeasure() {
	for _, m := range p.measures {
		for j := m.i; j < m.i+m.n; j++ {
			p.pending = append(p.pending, j)
		}
	}
	if p.q.Order == Highest || p.q.Order == Lowest {
		p.q.Order = ""
		p.lost = append(p.lost, p.extremeAt)
	}
	p.lost = append(p.lost, p.boundAt...)
	p.q.Over, p.q.Under, p.q.AtLeast, p.q.AtMost, p.q.Figure = nil, nil, nil, nil, ""
	p.measures, p.boundAt = nil, nil
	slices.Sort(p.pending)
}

// fitting is the field of the kind asked for that a measure's name means, "" when
// the kind has none.
func (p *parser) fitting(field string) string {
	kind := p.q.Kind
	if kind == "" {
		return field
	}
	for _, f := range []string{field, likeFields[kind][field]} {
		if _, ok := record.Spec(kind, f); ok && f != "" {
			return f
		}
	}
	return ""
}

// likeFields are what the name of a number means for a kind that has no such
// field.
var likeFields = map[record.Kind]map[string]string{
	record.Delivery:       {"volume": "delivered", "temperature": "end_temperature"},
	record.TankLimits:     {"water_height": "high_water", "volume": "capacity"},
	record.TankTest:       {"volume": "end_volume"},
	record.Reconciliation: {"volume": "closing"},
}

// unnamed is the number meant when none was named.
func (p *parser) unnamed(extreme bool) string {
	q := &p.q
	for _, f := range []string{p.extremeField, p.boundField} {
		if f == "volume" && (p.test || q.Kind == record.TankTest) && f == p.extremeField { // the fullest at its test
			return "percent_full"
		}
		if f != "" {
			return p.fitting(f)
		}
	}
	if p.howMuch && q.Kind == "" && !extreme && q.Figure == "" && len(p.boundAt) == 0 {
		q.Kind, p.superl = record.Inventory, true
		p.assume("how much is taken to ask for inventory")
		return ""
	}
	switch q.Kind {
	case record.Delivery:
		return "delivered"
	case record.Inventory:
		if p.howMuch && !extreme {
			p.superl = true
			return ""
		}
		return "volume"
	case record.TankTest, record.LineTest:
		if !p.boundUnit || p.boundOf == record.Rate {
			return "leak_rate"
		}
	case record.Reconciliation:
		if !p.boundUnit || p.boundOf == record.Volume {
			return "over_short"
		}
	}
	if p.boundUnit {
		if f := ofUnit[p.boundOf]; f != "" {
			return p.fitting(f)
		}
	}
	switch {
	case p.test || q.Result != "" || q.TestClass != "":
		return "leak_rate"
	case extreme && slices.ContainsFunc(p.soft, func(i int) bool { return p.w[i] == "fuel" }), p.howMuch, q.Grade != "":
		return "volume"
	}
	return ""
}

// ofUnit is the number meant by its unit alone.
var ofUnit = map[record.Quantity]string{
	record.Volume: "volume", record.Temperature: "temperature", record.Rate: "leak_rate", record.Hours: "duration",
	record.Pressure: "pressure", record.Length: "height",
}

// measureKind takes the kind from the measure, and a sum for "how much was
// delivered".
func (p *parser) measureKind() {
	q := &p.q
	if p.howMuch && (q.Measure == "delivered" || q.Measure == "net_delivered" || q.Measure == "sold") && q.Order != Highest && q.Order != Lowest && !p.superl {
		q.Figure = Total
	}
	if q.Measure == "" {
		return
	}
	if q.Measure == "leak_rate" {
		p.assume("leak rates are compared by their size, loss and gain alike")
	}
	for _, m := range measures {
		if m.field != q.Measure || q.Kind != "" {
			continue
		}
		p.test = p.test || m.test
		if m.kind != "" && !(m.test || p.mentioned["line"] && m.kind == record.TankTest) {
			q.Kind = m.kind
		}
	}
}

// soldGallons reads "gallons of regular sold": of the two names the latter is meant,
// and its sum.
func (p *parser) soldGallons(extreme bool) {
	gallons := slices.IndexFunc(p.measures, func(m mention) bool { return m.m.field == "volume" && m.plain })
	if gallons < 0 {
		return
	}
	moved := slices.ContainsFunc(p.measures, func(m mention) bool { return has([]string{"sold", "delivered"}, m.m.field) })
	if moved || slices.ContainsFunc(p.measures, func(m mention) bool { return m.m.field == "over_short" }) {
		p.measures = slices.Delete(p.measures, gallons, gallons+1)
	}
	if (moved || p.q.Kind == record.Delivery && p.phrase == "delivered") && !extreme && !p.superl && len(p.boundAt) == 0 {
		p.howMuch = true
	}
}
