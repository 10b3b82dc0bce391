package score

import (
	"testing"

	"tankroll/record"
)

// TestCountCrossed: words that a mark crosses count apart from the others of their line,
// and what a mark reads as counts against the others.
func TestCountCrossed(t *testing.T) {
	quad := func(y float64) [4]record.Point {
		return [4]record.Point{{X: 0, Y: y}, {X: 200, Y: y}, {X: 200, Y: y + 20}, {X: 0, Y: y + 20}}
	}
	box := func(y int) record.Box { return record.Box{X: 0, Y: y, W: 200, H: 20} }
	printed := []Printed{{Lines: []PrintedLine{{"LEAK RATE 0.012", quad(0)}, {"RESULT PASS", quad(40)}}}}
	crossings := [][]Crossing{{{0, "0.012"}, {1, "PASS"}}}
	for name, v := range map[string]struct {
		text            []string
		boxes           []record.Box
		crossed, others Words
	}{
		"all right":        {[]string{"LEAK RATE 0.012", "RESULT PASS"}, []record.Box{box(0), box(40)}, Words{2, 2, 2}, Words{3, 3, 3}},
		"one misread":      {[]string{"LEAK RATE 0.0l2", "RESULT PASS"}, []record.Box{box(0), box(40)}, Words{2, 2, 1}, Words{3, 3, 3}},
		"one lost":         {[]string{"LEAK RATE", "RESULT PASS"}, []record.Box{box(0), box(40)}, Words{2, 1, 1}, Words{3, 3, 3}},
		"another misread":  {[]string{"LEAK RAIE 0.012", "RESULT PASS"}, []record.Box{box(0), box(40)}, Words{2, 2, 2}, Words{3, 3, 2}},
		"the mark is read": {[]string{"LEAK RATE 0.012", "OK", "RESULT PASS"}, []record.Box{box(0), box(90), box(40)}, Words{2, 2, 2}, Words{3, 4, 3}},
	} {
		crossed, others := CountCrossed(printed, crossings, []record.ReadSlip{{Text: v.text, TextBoxes: v.boxes}})
		if crossed != v.crossed || others != v.others {
			t.Errorf("%s: crossed %+v, others %+v; want %+v, %+v", name, crossed, others, v.crossed, v.others)
		}
	}
}
