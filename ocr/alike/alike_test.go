package alike

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tankroll/ocr/glyph"
	"tankroll/ocr/slipnet"
)

// letter draws an upright, or one with a dot beside it, in some noise.
func letter(rng *rand.Rand, dot bool, dark, noise float32) []float32 {
	pix := make([]float32, slipnet.W*slipnet.H)
	for y := 6; y < 20; y++ {
		pix[y*slipnet.W+5], pix[y*slipnet.W+6] = dark, dark
		if dot && y > 10 && y < 14 {
			pix[y*slipnet.W+9], pix[y*slipnet.W+10] = dark, dark
		}
	}
	for i := range pix {
		pix[i] = max(pix[i]+noise*(rng.Float32()-0.5), 0)
	}
	return pix
}

// page has n plain cells of each of the characters 1 and 2, which has the dot.
func page(rng *rand.Rand, n int, noise float32) []Cell {
	var out []Cell
	for i := range 2 * n {
		prob := []float32{0, 0.9, 0.1}
		if i >= n {
			prob = []float32{0, 0.1, 0.9}
		}
		out = append(out, Cell{Pix: letter(rng, i >= n, 0.5+0.5*rng.Float32(), noise), Prob: prob})
	}
	return out
}

func TestDoubtfulCellIsHeldAgainstOthers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, dot := range []bool{false, true} {
		cells := append(page(rng, 6, 0.2), Cell{Pix: letter(rng, dot, 0.7, 0.2), Prob: []float32{0, 0.5, 0.5}})
		got := Weigh(cells)
		want := 1
		if dot {
			want = 2
		}
		if p := got[len(cells)-1][want]; p < 0.8 {
			t.Errorf("with a dot %v: character %d has %.2f, want 0.8 or more", dot, want, p)
		}
		for i := range cells[:len(cells)-1] {
			if glyph.Likeliest(got[i]) != glyph.Likeliest(cells[i].Prob) {
				t.Errorf("plain cell %d changed", i)
			}
		}
	}
}

// A cell that reads wrongly, and surely enough to count among the others, is put
// right by them.
func TestWrongCellAmongMany(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	cells := append(page(rng, 8, 0.2), Cell{Pix: letter(rng, true, 0.7, 0.2), Prob: []float32{0, 0.65, 0.35}})
	if got := Weigh(cells); glyph.Likeliest(got[len(cells)-1]) != 2 {
		t.Errorf("the cell still reads as 1: %v", got[len(cells)-1])
	}
}

func TestNothingToHoldAgainst(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	doubt := []float32{0, 0.6, 0.4}
	worn := func(p float32) Cell { return Cell{Pix: letter(rng, false, 1, 3), Prob: []float32{0, p, 1 - p}} }
	for name, cells := range map[string][]Cell{
		"one alone":     {},
		"one character": page(rng, 6, 0.2)[:6],
		"too few":       page(rng, 1, 0.2),
		"worn to one":   {worn(0.9), worn(0.1), worn(0.9), worn(0.1), worn(0.9), worn(0.1)},
	} {
		cells = append(cells, Cell{Pix: letter(rng, true, 0.7, 0.2), Prob: slices.Clone(doubt)})
		got := Weigh(cells)[len(cells)-1]
		for r, p := range got {
			if d := p - doubt[r]; d > 0.02 || d < -0.02 {
				t.Errorf("%s: character %d has %.2f, want %.2f", name, r, p, doubt[r])
			}
		}
	}
}

func TestBareCells(t *testing.T) {
	bare := Cell{Pix: make([]float32, slipnet.W*slipnet.H), Prob: []float32{1, 0, 0}}
	for i, p := range Weigh([]Cell{bare, bare}) {
		if p[0] != 1 {
			t.Errorf("bare cell %d reads %v", i, p)
		}
	}
	if got := Weigh(nil); len(got) != 0 {
		t.Errorf("of no cells: %v", got)
	}
}

// lone is what a reader of single cells says of n cells: how likely the characters 1
// and 2 are, in odds about the given ones.
func lone(rng *rand.Rand, odds float64) []float32 {
	p := 1 / (1 + math.Exp(-odds-0.3*rng.NormFloat64()))
	return []float32{0, float32(p), float32(1 - p)}
}

// A reader that sees whole words takes some of a character for another; what it says of
// each alone lies apart, and they are given back.
func TestStrangersAreParted(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for _, c := range []struct {
		name string
		odds float64 // of 1 against 2, in the cells that are taken for 1 but may be 2
		want int
	}{{"another character", -1.5, 2}, {"the same, unsure", 4, 1}} {
		var cells []Cell
		for i := range 12 {
			cell := Cell{Pix: letter(rng, false, 0.8, 0.4), Prob: []float32{0, 0.98, 0.02}, Lone: lone(rng, 4)}
			if i < 5 {
				cell.Prob, cell.Lone = []float32{0, 0.75, 0.25}, lone(rng, c.odds)
			}
			cells = append(cells, cell)
		}
		for i, prob := range Weigh(cells) {
			want := 1
			if i < 5 {
				want = c.want
			}
			if got := glyph.Likeliest(prob); got != want {
				t.Errorf("%s: cell %d reads %v, want %d", c.name, i, prob, want)
			}
		}
	}
}

// What another reading takes for a 2 all over a slip is not held for one where the
// cells that both take for a 2 look different.
func TestOnlyWhatBothTakeForItShowsIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	var cells []Cell
	for i := range 14 {
		two := i%2 == 1
		c := Cell{Pix: letter(rng, two, 0.8, 0.2), Prob: []float32{0, 0.6, 0.4}, Says: 2}
		if two {
			c.Prob = []float32{0, 0.1, 0.9}
		}
		cells = append(cells, c)
	}
	for i, prob := range Weigh(cells) {
		if i%2 == 0 && prob[1] < 0.8 {
			t.Errorf("cell %d has %.2f for 1, want 0.8 or more", i, prob[1])
		}
	}
}

// Where one reading takes some of the same characters for another and the other reading takes
// none, only their pictures can show that there are two: what made the first dissent does not
// count again.
func TestDissentAloneShowsNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	var cells []Cell
	for i := range 14 {
		c := Cell{Pix: letter(rng, true, 0.8, 0.2), Prob: []float32{0, 0.1, 0.9}, Lone: lone(rng, -3), Says: 2}
		if i%2 == 0 {
			c.Prob, c.Lone = []float32{0, 0.9, 0.1}, lone(rng, 3)
		}
		cells = append(cells, c)
	}
	for i, prob := range Weigh(cells) {
		if i%2 == 0 && prob[1] > 0.92 {
			t.Errorf("cell %d has %.3f for 1, want no more than the 0.9 it had", i, prob[1])
		}
	}
}
