package ocr

import (
	"slices"
	"testing"

	"tankroll/ocr/glyph"
	"tankroll/ocr/grid"
)

// cellsOf is text as cells that read so, each with a tenth left for other
// characters.
func cellsOf(text string) cellLine {
	l := cellLine{Line: grid.Line{Step: 10, Cells: len(text)}, cells: make([]cell, len(text))}
	for k, r := range text {
		if r == ' ' {
			continue
		}
		prob := make([]float32, len(glyph.Alphabet))
		for i := range prob {
			prob[i] = 0.1 / float32(len(prob))
		}
		prob[slices.Index(glyph.Alphabet, r)] += 0.9
		l.cells[k] = cell{prob: prob, inked: 1}
	}
	return l
}

func TestAlignBars(t *testing.T) {
	for _, c := range []struct {
		name     string
		in, want []string
	}{
		{"a bar read as a digit", []string{"|Tank   |04|", "|Tank   104|", "|Volume |91|"}, []string{"|Tank   |04|", "|Tank   |04|", "|Volume |91|"}},
		{"at the table's foot", []string{"|First |03|", "|Last  |04|", "IResultl11|"}, []string{"|First |03|", "|Last  |04|", "|Result|11|"}},
		{"numbers without bars", []string{"TANK 104", "TANK 114", "TANK 124"}, []string{"TANK 104", "TANK 114", "TANK 124"}},
		{"text below a table", []string{"|A |1|", "|B |2|", "Tank 1"}, []string{"|A |1|", "|B |2|", "Tank 1"}},
		{"letters above", []string{"|a|b|", "Title", "1 1 1"}, []string{"|a|b|", "Title", "1 1 1"}},
	} {
		var lines []cellLine
		for _, s := range c.in {
			lines = append(lines, cellsOf(s))
		}
		alignBars(lines)
		for i, l := range lines {
			var got []rune
			for _, x := range l.cells {
				r, _ := x.top()
				got = append(got, r)
			}
			if string(got) != c.want[i] {
				t.Errorf("%s: line %d is %q, want %q", c.name, i, string(got), c.want[i])
			}
		}
	}
}
