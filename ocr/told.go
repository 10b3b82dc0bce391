package ocr

import (
	"fmt"
	"strings"

	"tankroll/ocr/glyph"
	"tankroll/record"
)

// cellTable tells of every cell that holds print what each step took it for, since a
// picture of the grid does not show which of them went wrong:
//
//	line 3: BEGIN 19:05
//	cell  alone          slip           held           first   both
//	   0  B 0.91 8 0.07  B 0.98 8 0.01  B 0.98 8 0.01  8 0.61  B 0.93 8 0.07
//	…
//	word BEGIN 0.93, or 8EGIN 0.07
//
// alone is package glyph, that sees the cell by itself; slip is package slipnet, that
// sees all cells of the slip; held is the same once package alike has held them
// against each other; first is the first reading, - where it has nothing for the
// cell; both is what came out. Each has its probability, and the next likeliest
// beside it from 0.01 on; _ is a blank. A word has its confidence and its other readings. Lines are
// counted from 1 as they come out, cells from 0.
type cellTable struct{ strings.Builder }

// hardly is the probability below which another reading is not worth a place in the
// table.
const hardly = 0.01

// line adds a line.
func (t *cellTable) line(n int, c cellLine, syms []symbolAt, chars []char, words []record.Word) {
	var text []string
	for _, w := range words {
		text = append(text, w.Text)
	}
	fmt.Fprintf(t, "line %d: %s\n", n, strings.Join(text, " "))
	fmt.Fprintf(t, "%4s  %-13s  %-13s  %-13s  %-6s  %s\n", "cell", "alone", "slip", "held", "first", "both")
	for k, cell := range c.cells {
		if cell.prob == nil && chars[k].r == ' ' {
			continue
		}
		first := "-"
		if syms[k].ok {
			first = fmt.Sprintf("%c %.2f", syms[k].r, syms[k].conf)
		}
		ch := chars[k]
		fmt.Fprintf(t, "%4d  %-13s  %-13s  %-13s  %-6s  %s\n", k, twoOf(cell.alone), twoOf(cell.net), twoOf(cell.prob), first,
			twoLikeliest(ch.r, ch.prob, ch.next, ch.nextP))
	}
	for _, w := range words {
		fmt.Fprintf(t, "word %s %.2f", w.Text, w.Confidence)
		by := ", or "
		for _, a := range w.Alternatives {
			if a.Confidence >= hardly {
				fmt.Fprintf(t, "%s%s %.2f", by, a.Text, a.Confidence)
				by = ", "
			}
		}
		fmt.Fprintln(t)
	}
	fmt.Fprintln(t)
}

// twoOf are the two likeliest characters of a cell.
func twoOf(prob []float32) string {
	if prob == nil {
		return "-"
	}
	p := make([]float64, len(prob))
	for i, v := range prob {
		p[i] = float64(v)
	}
	c := best(p)
	return twoLikeliest(c.r, c.prob, c.next, c.nextP)
}

// twoLikeliest leaves the second out where it is hardly likely.
func twoLikeliest(r rune, p float64, next rune, nextP float64) string {
	if nextP < hardly {
		return fmt.Sprintf("%c %.2f", shown(r), p)
	}
	return fmt.Sprintf("%c %.2f %c %.2f", shown(r), p, shown(next), nextP)
}

// shown stands for a character in a table in which columns are parted by spaces.
func shown(r rune) rune {
	if r == glyph.Alphabet[0] {
		return '_'
	}
	return r
}
