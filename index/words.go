package index

import (
	"strings"
	"unicode"
)

// alike are characters that readers of worn print take for each other, each
// folded to the first of its set. No set holds two digits, so that numbers stay
// apart: 68 never becomes 86.
var alike = strings.NewReplacer(
	"0", "o", "d", "o", "q", "o",
	"1", "l", "i", "l", "|", "l", "!", "l", "j", "l",
	"5", "s", "8", "b", "2", "z", "6", "g", "v", "u",
)

// fold cuts text into words in the form in which they are compared, so that
// D1ESEL and DIESEL meet.
func fold(text string) []string {
	var out []string
	for _, w := range cutWords(text) {
		out = append(out, alike.Replace(w))
	}
	return out
}

// joinFolded folds lines into the text that is indexed.
func joinFolded(lines []string) string { return strings.Join(fold(strings.Join(lines, " ")), " ") }

// cutWords cuts text into lower-case words. Points and colons stay inside
// numbers, commas between digits go: "10,000" is 10000, "0.2" is 0.2 and
// "03/14/2025" is three words.
func cutWords(text string) []string {
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

// minFuzzy is the shortest word that may differ by one character; a shorter one
// is soon another word.
const minFuzzy = 5

// fuzzy reports whether a folded word may be found with one character wrong.
// Numbers never may.
func fuzzy(original string) bool {
	n := 0
	for _, c := range original {
		if unicode.IsLetter(c) {
			n++
		}
	}
	return n >= minFuzzy && n*2 > len(original)
}

// term is one word or phrase of a search.
type term struct {
	words  []string // folded
	fuzzy  []bool
	not    bool // must not be there
	shown  string
	phrase bool
}

// parseTerms reads what a person typed into a search box: words that must all
// be there, "phrases in quotes", and -words or -"phrases" that must not.
func parseTerms(text string) []term {
	var out []term
	for rest := strings.TrimSpace(text); rest != "" && len(out) < maxTerms; rest = strings.TrimSpace(rest) {
		var t term
		if strings.HasPrefix(rest, "-") {
			t.not, rest = true, rest[1:]
		}
		var piece string
		if strings.HasPrefix(rest, `"`) {
			piece, rest, _ = strings.Cut(rest[1:], `"`)
			t.phrase = true
		} else if i := strings.IndexFunc(rest, unicode.IsSpace); i >= 0 {
			piece, rest = rest[:i], rest[i:]
		} else {
			piece, rest = rest, ""
		}
		out = appendTerm(out, t, piece)
	}
	return out
}

// maxTerms bounds a search; a person types far fewer.
const maxTerms = 32

func appendTerm(out []term, t term, piece string) []term {
	for _, w := range cutWords(piece) {
		t.words = append(t.words, alike.Replace(w))
		t.fuzzy = append(t.fuzzy, fuzzy(w) && !t.not)
	}
	if len(t.words) == 0 {
		return out
	}
	t.shown = piece
	return append(out, t)
}

// phrases are terms that must be there as they stand.
func phrases(words []string) []term {
	var out []term
	for _, w := range words {
		out = appendTerm(out, term{phrase: true}, w)
	}
	return out
}
