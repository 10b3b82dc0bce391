// Package tagger is a second reading of a printout's words: two small networks say for
// each word which field of which kind of record it belongs to, and of any two words
// whether they belong to one record. Of words that say a code, such as a result or a state, it
// says which.
//
// The grammar goes by rules, and where a slip is laid out as no rule foresaw, it loses a
// record or takes one value for another. What stands around a word tells a person what it
// is all the same, and the networks have learned that from printouts and what they say. They
// err where the grammar does not and the other way round, so that each can be asked
// about the other: package parse doubts what the two read differently, and takes from
// here, as doubtful, what it found nothing for.
//
// The two differ by where they began and what they learned from, and err on other words; the mean of both
// is right more often than either. They see the letters of words, not their meaning: pieces of two to four letters,
// whether a figure is large, where a word stands, and how any two words stand to each other:
// so many words apart on a line, or so many lines apart, above each other or not. What the
// lexicon knows a word as is told to them besides. Weights are learned by the programs in the
// folder train.
package tagger

import (
	_ "embed"
	"fmt"
	"math"
	"strings"
	"sync"

	"tankroll/parse/lexicon"
)

// The sizes of a network; train/learn.py has the same.
const (
	buckets = 4096 // of pieces of words
	wide    = 96   // numbers that a word is held in
	heads   = 4
	levels  = 3
	pairs   = 32 // numbers that two words are compared by
	figures = 10 // numbers that say what a word's figures are like
	steps   = 12 // values of each of what is known of a place
)

// MostWords is how many words are looked at together. A longer slip is looked at in parts,
// each of which shares a quarter with the next.
const MostWords = 240

// Word is one word of a printout.
type Word struct {
	Text       string
	Line       int  // of the slip
	Place      int  // among the words of its line
	Col, Width int  // in characters
	Apart      bool // an empty line stands above
}

// Tag is what a word can be: a field of a kind of record, or of the "header". The zero Tag
// is none of them.
type Tag struct{ Kind, Field string }

// Tags is what was read of some words.
type Tags struct {
	net    *Net
	likely [][]float32 // by word and tag
	codes  [][]float32 // log odds by word and code
	parts  []comparing
}

// comparing holds what any two words that were looked at together are compared by.
type comparing struct {
	from          int // the first of them
	words         []Word
	asks, answers [][]float32 // by network, the numbers of all words
}

// Best is what a word most likely is, and how likely, 0 to 1.
func (t *Tags) Best(word int) (Tag, float64) {
	best := 0
	for i, v := range t.likely[word] {
		if v > t.likely[word][best] {
			best = i
		}
	}
	return t.net.names[best], float64(t.likely[word][best])
}

// Likely is how likely a word belongs to a field, 0 to 1; 0 for a field that the network was
// not taught.
func (t *Tags) Likely(word int, tag Tag) float64 {
	i, ok := t.net.of[tag]
	if !ok {
		return 0
	}
	return float64(t.likely[word][i])
}

// Most is how likely each field is for that of some words which is most likely it, 0 to 1.
func (t *Tags) Most(of func(word int) bool) map[Tag]float64 {
	most := make([]float32, len(t.net.names))
	for w, likely := range t.likely {
		if !of(w) {
			continue
		}
		for i, v := range likely {
			most[i] = max(most[i], v)
		}
	}
	out := make(map[Tag]float64, len(most))
	for i, v := range most {
		out[t.net.names[i]] = float64(v)
	}
	return out
}

// Knows reports whether the network was taught a field.
func (t *Tags) Knows(tag Tag) bool {
	_, ok := t.net.of[tag]
	return ok
}

// Same is how likely two words belong to one record, 0 to 1; 0 for words that were not looked
// at together.
func (t *Tags) Same(a, b int) float64 {
	for i := range t.parts {
		p := &t.parts[i]
		if x, y := a-p.from, b-p.from; min(x, y) >= 0 && max(x, y) < len(p.words) {
			return 1 / (1 + math.Exp(-(t.net.odds(p, x, y)+t.net.odds(p, y, x))/2))
		}
	}
	return 0
}

// Net is trained networks whose mean is taken. It may be used by several goroutines.
type Net struct {
	names []Tag
	of    map[Tag]int
	coded []coded
	known map[string][]uint16 // what the lexicon knows words as, as pieces
	nets  []network
	rooms sync.Pool // of *room
}

//go:embed weights.bin
var weights []byte

//go:embed tags.txt
var tags string

var loaded = sync.OnceValues(func() (*Net, error) { return Decode(tags, weights) })

// Load returns the trained networks.
func Load() (*Net, error) { return loaded() }

// Decode reads the names of fields, one kind.field a line, the first for none, and the
// weights as train/learn.py keeps them: numbers of half precision, lowest byte first, of one
// network behind the other.
func Decode(tags string, b []byte) (*Net, error) {
	n := &Net{of: map[Tag]int{}, known: knownWords(lexicon.Default())}
	n.rooms.New = func() any { return &room{first: map[string]int{}} }
	for i, l := range strings.Fields(tags) {
		kind, field, _ := strings.Cut(l, ".")
		t := Tag{kind, field}
		if i == 0 {
			t = Tag{}
		}
		n.of[t] = len(n.names)
		n.names = append(n.names, t)
	}
	var codes int
	n.coded, codes = codedFields()
	for size, ok := len(b), false; len(b) > 0 || len(n.nets) == 0; {
		var w network
		if w, b, ok = decodeNetwork(b, len(n.names), codes); !ok {
			return nil, fmt.Errorf("tagger: %d bytes of weights are not those of networks with these %d tags", size, len(n.names))
		}
		n.nets = append(n.nets, w)
	}
	return n, nil
}

// Read says what the words of a slip of so many lines are, in their order.
func (n *Net) Read(words []Word, lines int) *Tags {
	t := &Tags{net: n, likely: make([][]float32, len(words)), codes: make([][]float32, len(words))}
	for from := 0; from < len(words); {
		to := min(from+MostWords, len(words))
		p := n.part(words[from:to], lines)
		for i := range p.likely {
			if w := from + i; t.likely[w] == nil || i >= MostWords/8 {
				t.likely[w], t.codes[w] = p.likely[i], p.codes[i]
			}
		}
		p.comparing.from = from
		t.parts = append(t.parts, p.comparing)
		if to == len(words) {
			break
		}
		from = to - MostWords/4
	}
	return t
}
