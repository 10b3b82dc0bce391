package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// classMatrix reads passes of a line in a column for each test, with what they are at the
// left:
//
//	head = [ word ] rate rate { rate }
//	row  = label { value }                  each under its rate; cells may be empty
//
//	GPH     3.0             0.2             0.1
//	24 H    22
//	FIRST                   03/02/24 01:12
//	LAST    03/14/24 06:41  03/13/24 02:05  01/18/24 03:20
func (d *doc) classMatrix(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.LineSummary || i+1 >= len(lines) {
		return structure{}, false
	}
	heads, ok := d.classMatrixHead(lines[i].toks)
	if !ok {
		return structure{}, false
	}
	facts := make([][]fact, len(heads))
	s := structure{worth: float64(len(lines[i].toks)) * freeWorth}
	rows := 0
	for j := i + 1; j < len(lines); j++ {
		if lines[j].rule {
			continue
		}
		if lines[j].head || len(lines[j].toks) == 0 {
			break
		}
		if !d.classMatrixRow(lines[j].toks, heads, facts) {
			if _, _, n := d.code(lexicon.Part, lines[j].toks); n > 0 && d.namesPass(lines[j].toks[:n]) && cellCount(lines[j].toks) > 2 {
				return structure{}, false // a row that was not understood
			}
			break
		}
		rows++
		s.worth += float64(len(lines[j].toks)) + factWorth
		s.lines = j + 1 - i
	}
	for n, h := range heads {
		if len(facts[n]) > 0 {
			s.entries = append(s.entries, entry{facts: append([]fact{h.fact}, facts[n]...)})
		}
	}
	return s, rows > 0
}

// classMatrixHead reads the tests over the columns, behind a word for the labels or the unit
// of the rates.
func (d *doc) classMatrixHead(toks []token) ([]classHead, bool) {
	if cellCount(toks) < 2 {
		return nil, false
	}
	all := cells(toks)
	var out []classHead
	for n, c := range all {
		f, used := d.passClass(c, 0)
		if used == 0 || used < len(c) && !d.onlyTests(c[used:]) {
			if n > 0 || !d.isHeading(c) {
				return nil, false
			}
			continue
		}
		for _, o := range out {
			if o.fact.read.class == f.read.class {
				return nil, false
			}
		}
		out = append(out, classHead{c[0].col, c[len(c)-1].end, f})
	}
	return out, len(out) >= 2
}

// onlyTests reports whether words say no more than test or passes.
func (d *doc) onlyTests(toks []token) bool {
	bag, _, cost := d.bag(toks)
	bag = withoutPart(withoutPart(bag, labelTables().parts["test"]), labelTables().parts["passes"])
	return bag == "" && cost == 0
}

// classMatrixRow adds what a row says to the facts of each column; false when it is no row.
func (d *doc) classMatrixRow(toks []token, heads []classHead, facts [][]fact) bool {
	for at := 1; at < len(toks) && at <= maxNameTokens; at++ {
		if values, ok := d.passValues(toks[at:]); ok && d.classMatrixValues(toks[:at], values, heads, facts) {
			return true
		}
	}
	return false
}

// classMatrixValues adds the values of a row with its label to the facts of their columns.
func (d *doc) classMatrixValues(label []token, values []passValue, heads []classHead, facts [][]fact) bool {
	found := make([]fact, 0, len(values))
	cols := make([]int, 0, len(values))
	for _, v := range values {
		n := headOver(heads, v)
		if n < 0 || v.none || slices.Contains(cols, n) {
			return false
		}
		c := passColumn{toks: label, dated: v.dated, pair: len(v.reads) == 2}
		reads := v.reads
		if !d.passFields(&c) && v.date != nil {
			c.pair, c.dated, reads = false, true, []reading{*v.date}
		}
		if !d.passFields(&c) {
			return false
		}
		for m, r := range reads {
			if hasField(facts[n], c.fields[m]) {
				return false
			}
			found, cols = append(found, fact{field: c.fields[m], read: r, label: label, cost: c.cost, printed: true, under: true}), append(cols, n)
		}
	}
	for m, f := range found {
		facts[cols[m]] = append(facts[cols[m]], f)
	}
	return true
}

// headOver is the test that a value stands under: the one that it reaches below, or whose
// beginning or end is in line with its own; -1 for none.
func headOver(heads []classHead, v passValue) int {
	found := -1
	for n, h := range heads {
		if math.Min(v.r, h.r)-math.Max(v.l, h.l) > 0 || math.Abs(v.l-h.l) < alignSlack || math.Abs(v.r-h.r) < alignSlack {
			if found >= 0 {
				return -1
			}
			found = n
		}
	}
	return found
}

// strokeClass reads a heading that names a count and its test with a stroke between:
// 24H/3.0, 3.0/DAY. It gives the words for the count.
func (d *doc) strokeClass(t token) (fact, []token, bool) {
	halves := strokeHalves(t)
	if len(halves) != 2 {
		return fact{}, nil, false
	}
	for n, h := range halves {
		v := strings.TrimLeft(h.text, "0")
		if !strings.ContainsAny(v, ".,") || !hasDigit(v) {
			continue
		}
		if f, used := d.passClass([]token{h}, 0); used == 1 {
			f.read.toks = []token{t}
			return f, halves[1-n : 2-n], true
		}
	}
	return fact{}, nil, false
}
