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
	"slices"
	"strings"
)

//go:embed words.txt
var list string

// List is a list of words. It may be used by several goroutines.
type List struct {
	root  *node
	words int
}

// node is a beginning of words.
type node struct {
	next [26]*node
	word bool
}

// Load returns the list of the project.
func Load() *List {
	return New(strings.FieldsFunc(uncommented(list), func(r rune) bool { return r == '\n' }))
}

func uncommented(text string) string {
	for strings.HasPrefix(text, "#") {
		_, text, _ = strings.Cut(text, "\n")
	}
	return text
}

// New makes a list of words in small letters a to z; others are left out.
func New(all []string) *List {
	l := &List{root: &node{}}
	for _, w := range all {
		if w != "" && strings.IndexFunc(w, func(r rune) bool { return r < 'a' || r > 'z' }) < 0 {
			l.add(w)
			l.words++
		}
	}
	for _, w := range all {
		if len(w) >= takesS && !strings.HasSuffix(w, "s") {
			l.add(w + "s")
		}
	}
	return l
}

func (l *List) add(w string) {
	at := l.root
	for _, r := range w {
		next := &at.next[r-'a']
		if *next == nil {
			*next = &node{}
		}
		at = *next
	}
	at.word = true
}

// What is known of print beforehand.
const (
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
	mostOdds = 300
	// shortest is the fewest letters by which anything is told.
	shortest = 3
	// hardly is the share of its run's likeliest reading below which a word is not
	// looked for.
	hardly = 1e-5
)

// before and behind are signs that stand at a word's ends.
const (
	before = "([<{*#\"'+-=>"
	behind = ")]>}*.,:;!?%\"'=-"
	mostAt = 2 // of them at each end
)

// Weigh weighs what the cells of a run without blanks hold: probs[k][i] is the
// probability that cell k holds alphabet[i], and is changed. It returns how likely it is
// that the run is of the list.
func (l *List) Weigh(probs [][]float64, alphabet []rune) float64 {
	s := newSearch(l, probs, alphabet)
	for from := 0; from <= min(mostAt, len(probs)-shortest); from++ {
		led := s.signs(0, from, before)
		for _, c := range []letters{small, capital, title} {
			s.follow(l.root, c, from, from, led)
		}
	}
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

// letters is how a word is spelled.
type letters int

const (
	small letters = iota
	capital
	title
)

// search looks for words of the list in a run of cells.
type search struct {
	probs [][]float64
	of    [2][26]int // where small and capital letters stand in the alphabet
	sign  map[rune]int
	most  []float64   // the likeliest reading from a cell on
	odds  []float64   // of a word of the list against any string, by its length
	path  []int       // places in the alphabet, from the word's first cell
	add   [][]float64 // what the words found add to the probabilities
	total float64     // their weight together
}

func newSearch(l *List, probs [][]float64, alphabet []rune) *search {
	n := len(probs)
	s := &search{probs: probs, sign: map[rune]int{}, most: make([]float64, n+1), odds: make([]float64, n+1), path: make([]int, n), add: make([][]float64, n)}
	for i, r := range alphabet {
		switch {
		case r >= 'a' && r <= 'z':
			s.of[0][r-'a'] = i
		case r >= 'A' && r <= 'Z':
			s.of[1][r-'A'] = i
		default:
			s.sign[r] = i
		}
	}
	s.most[n] = 1
	for k := n - 1; k >= 0; k-- {
		s.most[k] = s.most[k+1] * max(slices.Max(probs[k]), 1e-9)
		s.add[k] = make([]float64, len(alphabet))
	}
	odds := listed / (1 - listed) / float64(max(l.words, 1))
	for k := range s.odds {
		s.odds[k] = min(odds, mostOdds)
		odds *= choices
	}
	return s
}

// signs is how likely cells from..to hold nothing but such signs.
func (s *search) signs(from, to int, which string) float64 {
	p := 1.0
	for k := from; k < to; k++ {
		v := s.of1(k, which)
		if v < 0.5 { // as good a letter, of a word that is not of the list
			return 0
		}
		p *= v * signed * choices
	}
	return p
}

func (s *search) of1(k int, which string) float64 {
	sum := 0.0
	for _, r := range which {
		if i, ok := s.sign[r]; ok {
			sum += s.probs[k][i]
		}
	}
	return sum
}

// follow goes on from a beginning of words that cells start..k hold with probability p.
func (s *search) follow(at *node, c letters, start, k int, p float64) {
	if p*s.most[k] < hardly*s.most[0] {
		return
	}
	if at.word && k-start >= shortest {
		if behindAll := len(s.probs) - k; behindAll <= mostAt {
			s.found(start, k, p*s.signs(k, len(s.probs), behind))
		}
	}
	if k == len(s.probs) {
		return
	}
	form := 0
	if c == capital || c == title && k == start {
		form = 1
	}
	for i, next := range at.next {
		if next != nil {
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
			s.spread(k, before, w)
		case k < end:
			s.add[k][s.path[k]] += w
		default:
			s.spread(k, behind, w)
		}
	}
}

// spread adds w to the signs that cell k may hold.
func (s *search) spread(k int, which string, w float64) {
	all := s.of1(k, which)
	for _, r := range which {
		if i, ok := s.sign[r]; ok && all > 0 {
			s.add[k][i] += w * s.probs[k][i] / all
		}
	}
}
