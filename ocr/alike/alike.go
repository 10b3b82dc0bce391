// Package alike holds a slip's characters against each other. One head printed
// them all, so a cell that may be one of two characters is compared with what the
// slip itself has of both: where a face draws its 0 with a slash, all its 0 have
// one, whatever the 8 of other faces look like.
//
// The usual picture of a character is the mean of the cells that plainly read as
// it. How far those cells lie from both pictures, each from one made without
// itself, says how well the two are told apart on this slip, and so how much the
// place of a doubtful cell between them says. It says nothing where both are not
// seen often enough or where wear makes them one.
package alike

import (
	"math"
	"slices"

	"tankroll/ocr/glyph"
)

// Cell is one cell that holds ink.
type Cell struct {
	Pix  []float32 // its picture, slipnet.W x slipnet.H, print as 1 on 0
	Prob []float32 // how likely each character of the alphabet is; the first is none
}

const (
	// plainly is the probability from which a cell shows what a character looks
	// like.
	plainly = 0.6
	// fewest is how many other cells must show it.
	fewest = 2
	// most bounds how many cells tell how far two characters lie apart.
	most = 16
	// doubtful is the least probability of a character that is asked about.
	doubtful = 0.001
	// apart is how far the means of two characters must lie apart, in their
	// standard deviations.
	apart = 2
	// spare is what is added to their spread, as a share of how far they lie apart:
	// a few cells that happen to lie close do not show it.
	spare = 0.2
	// share is how much of the evidence counts, as the pixels of a smear go
	// together, and utmost how much evidence there can be.
	share  = 0.5
	utmost = 4
)

// Weigh gives how likely each character is in each cell once the cells have been
// held against each other.
func Weigh(cells []Cell) [][]float32 {
	s := newSheet(cells)
	out := make([][]float32, len(cells))
	for i := range cells {
		out[i] = s.weigh(i)
	}
	return out
}

// sheet is all that a slip has of each character.
type sheet struct {
	cells  []Cell
	pix    []picture
	reads  []int     // as which character each cell plainly reads; 0 for none
	shows  [][]int   // cells that show each character
	sums   []picture // of them
	scales map[[2]int]scale
}

// scale says what a place between two characters means: l = (t - middle) * slope
// are the natural logarithms of the odds.
type scale struct{ middle, slope float64 }

func newSheet(cells []Cell) *sheet {
	s := &sheet{cells: cells, pix: make([]picture, len(cells)), reads: make([]int, len(cells)), scales: map[[2]int]scale{}}
	for i, c := range cells {
		if s.shows == nil {
			s.shows, s.sums = make([][]int, len(c.Prob)), make([]picture, len(c.Prob))
		}
		s.pix[i] = newPicture(c.Pix)
		if r := glyph.Likeliest(c.Prob); c.Prob[r] >= plainly {
			s.reads[i] = r
			s.shows[r] = append(s.shows[r], i)
			s.sums[r].add(&s.pix[i], 1)
		}
	}
	return s
}

func (s *sheet) weigh(i int) []float32 {
	prob := s.cells[i].Prob
	a := glyph.Likeliest(prob)
	if a == 0 {
		return prob
	}
	out := slices.Clone(prob)
	var sum float32
	for b := range out {
		if b != 0 && b != a && out[b] >= doubtful && s.others(i, a) >= fewest && s.others(i, b) >= fewest {
			k := s.scale(a, b)
			l := (s.between(i, a, b) - k.middle) * k.slope
			out[b] *= float32(math.Exp(-share * min(max(l, -utmost), utmost)))
		}
		sum += out[b]
	}
	for r := range out {
		out[r] /= sum
	}
	return out
}

// others is how many cells but i show character r.
func (s *sheet) others(i, r int) int {
	n := len(s.shows[r])
	if s.reads[i] == r {
		n--
	}
	return n
}

// between is how much farther cell i lies from character b than from a.
func (s *sheet) between(i, a, b int) float64 { return s.far(i, b) - s.far(i, a) }

// scale measures characters a and b on the cells that show them.
func (s *sheet) scale(a, b int) scale {
	if k, ok := s.scales[[2]int{a, b}]; ok {
		return k
	}
	place := func(r int) (mean, squares, n float64) {
		cells := s.shows[r]
		n = float64(min(len(cells), most))
		for k := range int(n) {
			t := s.between(cells[k*len(cells)/int(n)], a, b)
			mean, squares = mean+t/n, squares+t*t
		}
		return mean, max(squares-n*mean*mean, 0), n
	}
	ma, va, na := place(a)
	mb, vb, nb := place(b)
	var k scale
	d, v := ma-mb, (va+vb)/max(na+nb-1, 1)
	if d > 0 && d >= apart*math.Sqrt(v) {
		k = scale{(ma + mb) / 2, d / (v + (spare*d)*(spare*d))}
	}
	s.scales[[2]int{a, b}] = k
	return k
}

// far is how far cell i lies from the usual picture of character r, made without
// it.
func (s *sheet) far(i, r int) float64 {
	usual := &s.sums[r]
	if s.reads[i] == r {
		rest := *usual
		rest.add(&s.pix[i], -1)
		usual = &rest
	}
	return 2 - 2*s.pix[i].likeness(usual)
}
