package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// fillColumns reports whether the cells of a row fill the columns of a matrix so that one
// space parts them: as many figures as there are columns, each below the head of its own.
//
//	TANK NO.       1     2     3
//	CAPACITY L 20000 10000 20000
func fillColumns(toks []token, heads []matrixHead, bounds []bound) bool {
	at := bounds
	if len(at) == 0 {
		for _, h := range heads {
			at = append(at, bound{h.l, h.r})
		}
	}
	if len(at) < 2 || len(toks) != len(at) {
		return false
	}
	for i, t := range toks {
		if !t.number && !t.blank || math.Min(t.end, at[i].r) <= math.Max(t.col, at[i].l) {
			return false
		}
	}
	return true
}

// brokenLabel reads a row of a matrix whose label began on the line above, which holds no
// more than that:
//
//	SUDDEN
//	  LOSS L   150   100   150
func (d *doc) brokenLabel(k record.Kind, lines []line, j int, heads []matrixHead, bounds []bound) (matrixRow, bool) {
	const most = 2 // words that begin a label
	if j+1 >= len(lines) || len(lines[j].toks) == 0 || len(lines[j].toks) > most || lines[j+1].gap || hasFigures(lines[j].toks) || len(lines[j+1].toks) < fewestInRow {
		return matrixRow{}, false
	}
	both := slices.Concat(lines[j].toks, lines[j+1].toks)
	both[len(lines[j].toks)].gap = 1
	for i := range lines[j].toks {
		both[i].line = lines[j+1].toks[0].line // one line, as it is read
	}
	r, ok := d.matrixRow(k, both, heads, bounds)
	return r, ok && len(r.label) > len(lines[j].toks)
}

// unitOfRows reads a line of a matrix that says only in which unit the rows set in below it
// are: VOLUMES, L.
func (d *doc) unitOfRows(toks []token) (name, bool) {
	n := len(toks) - 1
	if n < 1 || starts(toks, n) || toks[n-1].delim != 0 {
		return name{}, false
	}
	code, cost, ok := d.whole(lexicon.Unit, toks[n:])
	if !ok || cost > 0 || toks[n-1].stop != ',' && !toks[n].paren && toks[n-1].norm != "in" {
		return name{}, false
	}
	return name{used: len(toks), unit: code}, true
}

// byHeads cuts a line into cells, one for each head of a matrix. Where fewer gaps than that
// are wide, each word goes to the head that it stands over or under:
//
//	Tank 1  Tank 2  Tank 3
//	REGULAR REGULAR PREMIUM
func byHeads(toks []token, heads []matrixHead) [][]token {
	parts := cells(toks)
	if len(parts) >= len(heads) || len(heads) < 2 || len(toks) < len(heads) {
		return parts
	}
	var out [][]token
	from, at := 0, 0
	for i, t := range toks {
		best, most := -1, 0.0
		for h := range heads {
			if o := math.Min(t.end, heads[h].r) - math.Max(t.col, heads[h].l); o > most {
				best, most = h, o
			}
		}
		switch {
		case best == at:
		case best == at+1 && i > from:
			out = append(out, toks[from:i])
			from, at = i, best
		default:
			return parts
		}
	}
	return append(out, toks[from:])
}
