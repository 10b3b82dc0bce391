// Package alike holds a slip's characters against each other. One head printed
// them all, so a cell that may be one of two characters is compared with what the
// slip itself has of both: where a face draws its 0 with a slash, all its 0 have
// one, whatever the 8 of other faces look like.
//
// Two measures place a cell between two characters. One is how far it lies from the
// usual picture of each, the mean of the cells that show it, made without itself. The
// other is what a reader says that sees the cell alone: it may call a slashed 0 an 8,
// but is far less sure of it than of the 8s beside it, and what it says does not
// depend on the neighbours. Where the cells that show either character lie by a measure says
// how well it tells the two apart on this slip, and so how much the place of a
// doubtful cell says. It says nothing where both are not seen often enough or where
// wear makes them one.
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
	Lone []float32 // how likely each is to a reader that sees this cell alone; nil where there is none
	Says int       // which character another reading takes it for, 0 where there is none
}

const (
	// plainly is the probability from which a cell shows what a character looks
	// like.
	plainly = 0.6
	// fewest is how many other cells must show it.
	fewest = 2
	// fewestOfOne is how many must show it that only one of two readings takes for it.
	fewestOfOne = 4
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
	share  = 0.75
	utmost = 4
	// faint is added to what the reader of single cells says, which is never quite
	// sure of anything.
	faint = 0.001
	// likely is the probability of another character from which a cell may belong
	// to it, parted how far, in standard deviations, such cells must lie from the rest.
	likely = 0.05
	parted = 2.5
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
	cells []Cell
	pix   []picture
	shows [][]int   // cells that show each character, in order
	sums  []picture // of them
	// dissent is whether what shows a character is also cells that another reading takes
	// for something else.
	dissent []bool
	scales  map[[2]int]scale
}

// scale says what a place t between two characters means by a measure:
// l = (t - middle) * slope are the natural logarithms of the odds.
type scale struct {
	place         func(i, a, b int) float64
	middle, slope float64
}

func newSheet(cells []Cell) *sheet {
	s := &sheet{cells: cells, pix: make([]picture, len(cells)), scales: map[[2]int]scale{}}
	if len(cells) == 0 {
		return s
	}
	n := len(cells[0].Prob)
	s.dissent = make([]bool, n)
	s.shows, s.sums = make([][]int, n), make([]picture, n)
	either := make([][]int, n) // cells that one of two readings takes for each character
	for i, c := range cells {
		s.pix[i] = newPicture(c.Pix)
		r := glyph.Likeliest(c.Prob)
		if c.Prob[r] < plainly {
			r = 0
		}
		if r != 0 && (c.Says == 0 || c.Says == r) {
			s.shows[r] = append(s.shows[r], i)
		}
		if r != 0 {
			either[r] = append(either[r], i)
		}
		if c.Says != 0 && c.Says != r {
			either[c.Says] = append(either[c.Says], i)
		}
	}
	for r := range s.shows {
		if len(s.shows[r]) < fewest && len(either[r]) >= fewestOfOne {
			s.shows[r] = either[r]
			s.dissent[r] = slices.ContainsFunc(either[r], func(i int) bool { return s.cells[i].Says != 0 && s.cells[i].Says != r })
		}
	}
	if cells[0].Lone != nil {
		s.part()
	}
	for r, list := range s.shows {
		for _, i := range list {
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
		if b != 0 && b != a && (out[b] >= doubtful || b == s.cells[i].Says) && s.others(i, a) >= fewest && s.others(i, b) >= fewest {
			if k := s.scale(a, b); k.place != nil {
				l := (k.place(i, a, b) - k.middle) * k.slope
				out[b] *= float32(math.Exp(-min(max(share*l, -utmost), utmost)))
			}
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
	if s.isShown(i, r) {
		n--
	}
	return n
}

// isShown says whether cell i is one of those that show character r.
func (s *sheet) isShown(i, r int) bool {
	_, ok := slices.BinarySearch(s.shows[r], i)
	return ok
}

// between is how much farther cell i lies from character b than from a.
func (s *sheet) between(i, a, b int) float64 { return s.far(i, b) - s.far(i, a) }

// alone is how much likelier a is than b in cell i, by itself.
func (s *sheet) alone(i, a, b int) float64 {
	lone := s.cells[i].Lone
	return math.Log(float64((lone[a] + faint) / (lone[b] + faint)))
}

// scale measures characters a and b on the cells that show them, by the measure that
// tells them apart best.
func (s *sheet) scale(a, b int) scale {
	if k, ok := s.scales[[2]int{a, b}]; ok {
		return k
	}
	var best scale
	clear := float64(apart)
	for _, place := range []func(i, a, b int) float64{s.between, s.alone} {
		ma, mb, v := s.groups(place, a, b, s.shows[a], s.shows[b])
		d := ma - mb
		if n := d / math.Sqrt(max(v, 1e-12)); d > 0 && n >= clear {
			clear = n
			best = scale{place, (ma + mb) / 2, d / (v + (spare*d)*(spare*d))}
		}
		if s.cells[0].Lone == nil || s.dissent[a] || s.dissent[b] {
			// What the readings of single cells say may be why they dissent.
			break
		}
	}
	s.scales[[2]int{a, b}] = best
	return best
}

// groups are the means of two groups of cells by a measure between a and b, and the
// variance within them.
func (s *sheet) groups(place func(i, a, b int) float64, a, b int, one, other []int) (m1, m2, v float64) {
	mean := func(cells []int) (mean, squares, n float64) {
		n = float64(min(len(cells), most))
		for k := range int(n) {
			t := place(cells[k*len(cells)/int(n)], a, b)
			mean, squares = mean+t/n, squares+t*t
		}
		return mean, max(squares-n*mean*mean, 0), n
	}
	m1, v1, n1 := mean(one)
	m2, v2, n2 := mean(other)
	return m1, m2, (v1 + v2) / max(n1+n2-1, 1)
}

// part takes from the cells that show a character those that are another one: they
// lie together, apart from the rest.
func (s *sheet) part() {
	for r := range s.shows {
		if r == 0 || len(s.shows[r]) < 2*fewest {
			continue
		}
		best, far := 0, float64(parted)
		for b := range s.shows {
			if b == 0 || b == r {
				continue
			}
			if n := s.strangers(r, b); n > far {
				best, far = b, n
			}
		}
		if best != 0 {
			its, rest := s.split(r, best)
			s.shows[r] = rest
			s.shows[best] = append(s.shows[best], its...)
			slices.Sort(s.shows[best])
			s.shows[best] = slices.Compact(s.shows[best])
		}
	}
}

// split are the cells among those that show r that may be b, and the rest.
func (s *sheet) split(r, b int) (its, rest []int) {
	for _, i := range s.shows[r] {
		if s.cells[i].Prob[b] >= likely {
			its = append(its, i)
		} else {
			rest = append(rest, i)
		}
	}
	return its, rest
}

// strangers is how far, in standard deviations, the cells that show r but may be b lie
// from the rest and towards b.
func (s *sheet) strangers(r, b int) float64 {
	its, rest := s.split(r, b)
	if len(its) < fewest || len(rest) < fewest {
		return 0
	}
	m1, m2, v := s.groups(s.alone, b, r, its, rest)
	middle := 0.0
	if len(s.shows[b]) >= fewest {
		mb, _, _ := s.groups(s.alone, b, r, s.shows[b], rest)
		middle = (mb + m2) / 2
	}
	if m1 < middle {
		return 0
	}
	return (m1 - m2) / math.Sqrt(max(v, 1e-12))
}

// far is how far cell i lies from the usual picture of character r, made without
// it.
func (s *sheet) far(i, r int) float64 {
	usual := &s.sums[r]
	if s.isShown(i, r) {
		rest := *usual
		rest.add(&s.pix[i], -1)
		usual = &rest
	}
	return 2 - 2*s.pix[i].likeness(usual)
}
