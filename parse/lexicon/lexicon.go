// Package lexicon is the vocabulary of release-detection printouts: which
// spellings stand for which grade, result, unit or label. The grammar that
// reads slips and the one that reads questions share it, so that what can be
// printed can be asked.
//
// Start with Default and Lookup. Lookup tolerates misread characters; a short
// word must match better than a long one. The words are data, in words.txt.
package lexicon

import (
	_ "embed"
	"slices"
	"sort"
	"strings"
	"sync"
	"unicode/utf8"

	"tankroll/parse/confuse"
)

// Sense says what a spelling is read as.
type Sense string

// The senses, with the codes that belong to them.
const (
	Grade       Sense = "grade"        // regular midgrade premium e15 e85 diesel biodiesel kerosene def other
	Result      Sense = "result"       // pass fail inconclusive aborted
	Kind        Sense = "kind"         // the record kinds, as titles and questions name them
	Device      Sense = "device"       // tank line sensor system
	SensorState Sense = "sensor_state" // normal fuel water liquid high low out other
	AlarmState  Sense = "alarm_state"  // raised cleared acknowledged
	Method      Sense = "method"       // static continuous
	TestClass   Sense = "test_class"   // 3.0 0.2 0.1
	Unit        Sense = "unit"         // gal l in mm degf degc gal/h l/h h min s psi percent
	Month       Sense = "month"        // 1 to 12
	Weekday     Sense = "weekday"      // mon to sun
	Part        Sense = "part"         // the words that labels are made of
	Filler      Sense = "filler"       // words without weight, code "filler"
	Short       Sense = "short"        // short forms of the words of titles, the code is the word
	Skip        Sense = "skip"         // closing and courtesy lines
	Sign        Sense = "sign"         // words for a gain or a loss: plus minus
	Apparatus   Sense = "apparatus"    // what a header says that no field is for
	Topic       Sense = "topic"        // what a title speaks of, word by word
	FieldLabel  Sense = "field"        // names of record fields, such as leak_rate
)

// senses lists them in file order, FieldLabel last: it is made from Part.
var senses = []Sense{Grade, Result, Kind, Device, SensorState, AlarmState, Method, TestClass, Unit, Month, Weekday, Part, Short, Filler, Skip, Sign, Topic, Apparatus, FieldLabel}

// Senses is a set of senses, a bit each.
type Senses uint32

// Bit is the set of one sense.
func (s Sense) Bit() Senses {
	switch s { // asked for at every word: faster than a map
	case Grade:
		return 1 << 0
	case Result:
		return 1 << 1
	case Kind:
		return 1 << 2
	case Device:
		return 1 << 3
	case SensorState:
		return 1 << 4
	case AlarmState:
		return 1 << 5
	case Method:
		return 1 << 6
	case TestClass:
		return 1 << 7
	case Unit:
		return 1 << 8
	case Month:
		return 1 << 9
	case Weekday:
		return 1 << 10
	case Part:
		return 1 << 11
	case Short:
		return 1 << 12
	case Filler:
		return 1 << 13
	case Skip:
		return 1 << 14
	case Sign:
		return 1 << 15
	case Topic:
		return 1 << 16
	case Apparatus:
		return 1 << 17
	case FieldLabel:
		return 1 << 18
	}
	return 0
}

//go:embed words.txt
var words string

// Lexicon is a vocabulary; it is read-only and may be shared.
type Lexicon struct {
	Version  int // of the word list
	terms    map[Sense]map[string][]string
	entries  []entry
	exact    map[string][]int32 // spelling -> entries
	near     map[string][]int32 // Key or Key less one character -> entries
	nears    *sieve             // of the keys of near
	firsts   map[string]int     // Key of a first word, or less one character -> most words of a spelling that begins so
	numbers  map[string]bool    // words of spellings that are numbers
	patterns []Pattern
	taught   map[string]bool // spellings that a person taught; nil for none
	words    []entry         // parts of labels that are one word, by spelling

	found   *memory[known]    // what Word has found
	phrases *memory[[]Hit]    // what readers have made of phrases
	grades  *memory[gradeHit] // what GradeOf has found
}

type entry struct {
	sense    Sense
	code     string
	spelling string
}

// Hit is one reading of a phrase. Cost 0 is an exact spelling.
type Hit struct {
	Sense    Sense
	Code     string
	Spelling string
	Cost     float64
}

// Pattern says which parts together name a field, in any order.
type Pattern struct {
	Kind     string // a record kind, "header", or "*" for every kind that has the field
	Field    string
	Required []string
	Optional []string
}

// defaults is made once, when first asked for.
var defaults = sync.OnceValue(func() *Lexicon {
	l, err := parse(words)
	if err != nil {
		panic("internal error: " + err.Error()) // the word list is part of the program
	}
	return l
})

// Default is the vocabulary that comes with the program.
func Default() *Lexicon { return defaults() }

// Terms lists the spellings of every code of a sense, the usual one first.
// The caller must not change them.
func (l *Lexicon) Terms(s Sense) map[string][]string { return l.terms[s] }

// Patterns lists how parts name fields. The caller must not change it.
func (l *Lexicon) Patterns() []Pattern { return l.patterns }

// Normal brings a phrase to the form that spellings have: lower case, words
// parted by one space, no punctuation around it.
func Normal(phrase string) string {
	for len(phrase) > 0 && isMark(phrase[0]) {
		phrase = phrase[1:]
	}
	for len(phrase) > 0 && isMark(phrase[len(phrase)-1]) {
		phrase = phrase[:len(phrase)-1]
	}
	phrase = strings.ToLower(phrase)
	if singlySpaced(phrase) {
		return phrase
	}
	return strings.Join(strings.Fields(phrase), " ")
}

// isMark reports whether a character around a phrase is no part of it.
func isMark(c byte) bool {
	switch c {
	case ' ', '\t', '\r', '\n', ':', ';', '=', ',', '*', '<', '>', '[', ']':
		return true
	}
	return false
}

// singlySpaced reports whether the words of a text are ASCII and parted by one space
// each, as nearly all are.
func singlySpaced(text string) bool {
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c < ' ' || c >= utf8.RuneSelf || c == ' ' && (i == 0 || i+1 == len(text) || text[i-1] == ' ') {
			return false
		}
	}
	return true
}

// Lookup finds the code whose spelling is nearest to the phrase. It is not ok
// when nothing is near enough or when two codes are equally near.
func (l *Lexicon) Lookup(s Sense, phrase string) (code string, cost float64, ok bool) {
	best, second := -1, ""
	hits := l.Find(phrase)
	for i, h := range hits {
		switch {
		case h.Sense != s:
		case best < 0:
			best = i
		case h.Code != hits[best].Code && h.Cost == hits[best].Cost && h.Cost > 0:
			second = h.Code
		}
	}
	if best < 0 || second != "" {
		return "", 0, false
	}
	return hits[best].Code, hits[best].Cost, true
}

// Find lists every reading of the phrase in all senses, the nearest first and
// each code of a sense once. An exact spelling in any sense rules out near ones:
// a word that is right is seldom another one misread.
func (l *Lexicon) Find(phrase string) []Hit {
	hits, _ := l.Word(phrase)
	return hits
}

// Word is Find, and how many words a spelling that begins with this word may have, 0
// when none begins so; it saves trying longer phrases.
func (l *Lexicon) Word(word string) (hits []Hit, most int) {
	p := Normal(word)
	if p == "" || len(p) > maxPhrase {
		return nil, 0
	}
	k, ok := l.found.get(p)
	if !ok {
		k = known{slices.Clip(l.look(p)), l.mostWords(p)}
		l.found.put(p, k)
	}
	return k.hits, k.most
}

// known is what Word has found.
type known struct {
	hits []Hit
	most int
}

// look is Find for a phrase in its normal form.
func (l *Lexicon) look(p string) []Hit {
	var hits []Hit
	for _, i := range l.exact[p] {
		hits = append(hits, l.hit(i, 0))
	}
	if limit := tolerance(p); limit > 0 && !means(hits) {
		hits = l.addNear(hits, p, limit)
	}
	sort.SliceStable(hits, func(a, b int) bool { return hits[a].Cost < hits[b].Cost })
	return dropRepeats(hits)
}

// means reports whether there is a reading besides the name of a field.
func means(hits []Hit) bool {
	for _, h := range hits {
		if h.Sense != FieldLabel {
			return true
		}
	}
	return false
}

// maxPhrase bounds the work for one phrase, in bytes; the longest spelling is
// about 35.
const maxPhrase = 48

func (l *Lexicon) hit(i int32, cost float64) Hit {
	e := l.entries[i]
	return Hit{e.sense, e.code, e.spelling, cost}
}

func (l *Lexicon) addNear(hits []Hit, p string, limit float64) []Hit {
	var done []int32
	try := func(key string) {
		if !l.nears.passes(key) {
			return
		}
		for _, i := range l.near[key] {
			e := l.entries[i]
			if slices.Contains(done, i) {
				continue
			}
			done = append(done, i)
			if !sameFigures(p, e.spelling) {
				continue
			}
			if c := confuse.Distance(p, e.spelling, min(limit, tolerance(e.spelling))); c <= limit && c <= tolerance(e.spelling) {
				hits = append(hits, Hit{e.sense, e.code, e.spelling, c})
			}
		}
	}
	key := confuse.Key(p)
	try(key)
	for i := range key {
		try(key[:i] + key[i+1:])
	}
	return hits
}

// sameFigures reports whether every word of the phrase that is a number stands
// in the spelling too: "tank 1" is not "tank id".
func sameFigures(p, spelling string) bool {
	if !strings.Contains(p, " ") {
		return true
	}
	for len(p) > 0 {
		w, rest, _ := strings.Cut(p, " ")
		p = rest
		if isFigures(w) && !hasWord(spelling, w) {
			return false
		}
	}
	return true
}

// isFigures reports whether a word is a number by its characters.
func isFigures(w string) bool {
	for i := 0; i < len(w); i++ {
		if (w[i] < '0' || w[i] > '9') && w[i] != '.' && w[i] != ',' {
			return false
		}
	}
	return w != ""
}

// StrayNumber reports whether a word is a number that stands in no spelling, so that no
// phrase with that word, or another one misread, has a reading.
func (l *Lexicon) StrayNumber(word string) bool {
	return isFigures(word) && !isMark(word[0]) && !isMark(word[len(word)-1]) && !l.numbers[word]
}

func hasWord(s, word string) bool {
	for len(s) > 0 {
		w, rest, _ := strings.Cut(s, " ")
		if w == word {
			return true
		}
		s = rest
	}
	return false
}

// tolerance is how far a word may be misread and still count, by its length:
// a short word is soon another word.
func tolerance(p string) float64 {
	n := 0
	for i := 0; i < len(p); i++ {
		if p[i] >= 'a' && p[i] <= 'z' || p[i] >= '0' && p[i] <= '9' {
			n++
		}
	}
	switch {
	case n <= 1:
		return 0
	case n == 2:
		return 0.35 // one look-alike
	case n <= 4:
		return 0.65 // two look-alikes
	case n == 5:
		return 1.05 // one character
	case n <= 8:
		return 1.35
	}
	return 2.2
}

// dropRepeats keeps the first hit of every code in a sense.
func dropRepeats(hits []Hit) []Hit {
	out := hits[:0]
	for _, h := range hits {
		seen := false
		for _, o := range out {
			seen = seen || o.Sense == h.Sense && o.Code == h.Code
		}
		if !seen {
			out = append(out, h)
		}
	}
	return out
}

// Cut finds the part of a label whose word begins with the given letters, as
// "differ" begins difference. It is not ok when words of several parts do.
func (l *Lexicon) Cut(begin string) (code string, ok bool) {
	const fewest = 4 // letters; fewer begin too many words
	if len(begin) < fewest {
		return "", false
	}
	i := sort.Search(len(l.words), func(i int) bool { return l.words[i].spelling >= begin })
	for ; i < len(l.words) && strings.HasPrefix(l.words[i].spelling, begin); i++ {
		if code != "" && l.words[i].code != code {
			return "", false
		}
		code = l.words[i].code
	}
	return code, code != ""
}

// mostWords is how many words a spelling that begins with this word may have.
func (l *Lexicon) mostWords(p string) int {
	key := confuse.Key(p)
	most := l.firsts[key]
	for i := range key {
		most = max(most, l.firsts[key[:i]+key[i+1:]])
	}
	return most
}
