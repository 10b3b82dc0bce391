package oneface

import (
	"regexp"
	"strings"
	"unicode"
)

// pointsWeight is how likely a run is as a figure or a word with its points and commas, by
// the writing of the slip.
func (f *face) pointsWeight(cells [][]float64, p twins, more bool) [writings]float64 {
	if share, ok := f.leader(cells, p); ok {
		w := share + oddFigure*(1-share)
		return [writings]float64{w, w}
	}
	const mostOpen = 5
	text := make([]rune, len(cells))
	var open []int
	for k, row := range cells {
		text[k] = f.top(row)
		if p.in(row) && len(open) < mostOpen {
			open = append(open, k)
		}
	}
	var sum [writings]float64
	for set := range 1 << len(open) {
		w := 1.0
		for i, k := range open {
			row := cells[k]
			share := row[p.b] / (row[p.a] + row[p.b])
			if set>>i&1 == 1 {
				text[k], w = f.alphabet[p.b], w*share
			} else {
				text[k], w = f.alphabet[p.a], w*(1-share)
			}
		}
		if w > 1e-6 {
			for as, v := range figureWeight(string(text), more) {
				sum[as] += w * v
			}
		}
	}
	return sum
}

// leader is how likely the points of a run that is nothing else are points and no commas:
// they lead from a label to its value.
func (f *face) leader(cells [][]float64, p twins) (share float64, ok bool) {
	const fewest = 3
	point := p.a
	if f.alphabet[p.b] == '.' {
		point = p.b
	}
	for _, row := range cells {
		if !isPoint(f.top(row)) {
			return 0, false
		}
		share += row[point] / (row[p.a] + row[p.b]) / float64(len(cells))
	}
	return share, len(cells) >= fewest
}

// The ways in which a slip writes figures.
const (
	withPoint = iota
	withComma
	writings
)

// How many slips write a decimal point, of those that measure in gallons and of others.
const (
	pointedGallons = 0.98
	pointed        = 0.6
)

// pointed is how likely the slip writes a decimal point.
func (f *face) pointed() float64 {
	for _, r := range f.runs {
		var text strings.Builder
		for _, row := range r.probs {
			text.WriteRune(unicode.ToLower(f.top(row)))
		}
		if t := text.String(); strings.Contains(t, "gal") || strings.Contains(t, "gph") {
			return pointedGallons
		}
	}
	return pointed
}

// What figures with points and commas are printed as, and how likely each is by the writing
// of the slip.
var figureForms = []struct {
	form   *regexp.Regexp
	weight [writings]float64
}{
	{regexp.MustCompile(`^\d*$`), [writings]float64{1, 1}},                            // no point
	{regexp.MustCompile(`^\d{1,2}\.\d{1,2}\.(\d\d|\d{4})$`), [writings]float64{1, 1}}, // a date
	{regexp.MustCompile(`^\d*\.\d{1,2}$`), [writings]float64{1, 0.05}},                // tenths, hundredths
	{regexp.MustCompile(`^\d*,\d{1,2}$`), [writings]float64{0.05, 1}},
	{regexp.MustCompile(`^0?\.\d+$`), [writings]float64{1, 0.05}}, // more, behind none
	{regexp.MustCompile(`^0?,\d+$`), [writings]float64{0.05, 1}},
	{regexp.MustCompile(`^[1-9]\d{0,2}(,\d{3})+(\.\d{1,3})?$`), [writings]float64{1, 0.3}}, // thousands
	{regexp.MustCompile(`^[1-9]\d{0,2}(\.\d{3})+(,\d{1,3})?$`), [writings]float64{0.3, 1}},
	{regexp.MustCompile(`^\d+\.\d{3,4}$`), [writings]float64{0.3, 0.05}}, // more than most
	{regexp.MustCompile(`^\d+,\d{3,4}$`), [writings]float64{0.05, 0.3}},
}

// oddFigure is the weight of any other form.
const oddFigure = 0.02

var figureParts = regexp.MustCompile(`[0-9.,]+`)

// figureWeight is how likely a run is with its points and commas, by the writing of the slip;
// more is whether something stands behind it on its line.
func figureWeight(text string, more bool) [writings]float64 {
	out := [writings]float64{1, 1}
	for _, at := range figureParts.FindAllStringIndex(text, -1) {
		t := text[at[0]:at[1]]
		w := 1.0
		if last := t[len(t)-1]; last == '.' || last == ',' {
			t = t[:len(t)-1]
			switch {
			case at[1] < len(text): // within a run, between letters or before a sign
				if last == ',' {
					w = 0.3
				}
			case more && last == '.':
				w = 0.4
			case !more && last == ',':
				w = 0.3
			}
		}
		form := [writings]float64{oddFigure, oddFigure}
		for _, f := range figureForms {
			if f.form.MatchString(t) {
				form = f.weight
				break
			}
		}
		for as := range out {
			out[as] *= w * form[as]
		}
	}
	return out
}
