package parse

import (
	"tankroll/record"
)

// partHead reads a line that is a part of labels alone, whose rest stands below it with the
// values:
//
//	part head = label [ unit ] newline label value { label value newline }
//
//	VOLUME (GAL)                WATER
//	  GROSS ......... 5123        HEIGHT  1.2 IN
//	  WATER ........... 13        VOLUME  13 GAL
//
// The rows are set in below the heading, or the headings of the section are such all over.
func (d *doc) partHead(k record.Kind, lines []line, i int) (structure, bool) {
	head := lines[i].toks
	if k == record.Alarm || k == record.SensorStatus || k == record.LineSummary || len(head) > 5 || i+1 >= len(lines) || len(lines[i+1].toks) < 2 || lines[i+1].toks[0].col < head[0].col+0.9 {
		return structure{}, false
	}
	at, ok := d.headParts(k, head)
	if !ok {
		return structure{}, false
	}
	s := structure{lines: 1, worth: float64(len(head)) * wordWorth, entries: []entry{{}}}
	named := 0 // rows whose label and heading name a field together
	for j := i + 1; j < len(lines); j++ {
		l := lines[j]
		if l.rule || l.head || len(l.toks) < 2 || l.toks[0].col < head[0].col+0.9 {
			break
		}
		f, worth, more, ok := d.partRow(k, at, l.toks)
		if !ok || hasField(s.entries[0].facts, f.field) {
			return structure{}, false
		}
		if more {
			named++
		}
		s.entries[0].facts = append(s.entries[0].facts, f)
		s.worth += worth
		s.lines++
	}
	return s, named > 0 && (s.lines > 2 || at.unit != "" || s.entries[0].facts[0].read.unitFrom == unitBeside)
}

// headParts are the parts of labels that a heading is made of.
func (d *doc) headParts(k record.Kind, head []token) (name, bool) {
	t := labelTables()
	for _, n := range d.names(head) {
		if n.used != len(head) || n.bag == "" || n.cost > sureLabelCost {
			continue
		}
		for _, own := range []string{"tank", "line", "number", "product", "grade", "name"} {
			if n.bag == string(t.parts[own]) && own != "product" || t.has(n.bag, "tank") || t.has(n.bag, "line") {
				return name{}, false
			}
		}
		return n, true
	}
	return name{}, false
}

// partRow reads a row below a heading; more says that heading and label name its field
// together.
func (d *doc) partRow(k record.Kind, head name, toks []token) (f fact, worth float64, more, ok bool) {
	names := d.names(toks)
	for x := len(names) - 1; x >= 0; x-- {
		n := names[x]
		if n.bag == "" || n.used >= len(toks) || n.cost > sureLabelCost || !leadsRow(n, toks) && !toks[n.used].number {
			continue
		}
		unit := n.unit
		if unit == "" {
			unit = head.unit
		}
		both := n.bag
		for p := range head.bag {
			both = withPart(both, head.bag[p])
		}
		for i, bag := range []string{both, n.bag} {
			field, spec, cost, found := d.fieldOf(k, bag, unit)
			if !found || cost > 0 || isHeader(field) || spec.Type != record.Number && spec.Type != record.Time {
				continue
			}
			r, found := d.readLabelled(k, spec, bag, toks[n.used:], unit)
			if !found || r.used != len(toks)-n.used {
				continue
			}
			f = fact{field: field, read: r, label: toks[:n.used], cost: n.cost + head.cost, printed: true}
			worth = float64(n.used)*wordWorth + float64(r.used)*wordWorth + factWorth - (n.cost+r.cost)*misreadCost
			return f, worth, i == 0 && both != n.bag, true
		}
	}
	return fact{}, 0, false, false
}
