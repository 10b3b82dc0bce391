package parse

import (
	"math"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// The heads of a matrix may stand on two lines, one of them for the products:
//
//	             T1      T2      T3
//	         REGULAR PREMIUM  DIESEL
//	CAPACITY   20000   30000   30000

// productsBelow is the line below the heads of a matrix that holds the product of each,
// -1 for none.
func (d *doc) productsBelow(lines []line, i int, heads []matrixHead) int {
	if len(heads) < 2 || i+1 >= len(lines) || lines[i+1].head || !d.productCells(lines[i+1].toks, heads) && !d.strangeProducts(lines, i+1, heads) {
		return -1
	}
	return i + 1
}

// strangeProducts reports whether a line holds a word without any meaning in the column of each head,
// over a row of a label and a figure for each: short forms of products that no other slip has.
//
//	          TANK1   TANK2
//	            PMS     AGO
//	OPEN      20114   11873
func (d *doc) strangeProducts(lines []line, i int, heads []matrixHead) bool {
	if i+1 >= len(lines) || len(lines[i].toks) != len(heads) || hasFigures(lines[i].toks) || cellCount(lines[i].toks) != len(heads) {
		return false
	}
	parts := byHeads(lines[i].toks, heads)
	if len(parts) != len(heads) {
		return false
	}
	for n, c := range parts {
		h := heads[n]
		if h.fact == nil || h.fact.field != "tank" && h.fact.field != "line" || len(c) != 1 || !onlyWords(c) || !d.meansNothing(c) || math.Min(c[0].end, h.r) <= math.Max(c[0].col, h.l) {
			return false
		}
	}
	below := cells(lines[i+1].toks)
	return len(below) == len(heads)+1 && !hasFigures(below[0]) && !slices.ContainsFunc(below[1:], func(c []token) bool { return !c[0].number && !c[0].blank })
}

// productsAbove is matrix for a line of products above the heads.
func (d *doc) productsAbove(k record.Kind, lines []line, i int) (structure, bool) {
	if i+2 >= len(lines) || lines[i].head || lines[i+1].head || cellCount(lines[i].toks) < 2 || !d.rowBelow(k, lines, i+1) {
		return structure{}, false
	}
	heads, n := d.matrixHead(k, lines[i+1].toks)
	if n < 2 || !d.productCells(lines[i].toks, heads) {
		return structure{}, false
	}
	s, ok := d.matrixUnder(k, lines, i+1, d.withProducts(k, heads, lines[i].toks), n)
	s.lines++
	s.worth += float64(len(lines[i].toks)) * freeWorth
	return s, ok
}

// productCells reports whether a line holds a product in the column of each head and
// nothing else: one that is known, or beside such words that are nothing else. Every head
// must name a tank or line.
func (d *doc) productCells(toks []token, heads []matrixHead) bool {
	parts := byHeads(toks, heads)
	if len(toks) == 0 || len(parts) != len(heads) {
		return false
	}
	known := 0
	for i, c := range parts {
		h := heads[i]
		if h.fact == nil && heads[0].fact == nil || h.fact != nil && h.fact.field != "tank" && h.fact.field != "line" || math.Min(c[len(c)-1].end, h.r) <= math.Max(c[0].col, h.l) {
			return false
		}
		if _, cost, ok := d.grade(c); ok && cost == 0 {
			known++
		} else if !ok && !d.endsInGrade(c) && !d.meansNothing(c) {
			return false
		}
	}
	return known > 0
}

// meansNothing reports whether a cell holds words that the trade has no other meaning for, as
// the name of a product may be.
func (d *doc) meansNothing(c []token) bool {
	const longest = 3 // words
	return len(c) <= longest && !c[0].number && !slices.ContainsFunc(c, func(t token) bool {
		return t.blank || t.delim != 0 || !strings.ContainsAny(t.text, letters) || d.spelt(t, lexicon.Part) || d.spelt(t, lexicon.Result) || d.spelt(t, lexicon.Unit) || d.spelt(t, lexicon.Device) || d.spelt(t, lexicon.SensorState) || d.spelt(t, lexicon.AlarmState)
	})
}

// numberHeads reads the heads of columns that are numbers behind the word for what they name:
// TANK   1   2   3.
func (d *doc) numberHeads(k record.Kind, toks []token) []matrixHead {
	own := ownName(k)
	if own != "tank" && own != "line" || cellCount(toks) < 3 || !plainDigits(toks[len(toks)-1].text, 1, 2) {
		return nil
	}
	all := cells(toks)
	if bag, _, cost := d.bag(all[0]); cost > 0 || bag != bagOf(own) {
		return nil
	}
	var out []matrixHead
	for _, c := range all[1:] {
		r, ok := d.readIdent(own, c)
		if !ok || len(c) != 1 || r.fixed > 0 {
			return nil
		}
		out = append(out, matrixHead{l: c[0].col, r: c[0].end, fact: &fact{field: own, read: r, label: all[0], printed: true, under: true}})
	}
	return out
}

// bareHeads reads heads of columns without a word for what they name, over labels that begin
// further left: the numbers of tanks or lines, their products, or both.
//
//	            1        4              PRODUCT   REGULAR   DIESEL
//	CAPACITY    20000    30000          CAPACITY    20000    30000
func (d *doc) bareHeads(k record.Kind, lines []line, i int) []matrixHead {
	own := ownName(k)
	toks := lines[i].toks
	if own != "tank" && own != "line" || i+2 >= len(lines) || len(lines[i+1].toks) == 0 || cellCount(toks) < 2 {
		return nil
	}
	if last := toks[len(toks)-1]; !hasDigit(last.text) && !d.spelt(last, lexicon.Grade) || toks[0].col < wideGap && !d.spelt(toks[0], lexicon.Part) {
		return nil
	}
	all := cells(toks)
	if bag, _, cost := d.bag(all[0]); cost == 0 && (bag == bagOf("product") || bag == bagOf("grade") || bag == bagOf("product", "grade")) && len(all) > 2 {
		all = all[1:]
	}
	at := i + 1
	if d.productLine(lines[at].toks, len(all)) {
		at++
	}
	if _, ok := d.classHead(k, lines[at].toks); ok && at+1 < len(lines) {
		at++
	}
	below := lines[at].toks
	if len(below) == 0 || below[0].number && k != record.LineSummary || below[0].col > all[0][0].col-wideGap {
		return nil
	}
	var out []matrixHead
	seen := map[any]bool{}
	for _, c := range all {
		h := matrixHead{l: c[0].col, r: c[len(c)-1].end}
		number, marked := markedNumber(c[0], own)
		_, cost, known := d.grade(c)
		switch {
		case len(c) == 1 && (marked || plainDigits(c[0].text, 1, 2)):
			_, name, _, ok := splitIdent(number)
			if !ok || seen[name] {
				return nil
			}
			seen[name] = true
			h.fact = &fact{field: own, read: reading{used: 1, toks: c, value: name}, weak: true, under: true}
		case known && cost == 0:
			r, ok := d.readField(k, specs[k]["product"], c, "")
			if !ok || r.used != len(c) || seen[r.value] {
				return nil
			}
			seen[r.value] = true
			h.product = &fact{field: "product", read: r, weak: true, under: true}
		default:
			return nil
		}
		if len(out) > 0 && (out[0].fact == nil) != (h.fact == nil) {
			return nil
		}
		out = append(out, h)
	}
	if i > 0 {
		if heads, n := d.matrixHead(k, lines[i-1].toks); n == len(all) && heads[0].fact != nil {
			return nil // what these are of stands above them
		}
	}
	return out
}

// productLine reports whether a line holds so many known products and nothing else.
func (d *doc) productLine(toks []token, n int) bool {
	parts := cells(toks)
	if len(parts) != n {
		return false
	}
	for _, c := range parts {
		if _, cost, ok := d.grade(c); !ok || cost > 0 {
			return false
		}
	}
	return true
}

// productsGoOn reads a line below the products that holds the second word of some of them:
//
//	SUPER   SUPER  DIESEL
//	         PLUS
func (d *doc) productsGoOn(lines []line, i int, heads []matrixHead) ([]matrixHead, bool) {
	if i >= len(lines) || lines[i].rule || lines[i].head || len(lines[i].toks) == 0 {
		return nil, false
	}
	if _, ok := d.unitOfRows(lines[i].toks); ok {
		return nil, false
	}
	parts := cells(lines[i].toks)
	if len(parts) > len(heads) {
		return nil, false
	}
	out := slices.Clone(heads)
	for _, c := range parts {
		n := slices.IndexFunc(out, func(h matrixHead) bool {
			if h.product == nil {
				return false
			}
			p := h.product.read.toks
			return math.Min(c[len(c)-1].end, math.Max(h.r, p[len(p)-1].end)) > math.Max(c[0].col, math.Min(h.l, p[0].col))
		})
		if n < 0 || hasFigures(c) {
			return nil, false
		}
		p := *out[n].product
		p.read.toks = append(p.read.toks[:len(p.read.toks):len(p.read.toks)], c...)
		if _, cost, ok := d.grade(p.read.toks); !ok || cost > 0 {
			return nil, false
		}
		p.read.value, p.read.used = textOf(p.read.toks), len(p.read.toks)
		out[n].product = &p
	}
	return out, true
}

// withProducts gives each head the product of its column.
func (d *doc) withProducts(k record.Kind, heads []matrixHead, toks []token) []matrixHead {
	out := make([]matrixHead, len(heads))
	copy(out, heads)
	for i, c := range byHeads(toks, heads) {
		if r, ok := d.readField(k, specs[k]["product"], c, ""); ok && r.used == len(c) {
			out[i].product = &fact{field: "product", read: r, printed: true, under: true}
		}
	}
	return out
}
