package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// fewest and most labels that stand before as many values.
const (
	fewestLabels = 2
	mostLabels   = 4
)

// several tries a line as several values behind one label, or as several labels before
// their values.
func (d *doc) several(k record.Kind, toks []token, try func(structure)) {
	figures := 0
	for i := range toks {
		if hasDigit(toks[i].text) {
			figures++
			if strings.Contains(toks[i].text, "/") {
				figures++
			}
		}
	}
	if figures == 0 || hasDigit(toks[0].text) || figures < 2 && toks[len(toks)-1].col < wideGap {
		return
	}
	for n, read := range []func(record.Kind, []token) ([]fact, float64, bool){d.pairsBehind, d.severalLabels, d.startAndEnd, d.amountsBehind} {
		if n > 0 && figures < 2 {
			return
		}
		if facts, worth, ok := read(k, toks); ok {
			try(structure{worth, 1, []entry{{facts: facts}}})
		}
	}
}

// severalLabels reads a line of several labels and then the value of each:
//
//	several = label { mark label } value { mark value }      mark = "/" | "," | "&"
//
//	VOLUME/NET   5123/5110 GAL         START/END VOLUME  1564 / 2826
//	LEVEL, WATER   45.2   0.5 IN
//
// Words that stand in the first or the last label alone count for the others.
func (d *doc) severalLabels(k record.Kind, toks []token) ([]fact, float64, bool) {
	n := 0
	for n < len(toks) && !hasDigit(toks[n].text) && toks[n].delim == 0 && n <= maxNameTokens {
		n++
	}
	if n < len(toks) && toks[n].delim != 0 && !hasDigit(toks[n].text) {
		n++
	}
	if !slices.ContainsFunc(toks[:n], func(t token) bool {
		return t.stop == ',' || t.norm == "&" || t.norm == "+" || strings.Contains(t.text, "/")
	}) {
		return nil, 0, false
	}
	if n == 0 || n >= len(toks) || k == record.LineSummary || k == record.Alarm || k == record.SensorStatus {
		return nil, 0, false
	}
	labels, unit := d.labelsApart(toks[:n])
	if len(labels) < fewestLabels || len(labels) > mostLabels {
		return nil, 0, false
	}
	bags := make([]string, len(labels))
	for i, l := range labels {
		bag, u, cost := d.bag(l)
		if bag == "" || cost > sureLabelCost {
			return nil, 0, false
		}
		if bags[i] = bag; u != "" {
			unit = u
		}
	}
	first, last := labels[0], labels[len(labels)-1]
	shared := ""
	for _, words := range [][]token{first[:len(first)-1], last[1:]} {
		if len(words) > 0 {
			bag, _, _ := d.bag(words)
			shared = withBag(shared, bag)
		}
	}
	for _, time := range []bool{false, true} {
		specs, ok := d.severalFields(k, bags, shared, time)
		if !ok {
			continue
		}
		if facts, ok := d.severalValues(k, specs, toks[n:], unit); ok {
			for i := range facts {
				facts[i].label = toks[:n]
			}
			return facts, float64(len(toks))*wordWorth + float64(len(facts))*factWorth, true
		}
	}
	return nil, 0, false
}

// labelsApart cuts the words of several labels at the marks between them, and takes the unit
// off that stands behind the last.
func (d *doc) labelsApart(toks []token) (labels [][]token, unit string) {
	var cur []token
	end := func() {
		if len(cur) > 0 {
			labels = append(labels, cur)
		}
		cur = nil
	}
	for _, t := range toks {
		if t.text == "/" || t.norm == "&" || t.norm == "+" {
			end()
			continue
		}
		at := t.col
		for i, half := range strings.Split(t.text, "/") {
			if i > 0 {
				end()
			}
			if half == "" {
				continue
			}
			h := t
			if half != t.text {
				h.at, h.col, h.end = -1, at, at+float64(len(half))
				h.text, h.norm = half, strings.ToLower(half)
			}
			at += float64(len(half) + 1)
			cur = append(cur, h)
		}
		if t.stop == ',' {
			end()
		}
	}
	end()
	for i := range labels {
		for j := range labels[i] {
			labels[i][j].stop, labels[i][j].delim = 0, 0
			labels[i][j].at = -1
		}
	}
	return labels, unit
}

// severalFields finds the field of each of several labels: numbers, or times.
func (d *doc) severalFields(k record.Kind, bags []string, shared string, time bool) ([]record.FieldSpec, bool) {
	out := make([]record.FieldSpec, 0, len(bags))
	for _, bag := range bags {
		with := withBag(bag, shared)
		found := false
		for _, b := range []string{with, bag} {
			f, ok := d.field(k, b)
			spec, known := specOf(k, f)
			if found || !ok || !known || isHeader(f) || (spec.Type == record.Time) != time || spec.Type != record.Number && spec.Type != record.Time {
				continue
			}
			if slices.ContainsFunc(out, func(o record.FieldSpec) bool { return o.Name == spec.Name }) {
				continue
			}
			out, found = append(out, spec), true
		}
		if !found {
			return nil, false
		}
	}
	return out, true
}

// severalValues reads as many values as there are fields, all that stands in the tokens.
func (d *doc) severalValues(k record.Kind, specs []record.FieldSpec, toks []token, unit string) ([]fact, bool) {
	if specs[0].Type == record.Number {
		toks = numbersApart(toks)
	}
	var out []fact
	for i, spec := range specs {
		if i > 0 && len(toks) > 0 && (toks[0].text == "/" || toks[0].text == "-" || toks[0].norm == "to") {
			toks = toks[1:]
		}
		r, ok := d.readField(k, spec, toks, unit)
		if !ok && unit != "" {
			r, ok = d.readField(k, spec, toks, "")
		}
		if !ok {
			return nil, false
		}
		out = append(out, fact{field: spec.Name, read: r, printed: true})
		toks = toks[r.used:]
	}
	if len(toks) > 0 {
		return nil, false
	}
	for i := range out { // 5123/5110 GAL
		for _, o := range out[i+1:] {
			if out[i].read.unit == "" && o.read.unit != "" && specs[i].Quantity == quantityOf(o.read.unit) {
				out[i].read.unit, out[i].read.unitFrom = o.read.unit, o.read.unitFrom
			}
		}
	}
	return out, true
}

// numbersApart cuts figures at the strokes between them: 5123/5110.
func numbersApart(toks []token) []token {
	if !slices.ContainsFunc(toks, func(t token) bool { return strings.Contains(t.text, "/") && t.text != "/" && hasDigit(t.text) }) {
		return toks
	}
	var out []token
	for _, t := range toks {
		if t.text == "/" || !figuresOnly(t.text) || !strings.Contains(t.text, "/") {
			out = append(out, t)
			continue
		}
		at := t.col
		halves := strings.Split(t.text, "/")
		for i, half := range halves {
			h := t
			h.text, h.norm, h.number = half, half, true
			h.col, h.end = at, at+float64(len(half))
			if i+1 < len(halves) {
				h.stop = 0
			}
			at += float64(len(half) + 1)
			out = append(out, h)
		}
	}
	return out
}
