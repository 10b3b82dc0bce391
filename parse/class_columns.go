package parse

import (
	"math"
	"slices"

	"tankroll/record"
)

// classColumns reads a table of passes with a row for each line and a column for each test,
// below a label that says what stands in its cells:
//
//	LAST PASS
//	LINE   3.0 GPH         0.2 GPH         0.1 GPH
//	1      03/14/24 05:40  03/10/24 02:11  01/18/24 03:20
//
// Each cell is a pass of the line of its row and the test of its column.
func (d *doc) classColumns(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.LineSummary || i+2 >= len(lines) {
		return structure{}, false
	}
	spec, label, ok := d.passLabel(lines[i].toks)
	if !ok {
		return structure{}, false
	}
	heads, ok := d.classHeads(lines[i+1].toks)
	if !ok {
		return structure{}, false
	}
	s := structure{worth: float64(len(lines[i].toks)+len(lines[i+1].toks)) * freeWorth, lines: 2}
	for j := i + 2; j < len(lines); j++ {
		if lines[j].rule {
			continue
		}
		entries, ok := d.classRow(lines[j].toks, heads, spec)
		if !ok || lines[j].head {
			break
		}
		for n := range entries {
			facts := entries[n].facts
			last := &facts[len(facts)-1]
			entries[n].table, last.label, last.cost = i+1, lines[i].toks, label.cost
		}
		s.entries = append(s.entries, entries...)
		s.worth += float64(len(lines[j].toks)) + factWorth
		s.lines = j + 1 - i
	}
	return s, len(s.entries) > 0
}

// passLabel reads a line that is no more than the name of what summaries say of passes.
func (d *doc) passLabel(toks []token) (record.FieldSpec, name, bool) {
	if len(toks) == 0 || len(toks) > maxNameTokens {
		return record.FieldSpec{}, name{}, false
	}
	for _, n := range d.names(joined(toks)) {
		f, ok := d.field(record.LineSummary, n.bag)
		if ok && n.used == len(toks) && n.cost <= sureLabelCost && isPassField(f) {
			spec, known := specOf(record.LineSummary, f)
			n.used = len(toks)
			return spec, n, known
		}
	}
	return record.FieldSpec{}, name{}, false
}

// classHead is the heading of a column that names a test.
type classHead struct {
	l, r float64
	fact fact
}

// classHeads reads a heading whose cells name tests, behind those for the line and its
// product.
func (d *doc) classHeads(toks []token) ([]classHead, bool) {
	var out []classHead
	for _, c := range cells(toks) {
		r, ok := d.readClass(record.LineSummary, c, "")
		switch {
		case ok && r.used == len(c) && r.cost == 0:
			out = append(out, classHead{c[0].col, c[len(c)-1].end, fact{field: "test_rate", read: r, weak: true}})
		case len(out) > 0 || !d.isHeading(c):
			return nil, false
		}
	}
	for i := range out {
		for _, o := range out[:i] {
			if o.fact.read.class == out[i].fact.read.class {
				return nil, false
			}
		}
	}
	return out, len(out) >= 2 || len(out) == 1 && starts(toks, len(toks)-out[0].fact.read.used)
}

// classRow reads a row below such a heading.
func (d *doc) classRow(toks []token, heads []classHead, spec record.FieldSpec) ([]entry, bool) {
	at := slices.IndexFunc(toks, func(t token) bool { return t.col > heads[0].l-1.5 })
	if at <= 0 {
		return nil, false
	}
	own := toks[:at]
	var names []fact
	if r, ok := d.readIdent("line", own); ok {
		names = append(names, fact{field: "line", read: r, printed: true, under: true})
		if r.used < len(own) {
			p, ok := d.readField(record.LineSummary, specs[record.LineSummary]["product"], own[r.used:], "")
			if !ok || p.used != len(own)-r.used {
				return nil, false
			}
			names = append(names, fact{field: "product", read: p, printed: true, under: true})
		}
	} else if f, worth := d.scan(record.LineSummary, own); worth > 0 && hasField(f, "line") && d.complete(f, own) {
		names = f
	} else {
		return nil, false
	}
	var out []entry
	for _, c := range cells(toks[at:]) {
		if c[0].blank {
			continue
		}
		h := nearestHead(heads, c)
		r, ok := d.readField(record.LineSummary, spec, c, "")
		if !ok || r.used != len(c) || h < 0 {
			return nil, false
		}
		out = append(out, entry{row: true, facts: append(slices.Clone(names), heads[h].fact, fact{field: spec.Name, read: r, printed: true, under: true})})
	}
	return out, len(out) > 0
}

// nearestHead is the heading that a cell stands under, -1 for none or more than one.
func nearestHead(heads []classHead, cell []token) int {
	l, r := cell[0].col, cell[len(cell)-1].end
	found := -1
	for i, h := range heads {
		if math.Min(r, h.r)-math.Max(l, h.l) > 0 {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

// severalTests reports whether a line names more than one test.
func (d *doc) severalTests(toks []token) bool {
	first := ""
	for i := 0; i < len(toks); i++ {
		r, ok := d.readClass(record.LineSummary, toks[i:], "")
		if !ok || toks[i].number && r.num.Decimals == 0 && r.unitFrom != unitBeside {
			continue
		}
		if first != "" && r.class != first {
			return true
		}
		first = r.class
		i += r.used - 1
	}
	return false
}
