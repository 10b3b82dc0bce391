package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// fieldWhich says of the row above it which pass it is: the first of the month, the
// last or an earlier one. Its value is the field that the row's date then is.
const fieldWhich = "which"

// whichPass reads words that say no more than which pass of a line it is:
//
//	which = "first" [ "of" "month" ] | "last" | "earlier"
func (d *doc) whichPass(k record.Kind, toks []token) (fact, bool) {
	if k != record.LineSummary || len(toks) == 0 || len(toks) > maxPhraseWords {
		return fact{}, false
	}
	for _, n := range d.names(toks) {
		if n.used != len(toks) || n.cost > sureLabelCost {
			continue
		}
		switch f, _ := d.field(k, n.bag); f {
		case "first_pass_of_month", "last_pass_at", fieldMoment:
			return fact{field: fieldWhich, label: toks, cost: n.cost, read: reading{used: len(toks), toks: toks, value: f}}, true
		}
	}
	return fact{}, false
}

// passColumns names the columns of a list of passes that say no more than PASSED or
// the unit of a rate: the date of the pass and the rate that was tested for.
func (d *doc) passColumns(k record.Kind, cols []column) {
	if k != record.LineSummary || len(cols) < 3 {
		return
	}
	dated, named, counted, classed := false, false, false, false
	for _, c := range cols {
		counted = counted || c.field == "passes_24h"
		named = named || c.field == "first_pass_of_month" || c.field == "last_pass_at" || c.field == "passes_24h"
		dated = dated || c.field == fieldMoment
		classed = classed || c.field == "test_rate" || c.field == "test_class" || c.field == fieldType
	}
	for i := range cols {
		switch c := &cols[i]; {
		case counted && c.field == fieldMoment && len(c.toks) == 1 && c.toks[0].norm == "day":
			c.field, c.spec = "passes_since_midnight", specs[k]["passes_since_midnight"] // 24H beside DAY
		case c.field != "" || named && c.bag != "":
		case c.bag == bagOf("passes") && d.qualifier == "" && !dated:
			c.field, c.spec = fieldMoment, record.FieldSpec{Name: fieldMoment, Type: record.Time}
		case c.bag == "" && !classed && quantityOf(unitCodes[c.unit]) == record.Rate:
			c.field, c.spec = "test_class", specs[k]["test_class"]
		}
	}
}

// isPass gives the date without a label among facts the field that which says, and the
// time of day in a column of its own with it.
func isPass(facts []fact, which fact) bool {
	for i := range facts {
		f := &facts[i]
		if f.field != fieldMoment {
			continue
		}
		f.field, _ = which.read.value.(string)
		f.label, f.cost = append(f.label[:len(f.label):len(f.label)], which.label...), max(f.cost, which.cost)
		for k := range facts {
			if o := &facts[k]; o.field == fieldMoment {
				if m, ok := joinMoments(f.read, o.read); ok {
					f.read, o.field = m, ""
				}
			}
		}
		return true
	}
	return false
}

// groupLine reads a line of a table that says only which thing the rows below it
// are of, and its product.
func (d *doc) groupLine(k record.Kind, cols []column, l line) (structure, bool) {
	own := ownName(k)
	facts, worth := d.scan(k, l.toks)
	if worth <= 0 || own == "device" || !hasField(facts, own) || !d.complete(facts, l.toks) {
		return structure{}, false
	}
	for _, f := range facts {
		if f.field != own && f.field != "product" || f.field == own && f.weak {
			return structure{}, false
		}
	}
	for _, c := range cols {
		if c.field == own {
			return structure{worth: worth, lines: 1, entries: []entry{{facts: facts}}}, true
		}
	}
	return structure{}, false
}

// thingLine reads a line among the rows of a table of passes or of tests that names the
// line or tank which the rows below it are of, where no column does.
func (d *doc) thingLine(k record.Kind, sets [][]column, lines []line, i int) (structure, bool) {
	tests := k == record.TankTest || k == record.LineTest
	if k != record.LineSummary && !tests || i+1 >= len(lines) || slices.ContainsFunc(sets[0], func(c column) bool { return c.field == ownName(k) }) {
		return structure{}, false
	}
	facts, worth := d.scan(k, lines[i].toks)
	if worth <= 0 || len(facts) == 0 || facts[0].field != ownName(k) || len(facts[0].label) == 0 && facts[0].weak || !d.complete(facts, lines[i].toks) {
		return structure{}, false
	}
	for _, f := range facts[1:] {
		if f.field != "product" {
			return structure{}, false
		}
	}
	j := skipRules(lines, i+1)
	if j >= len(lines) {
		return structure{}, false
	}
	row, _, used := d.oneRow(k, sets, lines, j)
	return structure{worth: worth, lines: 1, entries: []entry{{facts: facts}}}, used > 0 && (hasClass(row) && !tests || tests && wholeTest(row))
}

// samePasses puts the drafts of summaries that are of one line and one rate
// together, where a row of a table said each pass by itself.
func samePasses(drafts []*draft) []*draft {
	type key struct{ line, class any }
	var out []*draft
	seen := map[key]*draft{}
	for _, dr := range drafts {
		var k key
		for _, f := range dr.facts {
			switch {
			case f.field == "line":
				k.line = f.read.value
			case f.read.class != "":
				k.class = f.read.class
			}
		}
		first := seen[k]
		if first == nil || k.line == nil || !first.takes(dr) {
			if k.line != nil {
				seen[k] = dr
			}
			out = append(out, dr)
		}
	}
	return out
}

// takes adds another draft of the same line and rate, unless the two say two things
// of one field.
func (dr *draft) takes(o *draft) bool {
	for _, f := range o.facts {
		if f.field != "" && f.field != fieldNone && f.field != fieldMoment && f.field != "line" && f.field != "product" && f.field != "result" && f.read.class == "" && dr.has(f.field) {
			return false
		}
	}
	for _, f := range o.facts {
		if f.field == fieldMoment || !dr.has(f.field) && f.read.class == "" {
			dr.facts = append(dr.facts, f)
		} else {
			dr.again = append(dr.again, f)
		}
	}
	dr.muddy = dr.muddy || o.muddy
	dr.split = dr.split || o.split
	if dr.doubt == "" {
		dr.doubt = o.doubt
	}
	return true
}

// classIn adds the rate that the label of a count or pass speaks of, as in HOURLY TESTS
// PASSED.
func (d *doc) classIn(k record.Kind, f fact, facts []fact) []fact {
	if k != record.LineSummary || f.read.class != "" {
		return facts
	}
	for i, t := range f.label {
		if i+1 >= len(f.label) || t.norm == "month" || t.number {
			continue
		}
		code, cost, ok := d.whole(lexicon.TestClass, f.label[i:i+1])
		if next, k, is := d.whole(lexicon.Part, f.label[i+1:i+2]); ok && cost == 0 && is && k == 0 && (next == "test" || next == "passes") {
			r := reading{used: 1, toks: f.label[i : i+1], value: code, class: code}
			return append([]fact{{field: "test_class", read: r, weak: true}}, facts...)
		}
	}
	return facts
}
