package oneface

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tankroll/ocr/glyph"
	"tankroll/ocr/wordlist"
)

// cells are lines of text in which some characters are read as others: reads[r] says as what
// and with which probability the character itself still has.
func cells(t *testing.T, reads map[rune]taken, lines ...string) [][][]float64 {
	t.Helper()
	at := func(r rune) int {
		i := slices.Index(glyph.Alphabet, r)
		if i < 0 {
			t.Fatalf("%q is not in the alphabet", r)
		}
		return i
	}
	var out [][][]float64
	for _, line := range lines {
		var rows [][]float64
		for _, r := range line {
			row := make([]float64, len(glyph.Alphabet))
			row[at(r)] = 1
			if v, ok := reads[r]; ok {
				row[at(r)], row[at(v.as)] = v.left, 1-v.left
			}
			rows = append(rows, row)
		}
		out = append(out, rows)
	}
	return out
}

// taken is what a character is taken for, and the probability that is left to it.
type taken struct {
	as   rune
	left float64
}

func text(t *testing.T, lines [][][]float64) []string {
	t.Helper()
	var out []string
	for _, line := range lines {
		var b strings.Builder
		for _, row := range line {
			sum := 0.0
			for _, p := range row {
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("the probabilities of a cell sum to %v", sum)
			}
			b.WriteRune(glyph.Alphabet[likeliest(row)])
		}
		out = append(out, b.String())
	}
	return out
}

func TestSettle(t *testing.T) {
	type m = map[rune]taken
	for _, c := range []struct {
		name  string
		reads m
		lines []string
	}{
		{"one letter all over a slip", m{'F': {'P', 0.03}, 'P': {'F', 0.9995}},
			[]string{"FUEL LEVEL 46.1 IN", "PUMP 3 OFF", "TEMP 55.2F", "PRESSURE 31 PSI", "FILL PORT"}},
		{"words and units tell of what is no word", m{'F': {'P', 0.05}},
			[]string{"FUEL HEIGHT 69.6", "FROM MAY TO JUNE", "FZX-2"}},
		{"commas of thousands", m{',': {'.', 0.1}},
			[]string{"VOLUME 12,345.6 GAL", "ULLAGE 1,655.2 GAL", "LIMIT 9,500 GAL, HIGH 9,000"}},
		{"figures of a slip with decimal commas stay", m{',': {'.', 0.9}, '.': {',', 0.99}},
			[]string{"STAND 12,5 CM", "TEMP 14,2", "WASSER 0,4", "VORRAT 12.345,6", "RATE 0,05"}},
		{"points that read as commas, by leaders", m{'.': {',', 0.1}},
			[]string{"LEVEL ........ 12.5", "WATER ...... 0.217", "TEMP .......... 46.6"}},
		{"and by gallons", m{'.': {',', 0.1}},
			[]string{"RATE 0.2 GAL/HR", "LEAK 0.046 GAL/HR", "LENGTH 2.5 HRS"}},
		{"points that are plain stay", m{'.': {',', 0.999}},
			[]string{"RATE 0.051", "RATE 1.234", "TANK NO. 2, DIESEL"}},
		{"bars of a table", m{'|': {'(', 0.9}},
			[]string{"|TANK |PRODUCT", "|LEVEL |VOLUME", "|WATER |PASS"}},
		{"nothing tells", m{'8': {'B', 0.9}}, []string{"88 188 8", "X8Y"}},
	} {
		lines := cells(t, c.reads, c.lines...)
		Settle(wordlist.Load(glyph.Alphabet), glyph.Alphabet, lines)
		for i, got := range text(t, lines) {
			if got != c.lines[i] {
				t.Errorf("%s: %q is read as %q", c.name, c.lines[i], got)
			}
		}
	}
}

// Where the words say that both characters are printed, none is taken for the other.
func TestSettleTakesNothingForPlain(t *testing.T) {
	lines := cells(t, map[rune]taken{'P': {'F', 0.97}}, "PUMP", "PASS", "TEMP", "PRODUCT")
	Settle(wordlist.Load(glyph.Alphabet), glyph.Alphabet, lines)
	p := slices.Index(glyph.Alphabet, 'P')
	for _, line := range lines {
		for _, row := range line {
			if likeliest(row) == p && row[p] < 0.97 {
				t.Errorf("a P has %.4f, which was 0.97", row[p])
			}
		}
	}
}

func TestSettleOfNothing(t *testing.T) {
	Settle(wordlist.Load(glyph.Alphabet), glyph.Alphabet, nil)
	Settle(wordlist.Load(glyph.Alphabet), glyph.Alphabet, [][][]float64{nil, {}})
}

func TestFigureWeight(t *testing.T) {
	for _, c := range []struct {
		likelier, than string
		as             int
		more           bool
	}{
		{"5,700.0", "5.700.0", withPoint, false},
		{"5,700", "5.700", withPoint, false},
		{"0.105", "0,105", withPoint, false},
		{"12.5", "12,5", withPoint, false},
		{"12,5", "12.5", withComma, false},
		{"5.700,0", "5,700,0", withComma, false},
		{"12.04.2025", "12,04,2025", withPoint, false},
		{"208,", "208.", withPoint, true},
		{"208.", "208,", withPoint, false},
		{"3,051/3,005", "3,051/3.005", withPoint, false},
	} {
		if a, b := figureWeight(c.likelier, c.more)[c.as], figureWeight(c.than, c.more)[c.as]; a <= b {
			t.Errorf("%q weighs %v, %q %v", c.likelier, a, c.than, b)
		}
	}
}

// A slip of nothing but stains, as large as any, takes no longer than is bearable: how long is
// BenchmarkSettle's to say.
func BenchmarkSettle(b *testing.B) {
	list := wordlist.Load(glyph.Alphabet)
	for _, c := range []struct {
		name         string
		lines, cells int
	}{{"slip", 40, 40}, {"stains", 400, 160}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				rng := rand.New(rand.NewPCG(3, 3))
				lines := make([][][]float64, c.lines)
				for i := range lines {
					for range c.cells {
						row, sum := make([]float64, len(glyph.Alphabet)), 0.0
						for k := range row {
							row[k] = math.Pow(rng.Float64(), 20)
							sum += row[k]
						}
						for k := range row {
							row[k] /= sum
						}
						lines[i] = append(lines[i], row)
					}
				}
				b.StartTimer()
				Settle(list, glyph.Alphabet, lines)
			}
		})
	}
}
