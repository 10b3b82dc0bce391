package ocr

import (
	"testing"

	"tankroll/ocr/lines"
)

// TestEmptyBetween: lines of capitals 20 high, 30 apart.
func TestEmptyBetween(t *testing.T) {
	line := func(top, height int) lines.Band { return lines.Band{X1: 200, Y0: top, Y1: top + height} }
	tall := func(top int) lines.Band { return lines.Band{X1: 200, Y0: top, Y1: top + 40, Tall: true} }
	rule := func(middle int) lines.Band {
		return lines.Band{X1: 200, Y0: middle - 1, Y1: middle + 1, Rule: true}
	}
	for _, c := range []struct {
		about        string
		above, below lines.Band
		want         bool
	}{
		{"neighbours", line(0, 20), line(30, 20), false},
		{"neighbours, the upper with descenders", line(0, 26), line(30, 20), false},
		{"neighbours, small letters only below", line(0, 20), line(35, 15), false},
		{"an empty line", line(0, 20), line(60, 20), true},
		{"an empty line above small letters", line(0, 26), line(66, 14), true},
		{"a rule below", line(0, 20), rule(40), false},
		{"an underline at the foot of its line", line(0, 20), rule(50), false},
		{"a rule after an empty line", line(0, 20), rule(70), true},
		{"double height above", tall(0), line(50, 20), false},
		{"double height above and an empty line", tall(0), line(80, 20), true},
		{"both of double height", tall(0), tall(60), false},
		{"both of double height and an empty line", tall(0), tall(90), true},
	} {
		if got := emptyBetween(c.above, c.below, 30); got != c.want {
			t.Errorf("%s: %v, want %v", c.about, got, c.want)
		}
	}
	if emptyBetween(line(0, 20), line(200, 20), 0) {
		t.Error("an empty line without a pitch")
	}
}
