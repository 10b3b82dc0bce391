package wordlist

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tankroll/ocr/glyph"
)

// run is cells that hold text, each with the share taken by another character: "U V0.3"
// holds U with 0.7 and V with 0.3.
func run(t *testing.T, text string, others map[int]map[rune]float64) [][]float64 {
	t.Helper()
	var out [][]float64
	for k, r := range []rune(text) {
		row := make([]float64, len(glyph.Alphabet))
		rest := 1.0
		for o, p := range others[k] {
			row[slices.Index(glyph.Alphabet, o)] = p
			rest -= p
		}
		row[slices.Index(glyph.Alphabet, r)] = rest
		out = append(out, row)
	}
	return out
}

func TestWeigh(t *testing.T) {
	type m = map[int]map[rune]float64
	list := Load(glyph.Alphabet)
	for _, c := range []struct {
		name, text string
		others     m
		want       string
	}{
		{"a word that another letter makes", "PVMP", m{1: {'U': 0.3}}, "PUMP"},
		{"a letter that is plain stays", "PVMP", m{1: {'U': 0.001}}, "PVMP"},
		{"no word either way", "XVQP", m{1: {'U': 0.3}}, "XVQP"},
		{"no change of case within a word", "VOLuME", m{3: {'U': 0.3}}, "VOLUME"},
		{"signs at both ends", "(PVMP):", m{2: {'U': 0.3}}, "(PUMP):"},
		{"no sign where a letter is as good", "PRESSURED", m{8: {')': 0.02}}, "PRESSURED"},
		{"s behind a word", "PRESSVRES", m{5: {'U': 0.2}}, "PRESSURES"},
		{"no s of a leader's first dot", "AFTER..:", m{5: {'S': 0.01}}, "AFTER..:"},
		{"first letter large", "Uolume", m{0: {'V': 0.2}}, "Volume"},
		{"numbers are no words", "12345", m{2: {'8': 0.4}}, "12345"},
		{"a day as it is counted", "lst", m{0: {'1': 0.3}}, "1st"},
		{"a day that plainly is none", "lst", m{0: {'1': 0.001}}, "lst"},
		{"a fuel by its share", "B2O", m{2: {'0': 0.2}}, "B20"},
		{"too short to tell", "NQ", m{1: {'O': 0.4}}, "NQ"},
	} {
		probs := run(t, c.text, c.others)
		list.Weigh(probs)
		var got strings.Builder
		for k, row := range probs {
			sum := 0.0
			for _, p := range row {
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: the probabilities of cell %d sum to %v", c.name, k, sum)
			}
			got.WriteRune(glyph.Alphabet[slices.Index(row, slices.Max(row))])
		}
		if got.String() != c.want {
			t.Errorf("%s: %q is read as %q, want %q", c.name, c.text, got.String(), c.want)
		}
	}
}

// The other reading keeps a probability: nothing is wrong in silence.
func TestWeighKeepsTheOther(t *testing.T) {
	probs := run(t, "PVMP", map[int]map[rune]float64{1: {'U': 0.3}})
	likely := Load(glyph.Alphabet).Weigh(probs)
	if v := probs[1][slices.Index(glyph.Alphabet, 'V')]; v < 0.005 || v > 0.3 {
		t.Errorf("V is left with %v", v)
	}
	if likely < 0.5 || likely >= 1 {
		t.Errorf("a word of the list has %v", likely)
	}
}

// The list is in order, small letters, three or more, each word once.
func TestList(t *testing.T) {
	all := strings.Fields(uncommented(list))
	if len(all) < 1500 || !slices.IsSorted(all) || len(slices.Compact(slices.Clone(all))) != len(all) {
		t.Errorf("%d words, not in order or not once each", len(all))
	}
	for _, w := range all {
		if len(w) < shortest || strings.Trim(w, spelled) != "" {
			t.Errorf("%q is no word of the list", w)
		}
	}
}

// A long run that may be anything takes no longer than one that is plain.
func BenchmarkWeigh(b *testing.B) {
	l := Load(glyph.Alphabet)
	row := make([]float64, len(glyph.Alphabet))
	for i := range row {
		row[i] = 1 / float64(len(row))
	}
	for b.Loop() {
		probs := make([][]float64, 24)
		for k := range probs {
			probs[k] = slices.Clone(row)
		}
		l.Weigh(probs)
	}
}
