package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// startAndEnd reads a line of one label and two values, of the start and of the end:
//
//	VOLUME  1564 -> 2826 GAL
//	TIME    03/22/25 10:15   10:40
func (d *doc) startAndEnd(k record.Kind, toks []token) ([]fact, float64, bool) {
	if sideFields[k] == nil {
		return nil, 0, false
	}
	t := labelTables()
	for _, n := range d.names(toks) {
		if n.bag == "" || n.used >= len(toks) || n.cost > sureLabelCost || t.has(n.bag, "start") || t.has(n.bag, "end") {
			continue
		}
		if f, ok := d.field(k, n.bag); ok && f != fieldMoment {
			continue // it names a field by itself
		}
		var specs []record.FieldSpec
		for _, side := range []string{"start", "end"} {
			f, spec, cost, ok := d.fieldOf(k, withPart(n.bag, t.parts[side]), n.unit)
			if !ok || cost > 0 || isHeader(f) || spec.Type != record.Number && spec.Type != record.Time {
				break
			}
			specs = append(specs, spec)
		}
		if len(specs) < 2 || specs[0].Type != specs[1].Type || !hasDigit(toks[n.used].text) {
			continue
		}
		facts, ok := d.severalValues(k, specs, toks[n.used:], n.unit)
		if !ok {
			continue
		}
		first := facts[0].read
		if between := toks[n.used+min(first.used, len(toks)-n.used)-1]; between.delim == 0 && toks[len(toks)-1].at > 0 {
			for i := range facts {
				if specs[i].Type == record.Number && !d.arrowed(toks[n.used:]) {
					facts[i].guess = "two values stand behind one label; they are taken for the start and the end"
				}
			}
		}
		for i := range facts {
			facts[i].label, facts[i].cost = toks[:n.used], n.cost
		}
		return facts, float64(len(toks))*wordWorth + 2*factWorth - n.cost*misreadCost, true
	}
	return nil, 0, false
}

// arrowed reports whether an arrow or the word TO stands between two of the tokens.
func (d *doc) arrowed(toks []token) bool {
	for i, t := range toks {
		if i+1 < len(toks) && (t.delim != 0 || t.norm == "to") {
			return true
		}
	}
	return false
}

// amountsBehind reads a line of one label and several amounts, of which each has its unit:
//
//	FUEL: 5123 GAL, 45.2 IN, 61.2 F
func (d *doc) amountsBehind(k record.Kind, toks []token) ([]fact, float64, bool) {
	for _, n := range d.names(toks) {
		if n.bag == "" || n.unit != "" || n.used+3 >= len(toks) || n.cost > sureLabelCost {
			continue
		}
		var facts []fact
		at := n.used
		for at < len(toks) && toks[at].number {
			code, _, used := d.unitAfter(toks[at+1:])
			q := quantityOf(unitCodes[code])
			part := quantityPart[q]
			if used == 0 || part == "" {
				break
			}
			bag := withPart(n.bag, labelTables().parts[part])
			f, spec, cost, ok := d.fieldOf(k, bag, code)
			if !ok || cost > 0 || spec.Type != record.Number || spec.Quantity != q || hasField(facts, f) {
				break
			}
			r, ok := d.readField(k, spec, toks[at:], "")
			if !ok {
				break
			}
			facts = append(facts, fact{field: f, read: r, label: toks[:n.used], cost: n.cost, printed: true})
			if at += r.used; at < len(toks) && toks[at].text == "/" {
				at++
			}
		}
		if len(facts) > 1 && at == len(toks) {
			return facts, float64(len(toks))*wordWorth + float64(len(facts))*factWorth - n.cost*misreadCost, true
		}
	}
	return nil, 0, false
}

// pairsBehind reads a line that begins with a part of labels, which counts for all pairs
// behind it:
//
//	PRODUCT  HIGH 9500  LOW 500
//	WATER:   HEIGHT 0.5 IN, VOLUME 8 GAL
func (d *doc) pairsBehind(k record.Kind, toks []token) ([]fact, float64, bool) {
	if k == record.Alarm || k == record.SensorStatus || k == record.LineSummary {
		return nil, 0, false
	}
	for _, lead := range d.names(toks) {
		if lead.bag == "" || lead.used >= len(toks)-1 || lead.cost > sureLabelCost || toks[lead.used].number || toks[lead.used-1].delim == 0 && !starts(toks, lead.used) {
			continue
		}
		if t := labelTables(); t.has(lead.bag, "tank") || t.has(lead.bag, "line") || t.has(lead.bag, "number") {
			continue
		}
		var facts []fact
		at := lead.used
		both := 0
		for at < len(toks) {
			f, more, used := d.pairUnder(k, lead, toks[at:])
			if used == 0 || hasField(facts, f.field) {
				break
			}
			if more {
				both++
			}
			facts = append(facts, f)
			at += used
		}
		if at == len(toks) && both == len(facts) && both > 0 {
			return facts, float64(len(toks))*wordWorth + float64(len(facts))*factWorth, true
		}
	}
	return nil, 0, false
}

// pairUnder reads a label and its value at the beginning of tokens, whose parts go with those
// of a label before it.
func (d *doc) pairUnder(k record.Kind, lead name, toks []token) (f fact, both bool, used int) {
	end := 1
	for end < len(toks) && !toks[end].number && !hasDigit(toks[end].text) {
		end++
	}
	if end >= len(toks) {
		return fact{}, false, 0
	}
	for end < len(toks) {
		end++
		if end == len(toks) || toks[end-1].stop != 0 {
			break
		}
		if _, isPart, n := d.code(lexicon.Part, toks[end:]); n > 0 && isPart == 0 && !d.isUnit(toks[end]) && !toks[end].number {
			break
		}
	}
	f, both, ok := d.partRow(k, lead, toks[:end])
	if !ok {
		return fact{}, false, 0
	}
	return f, both, end
}

// partRow reads a label and its value, all of the tokens, whose label goes with the parts of
// lead; more says that it takes both to name its field.
func (d *doc) partRow(k record.Kind, lead name, toks []token) (f fact, more, ok bool) {
	names := d.names(toks)
	for x := len(names) - 1; x >= 0; x-- {
		n := names[x]
		if n.bag == "" || n.used >= len(toks) || n.cost > sureLabelCost || !leadsRow(n, toks) && !toks[n.used].number {
			continue
		}
		unit := n.unit
		if unit == "" {
			unit = lead.unit
		}
		both := withBag(n.bag, lead.bag)
		for i, bag := range []string{both, n.bag} {
			field, spec, cost, found := d.fieldOf(k, bag, unit)
			if !found || cost > 0 || isHeader(field) || spec.Type != record.Number && spec.Type != record.Time {
				continue
			}
			r, found := d.readLabelled(k, spec, bag, toks[n.used:], unit)
			if !found || r.used != len(toks)-n.used {
				continue
			}
			f = fact{field: field, read: r, label: toks[:n.used], cost: n.cost + lead.cost, printed: true}
			return f, i == 0 && both != n.bag, true
		}
	}
	return fact{}, false, false
}
