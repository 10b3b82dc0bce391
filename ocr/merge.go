package ocr

import (
	"math"
	"slices"

	"tankroll/ocr/glyph"
	"tankroll/ocr/recognise"
)

// symbolAt is the recognizer's reading of one cell.
type symbolAt struct {
	r    rune
	at   int // of r in the alphabet, -1 when it is not there
	conf float64
	ok   bool
}

// alignSymbols finds which cell each of the recognizer's symbols belongs to.
// Its boxes are rough, so order, place and likeness all count; what fits
// nowhere is left out.
func alignSymbols(line cellLine, words []recognise.Word) []symbolAt {
	type symbol struct {
		r    rune
		conf float64
		x    float64 // in cells
	}
	var syms []symbol
	for _, w := range words {
		for _, s := range w.Symbols {
			rs := []rune(s.Text)
			for i, r := range rs {
				x := float64(s.Box.Min.X) + (float64(i)+0.5)/float64(len(rs))*float64(s.Box.Dx())
				syms = append(syms, symbol{plainRune(r), s.Confidence, line.CellAt(x) - 0.5})
			}
		}
	}
	out := make([]symbolAt, len(line.cells))
	n, m := len(syms), len(line.cells)
	if n == 0 || m == 0 {
		return out
	}
	const skipSymbol = 0.9
	skipCell := func(k int) float64 {
		if line.cells[k].prob == nil {
			return 0
		}
		return 0.9 * (1 - line.cells[k].of(' '))
	}
	cost := make([][]float64, n+1)
	from := make([][]byte, n+1)
	for i := range cost {
		cost[i], from[i] = make([]float64, m+1), make([]byte, m+1)
		for j := range cost[i] {
			if i == 0 && j == 0 {
				continue
			}
			best, how := math.Inf(1), byte(0)
			if i > 0 {
				best, how = cost[i-1][j]+skipSymbol, 1
			}
			if j > 0 {
				if c := cost[i][j-1] + skipCell(j-1); c < best {
					best, how = c, 2
				}
			}
			if i > 0 && j > 0 {
				d := math.Abs(syms[i-1].x - float64(j-1))
				c := cost[i-1][j-1] + 0.5*d*d + 0.8*(1-line.cells[j-1].of(syms[i-1].r))
				if d < 2.5 && c < best {
					best, how = c, 3
				}
			}
			cost[i][j], from[i][j] = best, how
		}
	}
	for i, j := n, m; i > 0 || j > 0; {
		switch from[i][j] {
		case 1:
			i--
		case 2:
			j--
		case 3:
			i, j = i-1, j-1
			out[j] = symbolAt{syms[i].r, slices.Index(glyph.Alphabet, syms[i].r), syms[i].conf, true}
		default:
			return out
		}
	}
	return out
}

// plainRune maps what the recognizer makes of print to what heads print.
func plainRune(r rune) rune {
	switch r {
	case '—', '–', '‐', '−':
		return '-'
	case '‘', '’', '`', '´':
		return '\''
	case '“', '”', '„':
		return '"'
	case '©', '®', '¢', '€', '£', '¥', '§', '«', '»':
		return '?' // no head prints these; what it is, the cell must tell
	}
	return r
}
