// Package wordlist tells letters that look alike by the words that they make. PUMP is
// printed more often than PVMP; where the pictures of the letters leave both open, the
// list of words that consoles print decides, and where they do not it changes nothing.
//
// A run of cells is taken as printed either of a word of the list or of any characters
// at all. How likely the first is beforehand, and how much likelier a word of the list
// then is than a chance string of its length, are two numbers; the rest is the rule of
// Bayes over all readings of the run, so that what comes out are probabilities again.
package wordlist

import (
	_ "embed"
	"iter"
	"slices"
	"strings"
	"unicode"
)

//go:embed words.txt
var list string

// List is a list of words. It may be used by several goroutines.
type List struct {
	root  *node
	words int
	of    [2][36]int // where letters and figures stand in the alphabet, small and capital
	lead  []int      // and the signs before a word
	trail []int      // and those behind it
	part  []int      // and the blank and signs that part words
}

// node is a beginning of words.
type node struct {
	next [36]*node // by a to z and 0 to 9
	word bool
	odds float64 // of a word of letters and figures: how much likelier it is than its neighbours let on
}

// Load returns the list of the project, for cells that may hold the characters of an
// alphabet.
func Load(alphabet []rune) *List { return New(strings.Fields(uncommented(list)), alphabet) }

func uncommented(text string) string {
	for strings.HasPrefix(text, "#") {
		_, text, _ = strings.Cut(text, "\n")
	}
	return text
}

// New makes a list of words in small letters a to z and figures; others are left out. All
// of them must be in the alphabet.
func New(all []string, alphabet []rune) *List {
	l := &List{root: &node{}, lead: placesOf(before, alphabet), trail: placesOf(behind, alphabet), part: placesOf(parting, alphabet)}
	for i, r := range spelled {
		l.of[0][i] = slices.Index(alphabet, r)
		l.of[1][i] = slices.Index(alphabet, unicode.ToUpper(r))
	}
	for _, w := range all {
		if w != "" && strings.Trim(w, spelled) == "" {
			l.insert(w)
			l.words++
		}
	}
	for _, w := range all {
		if len(w) >= takesS && !strings.HasSuffix(w, "s") && !strings.ContainsAny(w, figures) {
			l.insert(w + "s")
		}
	}
	return l
}

// placesOf is where those signs that are in the alphabet stand in it.
func placesOf(signs string, alphabet []rune) []int {
	var out []int
	for _, r := range signs {
		if i := slices.Index(alphabet, r); i >= 0 {
			out = append(out, i)
		}
	}
	return out
}

func (l *List) insert(w string) {
	at := l.root
	for _, r := range w {
		next := &at.next[strings.IndexRune(spelled, r)]
		if *next == nil {
			*next = &node{}
		}
		at = *next
	}
	at.word, at.odds = true, 1
	if strings.ContainsAny(w, figures) {
		at.odds = mixed
	}
}

// What words are made of.
const (
	figures     = "0123456789"
	spelled     = "abcdefghijklmnopqrstuvwxyz" + figures
	letterCount = len(spelled) - len(figures)
)

// What is known of print beforehand.
const (
	// mixed is how much likelier a word of figures and letters is, once listed, than the chain over
	// kinds of characters takes it for (package ocr): 1st and B20 are no chance strings.
	mixed = 20
	// listed is how many of the runs that are no numbers are of the list.
	listed = 0.5
	// choices is how many characters there are to choose from in a string of one kind.
	choices = 20.0
	// takesS is from how many letters on a word of the list may have an s behind it.
	takesS = 4
	// signed is how many words have a sign at an end.
	signed = 0.2
	// mostOdds is how much likelier a word of the list is at most than any string: there
	// are words that are like one of the list and not of it.
	mostOdds = 600
	// shortest is the fewest letters by which anything is told.
	shortest = 3
	// hardly is the share of its run's likeliest reading below which a word is not
	// looked for.
	hardly = 1e-5
)

// parting are the blank and the signs between which words are looked for, and longest bounds
// what stands between them.
const (
	parting = " -/&+|_"
	longest = 24
)

// before and behind are signs that stand at a word's ends.
const (
	before = "([<{*#\"'+-=>"
	behind = ")]>}*.,:;!?%\"'=-"
	mostAt = 2 // of them before a word, and so many behind it that speak for a word
)

// Runs are the runs of a line's cells, given as in Weigh, in which words are looked for: what
// stands between blanks and the signs that part words, unless it is longer than any word.
func (l *List) Runs(probs [][]float64) iter.Seq[[][]float64] {
	parts := func(row []float64) bool {
		best := 0
		for i, p := range row {
			if p > row[best] {
				best = i
			}
		}
		return slices.Contains(l.part, best)
	}
	return func(yield func([][]float64) bool) {
		for k := 0; k < len(probs); k++ {
			from := k
			for k < len(probs) && !parts(probs[k]) {
				k++
			}
			if n := k - from; n > 0 && n <= longest && !yield(probs[from:k]) {
				return
			}
		}
	}
}

// Weigh weighs what the cells of a run without blanks hold: probs[k][i] is the
// probability that cell k holds the alphabet's character i, and is changed. It returns how likely it is
// that the run is of the list.
func (l *List) Weigh(probs [][]float64) float64 {
	s := l.search(probs)
	if s.total == 0 {
		return 0
	}
	share := 1 / (1 + s.total)
	for k, row := range probs {
		for i := range row {
			row[i] = (row[i] + s.add[k][i]) * share
		}
	}
	return s.total * share
}

// Odds are the odds, against any characters at all, that a run, given as in Weigh, is of the
// list.
func (l *List) Odds(probs [][]float64) float64 { return l.search(probs).total }

// search finds all words of the list in a run.
func (l *List) search(probs [][]float64) *search {
	s := newSearch(l, probs)
	for from := 0; from <= min(mostAt, len(probs)-shortest); from++ {
		led := s.signs(0, from, l.lead)
		for _, c := range []letters{small, capital, title} {
			s.follow(l.root, c, from, from, led)
		}
	}
	return s
}

// letters is how a word is spelled.
type letters int

const (
	small letters = iota
	capital
	title
)

// search looks for words of the list in a run of cells.
type search struct {
	*List
	probs [][]float64
	most  []float64   // the likeliest reading from a cell on
	odds  []float64   // of a word of the list against any string, by its length
	path  []int       // places in the alphabet, from the word's first cell
	add   [][]float64 // what the words found add to the probabilities
	total float64     // their weight together
}

func newSearch(l *List, probs [][]float64) *search {
	n := len(probs)
	s := &search{List: l, probs: probs, most: make([]float64, n+1), odds: make([]float64, n+1), path: make([]int, n), add: make([][]float64, n)}
	s.most[n] = 1
	for k := n - 1; k >= 0; k-- {
		s.most[k] = s.most[k+1] * max(slices.Max(probs[k]), 1e-9)
		s.add[k] = make([]float64, len(probs[k]))
	}
	odds := listed / (1 - listed) / float64(max(l.words, 1))
	for k := range s.odds {
		s.odds[k] = min(odds, mostOdds)
		odds *= choices
	}
	return s
}

// signs is how likely cells from..to hold nothing but such signs, given by their places.
func (s *search) signs(from, to int, which []int) float64 {
	p := 1.0
	for k := from; k < to; k++ {
		v := s.any(k, which)
		if v < 0.5 { // as good a letter, of a word that is not of the list
			return 0
		}
		p *= v
		if k < from+mostAt { // more of them are a leader and say nothing of the word
			p *= signed * choices
		}
	}
	return p
}

// any is how likely cell k holds one of some characters.
func (s *search) any(k int, which []int) float64 {
	sum := 0.0
	for _, i := range which {
		sum += s.probs[k][i]
	}
	return sum
}

// follow goes on from a beginning of words that cells start..k hold with probability p.
func (s *search) follow(at *node, c letters, start, k int, p float64) {
	if p*s.most[k] < hardly*s.most[0] {
		return
	}
	if at.word && k-start >= shortest {
		s.found(start, k, p*at.odds*s.signs(k, len(s.probs), s.trail))
	}
	if k == len(s.probs) {
		return
	}
	form := 0
	if c == capital || c == title && k == start {
		form = 1
	}
	for i, next := range at.next {
		if next != nil && !(c == title && k == start && i >= letterCount) { // the same as small
			place := s.of[form][i]
			s.path[k] = place
			s.follow(next, c, start, k+1, p*s.probs[k][place])
		}
	}
}

// found adds a word in cells start..end that is there with probability p.
func (s *search) found(start, end int, p float64) {
	w := p * s.odds[end-start]
	if w == 0 {
		return
	}
	s.total += w
	for k := range s.probs {
		switch {
		case k < start:
			s.spread(k, s.lead, w)
		case k < end:
			s.add[k][s.path[k]] += w
		default:
			s.spread(k, s.trail, w)
		}
	}
}

// spread adds w to the signs that cell k may hold.
func (s *search) spread(k int, which []int, w float64) {
	all := s.any(k, which)
	for _, i := range which {
		if all > 0 {
			s.add[k][i] += w * s.probs[k][i] / all
		}
	}
}
