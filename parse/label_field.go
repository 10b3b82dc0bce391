package parse

import "tankroll/record"

// fieldOf finds what a label names whose unit may say more than its words:
// WATER, L is the volume of the water, START, C its temperature. The spec says
// what the value must be. A word too many in a label is passed over at a price
// when the others name one field only.
func (d *doc) fieldOf(k record.Kind, bag, unit string) (field string, spec record.FieldSpec, cost float64, ok bool) {
	for _, a := range d.fields[bag] {
		if a.kind == k && a.unit == unit && a.qualifier == d.qualifier {
			spec, _ = specOf(k, a.field)
			return a.field, spec, a.cost, a.ok
		}
	}
	field, spec, cost, ok = d.fieldOfAnew(k, bag, unit)
	d.fields[bag] = append(d.fields[bag], fieldAnswer{k, unit, d.qualifier, field, cost, ok})
	return field, spec, cost, ok
}

// fieldAnswer is what a set of parts names in a kind, with a unit and below a heading.
type fieldAnswer struct {
	kind            record.Kind
	unit, qualifier string

	field string
	cost  float64
	ok    bool
}

// fieldOfAnew is fieldOf without a memory.
func (d *doc) fieldOfAnew(k record.Kind, bag, unit string) (field string, spec record.FieldSpec, cost float64, ok bool) {
	q := quantityOf(unitCodes[unit])
	fits := func(b string) bool {
		f, found := d.field(k, b)
		s, known := specOf(k, f)
		if !found || !known || q != record.Plain && (s.Type != record.Number || s.Quantity != q) {
			return false
		}
		field, spec = f, s
		return true
	}
	part := quantityPart[q]
	if unit == "percent" {
		part = unit
	}
	switch {
	case bag == "":
		return "", spec, 0, false
	case fits(bag):
		return field, spec, 0, true
	case part != "" && fits(withPart(bag, labelTables().parts[part])):
		return field, spec, 0, true
	}
	if f, found := d.field(k, bag); found {
		if s, known := specOf(k, f); known && (s.Type != record.Number || s.Quantity == record.Plain) {
			return f, s, 0, true
		}
		return "", spec, 0, false
	}
	only, several := "", false
	var of record.FieldSpec
	for i := range bag {
		less := bag[:i] + bag[i+1:]
		if less != "" && (fits(less) || part != "" && fits(withPart(less, labelTables().parts[part]))) {
			several = several || only != "" && only != field
			only, of = field, spec
		}
	}
	if only == "" || several || isHeader(only) || k == record.Alarm && only == "at" {
		return "", spec, 0, false // CARD FULL SINCE: what an alarm says stands before its time
	}
	return only, of, wordTooMany, true
}
