package parse

import (
	"slices"

	"tankroll/record"
)

// fieldHead reads a heading that names one field, with the rate of the test or not, over a
// row for each tank or line:
//
//	group = [ rate ] label newline row { row }      row = thing [ product ] value
//
// What several such groups say of the same things joinTables puts together.
func (d *doc) fieldHead(k record.Kind, lines []line, i int) (structure, bool) {
	own := ownName(k)
	head := lines[i].toks
	if own != "tank" && own != "line" || len(head) > maxNameTokens+2 {
		return structure{}, false
	}
	var class []fact
	rest := head
	if r, ok := d.readClass(k, head, ""); ok && head[0].number && r.used < len(head) {
		class, rest = []fact{{field: "test_rate", read: r, weak: true}}, head[r.used:]
	}
	for j := 2; j < len(head) && class == nil; j++ {
		if r, ok := d.readClass(k, head[j:], ""); ok && k == record.LineSummary && head[j].number && r.used == len(head)-j && r.num.Decimals > 0 {
			class, rest = []fact{{field: "test_rate", read: r, weak: true}}, slices.Clone(head[:j]) // LAST PASS, 0.2 GPH
			rest[j-1].stop = 0
		}
	}
	var spec record.FieldSpec
	var label name
	for _, n := range d.names(joined(rest)) {
		f, s, cost, ok := d.fieldOf(k, n.bag, n.unit)
		if ok && cost == 0 && n.used == len(rest) && n.cost <= sureLabelCost && f != own && !isHeader(f) && (s.Type == record.Number || s.Type == record.Time) {
			spec, label = s, n
		}
	}
	if spec.Name == "" {
		return structure{}, false
	}
	s := structure{worth: float64(len(head)) * wordWorth, lines: 1}
	for j := i + 1; j < len(lines); j++ {
		facts, ok := d.groupRow(k, own, spec, label, lines[j].toks)
		if lines[j].rule || lines[j].head || !ok {
			break
		}
		facts[len(facts)-1].label, facts[len(facts)-1].cost = rest, label.cost
		s.entries = append(s.entries, entry{facts: append(facts, class...), row: true, table: i + 1})
		s.worth += float64(len(lines[j].toks))*0.9 + factWorth
		s.lines++
	}
	return s, len(s.entries) > 1 || len(class) > 0 && len(s.entries) > 0
}

// joined are the tokens of a heading without the commas and marks in it: PASSES, LAST 24
// HOURS or TESTS: FIRST PASS.
func joined(toks []token) []token {
	if !slices.ContainsFunc(toks, func(t token) bool { return t.stop == ',' || t.delim == ':' }) {
		return toks
	}
	out := append([]token(nil), toks...)
	for i := range out {
		out[i].at = -1
		if out[i].stop == ',' {
			out[i].stop = 0
		}
		if i+1 < len(out) && out[i].delim == ':' {
			out[i].delim = 0
		}
	}
	return out
}

// groupRow reads a row below a heading for one field: the name of a thing in its first
// cells, the value in the last.
func (d *doc) groupRow(k record.Kind, own string, spec record.FieldSpec, label name, toks []token) ([]fact, bool) {
	all := cells(toks)
	if len(toks) == 2 && len(all) == 1 && plainDigits(toks[0].text, 1, 2) && toks[1].number {
		all = [][]token{toks[:1], toks[1:]} // 1 50.2
	}
	if len(all) < 2 {
		return nil, false
	}
	value := all[len(all)-1]
	for n := len(all) - 2; n > 0 && all[n][len(all[n])-1].stop == ';'; n-- {
		value = append(all[n][:len(all[n]):len(all[n])], value...) // 6TH SEP; 03:35 PM
	}
	r, ok := d.readField(k, spec, value, label.unit)
	if !ok || r.used != len(value) {
		return nil, false
	}
	facts, _ := d.scan(k, toks[:len(toks)-len(value)])
	if name := toks[0]; len(facts) == 0 && len(toks)-len(value) == 1 && plainDigits(name.text, 1, 2) {
		if r, ok := d.readIdent(own, toks[:1]); ok {
			facts = []fact{{field: own, read: r, weak: true}}
		}
	}
	if !hasField(facts, own) {
		return nil, false
	}
	for _, f := range facts {
		if f.field != own && f.field != "product" {
			return nil, false
		}
	}
	return append(facts, fact{field: spec.Name, read: r, printed: true}), true
}
