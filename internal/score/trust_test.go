package score

import (
	"math"
	"slices"
	"testing"

	"tankroll/record"
)

// TestReliability: the error is the mean of |said - right| over bins, by their
// counts. Of (0.9, right) (1, right) (0.95, wrong) the last bin says 2.85 of 3 and
// has 2: off by 0.85. (0.25, wrong) (0.2, right) say 0.45 and have 1: off by 0.55.
// Together 1.4 of 5.
func TestReliability(t *testing.T) {
	type one struct {
		p     float64
		right bool
	}
	for name, c := range map[string]struct {
		in   []one
		n    [Bins]int
		want float64
	}{
		"nothing":            {nil, [Bins]int{}, 0},
		"two bins":           {[]one{{0.9, true}, {1, true}, {0.95, false}, {0.25, false}, {0.2, true}}, [Bins]int{2: 2, 9: 3}, 0.28},
		"as often as said":   {[]one{{0.5, true}, {0.5, false}}, [Bins]int{5: 2}, 0},
		"too high and low":   {[]one{{0.95, false}, {0.05, true}}, [Bins]int{0: 1, 9: 1}, 0.95}, // not 0: bins do not make up for each other
		"beyond the ends":    {[]one{{1.5, true}, {-1, false}, {math.NaN(), false}}, [Bins]int{0: 2, 9: 1}, 0},
		"within a bin it is": {[]one{{0.91, true}, {0.99, false}}, [Bins]int{9: 2}, 0.45}, // 1.9 said, 1 right
	} {
		var whole, first, rest Reliability
		for i, o := range c.in {
			whole.Add(o.p, o.right)
			if i == 0 {
				first.Add(o.p, o.right)
			} else {
				rest.Add(o.p, o.right)
			}
		}
		for i, b := range whole {
			if b.N != c.n[i] {
				t.Errorf("%s: bin %d has %d, want %d", name, i, b.N, c.n[i])
			}
		}
		if got := whole.Error(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: error %v, want %v", name, got, c.want)
		}
		if got := first.Sum(rest).Error(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: in two parts: error %v, want %v", name, got, c.want)
		}
	}
	var r Reliability
	r.Add(0.8, true)
	r.Add(0.6, false)
	if b := r.Total(); b.N != 2 || math.Abs(b.MeanSaid()-0.7) > 1e-9 || b.Share() != 0.5 {
		t.Errorf("in all %+v", b)
	}
}

// TestJudgeFields: of two tanks the second is read as printed but for its volume;
// the first has a product that is not printed; the third is on no paper.
func TestJudgeFields(t *testing.T) {
	truth := []record.Record{
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("1", true), "volume": field(5000.0, true)}},
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("2", true), "volume": field(700.0, true)}},
	}
	got := []record.Record{
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("2", true), "volume": field(100.0, true)}},
		{Kind: record.Inventory, Fields: record.Fields{"tank": field("1", false), "volume": field(5000.0, true), "product": field("diesel", false)}},
		{Kind: record.Alarm, Fields: record.Fields{"event": field("leak", true)}},
	}
	right := map[string]bool{"2 tank": true, "2 volume": false, "1 tank": true, "1 volume": true, "1 product": false, " event": false}
	all := JudgeFields(truth, got)
	if len(all) != len(right) {
		t.Fatalf("%d fields, want %d", len(all), len(right))
	}
	at := 0
	for _, r := range got {
		for range r.Fields {
			j := all[at]
			if want, ok := right[r.Text("tank")+" "+j.Name]; !ok || want != j.Right || j.Kind != r.Kind {
				t.Errorf("%s of %q: right %v, want %v", j.Name, r.Text("tank"), j.Right, want)
			}
			at++
		}
	}
}

// lineAt is a printed line of 100 by 10 pixels, and the box of what is read on it
// from x to x+w.
func lineAt(text string, y float64) PrintedLine {
	return PrintedLine{Text: text, Corners: [4]record.Point{{X: 0, Y: y}, {X: 100, Y: y}, {X: 100, Y: y + 10}, {X: 0, Y: y + 10}}}
}

// TestCountChars: spaces and leaders count for nothing, print that stands on no line
// is too much, what was not read is missing, and each character has what was said of
// it, whatever was left out before it.
func TestCountChars(t *testing.T) {
	box := func(x, y, w int) record.Box { return record.Box{X: x, Y: y, W: w, H: 10} }
	type said struct {
		p     float64
		right bool
	}
	printed := []Printed{{Lines: []PrintedLine{lineAt("VOL ..... 12", 0), lineAt("AA 7", 20), lineAt("LOST", 40)}}}
	for name, c := range map[string]struct {
		read record.ReadSlip
		want Chars
		each []said
	}{
		"as printed": {
			record.ReadSlip{Text: []string{"VOL 12", "AA   7", "LOST"}, TextBoxes: []record.Box{box(0, 0, 100), box(0, 20, 100), box(0, 40, 100)}},
			Chars{12, 12, 0}, times(12, said{1, true}),
		},
		"one changed, one too many, a line lost, one invented": {
			record.ReadSlip{
				Text: []string{"V0L ..... 12", "AAA 7", "HI"}, TextBoxes: []record.Box{box(0, 0, 100), box(0, 20, 100), box(0, 80, 100)},
				Letters: [][]float64{{.9, .2, .9, .5, .5, .5, .5, .5, .8, .7}, {.9, .9, .4, .9}, {.3, .1}},
			},
			// 0 for O, an A, four letters lost, two invented.
			Chars{12, 11, 8},
			[]said{{.3, false}, {.1, false}, {.9, true}, {.2, false}, {.9, true}, {.8, true}, {.7, true}, {.9, false}, {.9, true}, {.4, true}, {.9, true}},
		},
		"a line in two, the right end first": {
			record.ReadSlip{Text: []string{"12", "VOL", "AA7", "LOST"}, TextBoxes: []record.Box{box(80, 0, 20), box(0, 0, 30), box(0, 20, 100), box(0, 40, 100)}},
			Chars{12, 12, 0}, times(12, said{1, true}),
		},
		"beside its line for dirt at its end": {
			record.ReadSlip{Text: []string{"VOL 12", "AA7", "LOST '"}, TextBoxes: []record.Box{box(0, 0, 100), box(0, 20, 100), box(0, 40, 1000).Union(box(1000, 80, 10))}},
			Chars{12, 13, 1}, append(times(12, said{1, true}), said{1, false}),
		},
		"beside its line and unlike any": {
			record.ReadSlip{Text: []string{"XXO"}, TextBoxes: []record.Box{box(0, 80, 100)}},
			Chars{12, 3, 15}, times(3, said{1, false}),
		},
		"nothing": {record.ReadSlip{}, Chars{12, 0, 12}, nil},
	} {
		var each []said
		got := CountChars(printed, []record.ReadSlip{c.read}, func(p float64, right bool) { each = append(each, said{p, right}) })
		if got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
		if len(each) != len(c.each) {
			t.Errorf("%s: told of %v, want %v", name, each, c.each)
			continue
		}
		for i, s := range each {
			if s != c.each[i] {
				t.Errorf("%s: character %d: %v, want %v", name, i, s, c.each[i])
			}
		}
	}
	if r := (Chars{Printed: 8, Wrong: 2}).Add(Chars{Printed: 12, Wrong: 3}).ErrorRate(); r != 0.25 {
		t.Errorf("5 of 20 is %v", r)
	}
}

// TestEdits: by hand, the least number of changes.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		want, got string
		n         int
		right     string // + for each that was got and is wanted
	}{
		{"TANK", "TANK", 0, "++++"},
		{"TANK", "TAMK", 1, "++-+"},
		{"TANK", "TAK", 1, "+++"},
		{"TAK", "TANK", 1, "++-+"},
		{"", "AB", 2, "--"},
		{"AB", "", 2, ""},
		{"sitting", "kitten", 3, "-+++-+"},
	} {
		n, right := edits(marksOf(c.want), marksOf(c.got))
		got := ""
		for _, r := range right {
			if r {
				got += "+"
			} else {
				got += "-"
			}
		}
		if n != c.n || got != c.right {
			t.Errorf("%q for %q: %d %s, want %d %s", c.got, c.want, n, got, c.n, c.right)
		}
	}
}

func times[T any](n int, v T) []T { return slices.Repeat([]T{v}, n) }
