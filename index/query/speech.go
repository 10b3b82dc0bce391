package query

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
)

//go:embed speech.txt
var speechText string

// everyday is speech.txt, read once.
var everyday = sync.OnceValue(func() speech { return readSpeech(speechText) })

// speech is how people say what the grammar has its own words for.
type speech struct {
	sayings map[string][]saying // by their first word
	pairs   map[string]bool     // words that stand side by side in a phrase
}

// saying is a phrase and the words that it is taken for.
type saying struct {
	parts []phrases // each a word, or the phrases of a class
	means []string  // nil for no meaning of its own
	told  bool      // the answer says so
	ends  bool      // only where a clause ends
}

// phrases are some that stand for the same, each as its words, by the first.
type phrases map[string][][]string

func (x phrases) add(phrase string) {
	words := strings.Fields(phrase)
	x[words[0]] = append(x[words[0]], words)
}

func readSpeech(text string) speech {
	out, classes, section := speech{map[string][]saying{}, map[string]bool{}}, map[string]phrases{}, ""
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if line[0] == '[' {
			section = line
			continue
		}
		name, list, ok := strings.Cut(line, "=")
		if name = strings.TrimSpace(name); !ok {
			panic(fmt.Sprintf("query: speech.txt:%d: no =", n+1))
		}
		for phrase := range strings.SplitSeq(list, "|") {
			phrase = strings.TrimSpace(phrase)
			for words := strings.Fields(phrase); len(words) > 1; words = words[1:] {
				out.pairs[words[0]+" "+words[1]] = true
			}
			if section == "[classes]" {
				if classes[name] == nil {
					classes[name] = phrases{}
				}
				classes[name].add(phrase)
				continue
			}
			s := saying{told: section == "[idioms]", ends: section == "[ending]"}
			if section != "[ending]" && section != "[nothing]" {
				s.means = strings.Fields(name)
			}
			for w := range strings.FieldsSeq(phrase) {
				if class, ok := strings.CutPrefix(w, "{"); ok {
					s.parts = append(s.parts, classes[strings.TrimSuffix(class, "}")])
				} else {
					s.parts = append(s.parts, phrases{w: {{w}}})
				}
			}
			for first := range s.parts[0] {
				out.sayings[first] = append(out.sayings[first], s)
			}
		}
	}
	return out
}

// length is how many words the phrase has at the beginning of others, 0 when it is
// not there; of a class the longest fits.
func (s saying) length(w []string) int {
	return lengthOf(s.parts, w)
}

func lengthOf(parts []phrases, w []string) int {
	best := 0
	if len(w) == 0 {
		return 0
	}
	for _, words := range parts[0][w[0]] {
		k := len(words)
		if k > len(w) || !slices.Equal(w[:k], words) {
			continue
		}
		rest := 0
		if len(parts) > 1 {
			if rest = lengthOf(parts[1:], w[k:]); rest == 0 {
				continue
			}
		}
		best = max(best, k+rest)
	}
	return best
}

// plainly says a question in the grammar's words, but for the names of sites and what
// is quoted; notes say what a phrase was taken for.
func plainly(t []token, sites *Names) (out []token, notes []string) {
	say := everyday()
	t = say.unhyphened(t)
	words := make([]string, len(t))
	for i, tok := range t {
		words[i] = tok.word
	}
	cut := false
	for i := 0; i < len(t); {
		n := 1
		if !t[i].quoted {
			if found, k := sites.whole(words[i:]); len(found) > 0 && k > 1 {
				out = append(out, t[i:i+k]...)
				i += k
				continue
			}
			if full := words[i] + "g"; strings.HasSuffix(words[i], "in") && len(full) > 4 && (small[full] || filler[full] || has(inIng, full)) { // lookin
				t[i].word, words[i] = full, full
			}
			if s, k := say.longest(t, words, i); k > 0 {
				if s.told {
					notes = append(notes, strings.Join(words[i:i+k], " ")+" is taken as "+strings.Join(s.means, " "))
				}
				for j, w := range s.means {
					out = append(out, token{word: w, raw: w, cut: j == 0 && (t[i].cut || cut), dash: j == 0 && t[i].dash, begins: j == 0 && t[i].begins})
				}
				cut = len(s.means) == 0 && (cut || t[i].cut || s.ends)
				i += k
				continue
			}
		}
		tok := t[i]
		tok.cut = tok.cut || cut
		cut = false
		out = append(out, tok)
		i += n
	}
	return out, notes
}

// unhyphened parts words at their hyphen where a phrase has both side by side.
func (s speech) unhyphened(t []token) []token {
	var out []token
	for _, tok := range t {
		a, b, ok := strings.Cut(tok.word, "-")
		if !ok || tok.quoted || a == "" || b == "" || strings.ContainsAny(tok.word, "0123456789") {
			out = append(out, tok)
			continue
		}
		if !s.pairs[a+" "+b] {
			out = append(out, tok)
			continue
		}
		out = append(out, token{word: a, raw: a, cut: tok.cut, dash: tok.dash}, token{word: b, raw: b})
	}
	return out
}

// inIng are words whose last letter people leave off, beside those of no meaning.
var inIng = []string{"missing", "failing", "passing", "testing", "leaking", "beeping", "reading", "building"}

// longest finds the longest phrase that begins with word i.
func (s speech) longest(t []token, words []string, i int) (best saying, n int) {
	for _, x := range s.sayings[words[i]] {
		k := x.length(words[i:])
		if k <= n || slices.ContainsFunc(t[i+1:i+k], func(tok token) bool { return tok.cut || tok.quoted }) {
			continue
		}
		if x.ends && (i == 0 || i+k < len(t) && !t[i+k].cut) {
			continue
		}
		best, n = x, k
	}
	return best, n
}
