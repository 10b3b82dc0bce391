package text

import (
	"strings"
	"unicode"

	"tankroll/parse/confuse"
)

// alike are characters that readers of worn print take for each other, each
// folded to the first of its set. No set holds two digits, so that numbers stay
// apart: 68 never becomes 86.
var alike = strings.NewReplacer(
	"0", "o", "d", "o", "q", "o",
	"1", "l", "i", "l", "|", "l", "!", "l", "j", "l",
	"5", "s", "8", "b", "2", "z", "6", "g", "v", "u",
)

// Alike folds characters that are taken for each other, without cutting.
func Alike(s string) string { return alike.Replace(s) }

// Fold cuts text into words in the form in which they are compared, so that
// D1ESEL and DIESEL meet.
func Fold(text string) []string {
	out := Cut(text)
	for i, w := range out {
		out[i] = alike.Replace(w)
	}
	return out
}

// Cut cuts text into lower-case words. Points and colons stay inside numbers,
// commas between digits go: "10,000" is 10000, "0.2" is 0.2 and "03/14/2025" is
// three words.
func Cut(text string) []string {
	r := []rune(strings.ToLower(text))
	var out []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			out = append(out, string(word[:min(len(word), maxWord)]))
			word = word[:0]
		}
	}
	for i, c := range r {
		switch {
		case unicode.IsLetter(c) || unicode.IsDigit(c) || unicode.IsMark(c):
			word = append(word, c)
		case (c == '|' || c == '!') && i+1 < len(r) && (unicode.IsLetter(r[i+1]) || len(word) > 0 && unicode.IsDigit(r[i+1])):
			word = append(word, c)
		case (c == '.' || c == ':' || c == ',') && len(word) > 0 && digitAt(r, i-1) && digitAt(r, i+1):
			if c != ',' {
				word = append(word, c)
			}
		case c == '.' && len(word) == 0 && digitAt(r, i+1): // .2 is 0.2
			word = append(word, '0', '.')
		default:
			flush()
		}
	}
	flush()
	return out
}

// maxWord bounds a word: longer runs are rules, not words.
const maxWord = 40

func digitAt(r []rune, i int) bool { return i >= 0 && i < len(r) && r[i] >= '0' && r[i] <= '9' }

// Word is one word of a search.
type Word struct {
	Folded string
	limit  float64 // how far a printed word may be from it; 0 for one that must stand as it is
}

// How far a printed word may be from one that is looked for, by the costs of
// package confuse: one character wrong of five, or two that readers of worn
// print often mix up; of four, one that they mix up all the time. A shorter
// word is soon another word.
const (
	looseFrom  = 5
	looseLimit = 1.0
	shortFrom  = 4
	shortLimit = 0.35
)

// newWord makes a search word of a lower-case one; numbers stay as they are.
func newWord(w string, exact bool) Word {
	letters, all := 0, 0
	for _, c := range w {
		all++
		if unicode.IsLetter(c) {
			letters++
		}
	}
	out := Word{Folded: alike.Replace(w)}
	switch {
	case exact || letters*2 <= all || len(w) != all: // the costs are of ASCII
	case letters >= looseFrom:
		out.limit = looseLimit
	case letters >= shortFrom:
		out.limit = shortLimit
	}
	return out
}

// Is reports whether a folded printed word may be this one, and how far it is
// from it.
func (w Word) Is(printed string) (float64, bool) {
	if printed == w.Folded {
		return 0, true
	}
	if w.limit == 0 || len(printed) > len(w.Folded)+2 || len(w.Folded) > len(printed)+2 {
		return 0, false
	}
	d := confuse.Distance(printed, w.Folded, w.limit)
	return d, d <= w.limit
}

// Term is one word or phrase of a search.
type Term struct {
	Words []Word
	Shown string // as it was typed
}

// On finds the term in a run of folded words and calls each for every place, with
// the first word's number. It reports whether there is any.
func (t Term) On(printed []string, each func(first int)) bool {
	found := false
	for i := 0; i+len(t.Words) <= len(printed); i++ {
		ok := true
		for k, w := range t.Words {
			if _, ok = w.Is(printed[i+k]); !ok {
				break
			}
		}
		if ok {
			found = true
			if each == nil {
				return true
			}
			each(i)
		}
	}
	return found
}

// NewTerm makes a term of a word or a phrase; ok is false when it holds no word.
// Of an exact one no character may be wrong, but for those that Fold takes for
// one.
func NewTerm(shown string, exact bool) (t Term, ok bool) {
	t.Shown = shown
	for _, w := range Cut(shown) {
		if len(t.Words) == maxPhrase {
			break
		}
		t.Words = append(t.Words, newWord(w, exact))
	}
	return t, len(t.Words) > 0
}

// maxPhrase bounds the words of a phrase; a printed line has fewer.
const maxPhrase = 16
