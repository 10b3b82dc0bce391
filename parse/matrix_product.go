package parse

import (
	"math"

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
	if len(heads) < 2 || i+1 >= len(lines) || lines[i+1].head || !d.productCells(lines[i+1].toks, heads) {
		return -1
	}
	return i + 1
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

// productCells reports whether a line holds a known product in the column of each head and
// nothing else. Every head must name a tank or line.
func (d *doc) productCells(toks []token, heads []matrixHead) bool {
	parts := cells(toks)
	if len(toks) == 0 || len(parts) != len(heads) {
		return false
	}
	for i, c := range parts {
		h := heads[i]
		if h.fact == nil || h.fact.field != "tank" && h.fact.field != "line" || math.Min(c[len(c)-1].end, h.r) <= math.Max(c[0].col, h.l) {
			return false
		}
		if _, cost, ok := d.grade(c); !ok || cost > 0 {
			return false
		}
	}
	return true
}

// withProducts gives each head the product of its column.
func (d *doc) withProducts(k record.Kind, heads []matrixHead, toks []token) []matrixHead {
	out := make([]matrixHead, len(heads))
	copy(out, heads)
	for i, c := range cells(toks) {
		if r, ok := d.readField(k, specs[k]["product"], c, ""); ok && r.used == len(c) {
			out[i].product = &fact{field: "product", read: r, printed: true, under: true}
		}
	}
	return out
}
