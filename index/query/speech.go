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
type speech map[string][]saying // by their first word

// saying is a phrase and the words that it is taken for.
type saying struct {
	parts [][]string // each a word, or the phrases of a class
	means []string   // nil for no meaning of its own
	told  bool       // the answer says so
	ends  bool       // only where a clause ends
}

func readSpeech(text string) speech {
	out, classes, section := speech{}, map[string][]string{}, ""
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
			if section == "[classes]" {
				classes[name] = append(classes[name], phrase)
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
					s.parts = append(s.parts, []string{w})
				}
			}
			for _, first := range firstWords(s.parts[0]) {
				out[first] = append(out[first], s)
			}
		}
	}
	return out
}

func firstWords(phrases []string) []string {
	var out []string
	for _, s := range phrases {
		first, _, _ := strings.Cut(s, " ")
		if !slices.Contains(out, first) {
			out = append(out, first)
		}
	}
	return out
}

// length is how many words the phrase has at the beginning of others, 0 when it is
// not there; of a class the longest fits.
func (s saying) length(w []string) int {
	return lengthOf(s.parts, w)
}

func lengthOf(parts [][]string, w []string) int {
	if len(parts) == 0 {
		return 0
	}
	best := 0
	for _, phrase := range parts[0] {
		k := strings.Count(phrase, " ") + 1
		if k > len(w) || strings.Join(w[:k], " ") != phrase {
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
	words := make([]string, len(t))
	for i, tok := range t {
		if words[i] = strings.ReplaceAll(tok.word, "-", " "); strings.Contains(words[i], " ") || tok.quoted {
			words[i] = tok.word
		}
	}
	say := everyday()
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
					out = append(out, token{word: w, raw: w, cut: j == 0 && (t[i].cut || cut), dash: j == 0 && t[i].dash})
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

// inIng are words whose last letter people leave off, beside those of no meaning.
var inIng = []string{"missing", "failing", "passing", "testing", "leaking", "beeping", "reading", "building"}

// longest finds the longest phrase that begins with word i.
func (s speech) longest(t []token, words []string, i int) (best saying, n int) {
	for _, x := range s[words[i]] {
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
