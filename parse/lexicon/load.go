package lexicon

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankroll/parse/confuse"
)

// parse reads a word list; the form is described at its top.
func parse(text string) (*Lexicon, error) {
	l := empty()
	return l, l.load(text)
}

// empty is a vocabulary without words.
func empty() *Lexicon {
	return &Lexicon{
		terms: map[Sense]map[string][]string{}, exact: map[string][]int32{}, near: map[string][]int32{}, firsts: map[string]int{}, numbers: map[string]bool{},
		nears: newSieve(), found: newMemory[known](), phrases: newMemory[[]Hit](), grades: newMemory[gradeHit](),
	}
}

// load adds the words of a list.
func (l *Lexicon) load(text string) error {
	var sense Sense
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		if line[0] == '[' {
			sense = Sense(strings.Trim(line, "[]"))
			if !slices.Contains(senses, sense) {
				return fmt.Errorf("lexicon: line %d: unknown sense %q", n+1, sense)
			}
			continue
		}
		code, rest, ok := strings.Cut(line, " = ")
		if !ok {
			return fmt.Errorf("lexicon: line %d: no ' = ' in %q", n+1, line)
		}
		if err := l.addLine(sense, strings.TrimSpace(code), rest); err != nil {
			return fmt.Errorf("lexicon: line %d: %w", n+1, err)
		}
	}
	l.addFieldLabels()
	for _, e := range l.entries {
		if e.sense == Part && !strings.Contains(e.spelling, " ") {
			l.words = append(l.words, e)
		}
	}
	slices.SortFunc(l.words, func(a, b entry) int { return strings.Compare(a.spelling, b.spelling) })
	return nil
}

func (l *Lexicon) addLine(sense Sense, code, rest string) error {
	switch sense {
	case "":
		v, err := strconv.Atoi(strings.TrimSpace(rest))
		if code != "version" || err != nil {
			return fmt.Errorf("want version = number before the first sense, have %q", code)
		}
		l.Version = v
	case FieldLabel:
		return l.addPatterns(code, rest)
	default:
		for _, s := range strings.Split(rest, " | ") {
			l.add(sense, code, Normal(s))
		}
	}
	return nil
}

// add enters a spelling under all keys that it may be looked up by.
func (l *Lexicon) add(sense Sense, code, spelling string) {
	if spelling == "" {
		return
	}
	for _, i := range l.exact[spelling] {
		if e := l.entries[i]; e.sense == sense && (e.code == code || sense == FieldLabel) {
			return
		}
	}
	i := int32(len(l.entries))
	l.entries = append(l.entries, entry{sense, code, spelling})
	if l.terms[sense] == nil {
		l.terms[sense] = map[string][]string{}
	}
	l.terms[sense][code] = append(l.terms[sense][code], spelling)
	l.exact[spelling] = append(l.exact[spelling], i)
	key := confuse.Key(spelling)
	for _, k := range append(shorter(key), key) {
		l.near[k] = append(l.near[k], i)
		l.nears.add(k)
	}
	if sense == FieldLabel {
		return // made of parts, which are entered themselves
	}
	for w := range strings.SplitSeq(spelling, " ") {
		if isFigures(w) {
			l.numbers[w] = true
		}
	}
	first, _, _ := strings.Cut(spelling, " ")
	n := strings.Count(spelling, " ") + 1
	fk := confuse.Key(first)
	l.firsts[fk] = max(l.firsts[fk], n)
	for _, k := range shorter(fk) {
		l.firsts[k] = max(l.firsts[k], n)
	}
}

// shorter lists a key with each character left out in turn; keys of one
// character have none, as an empty key would match everything.
func shorter(key string) []string {
	var out []string
	if len(key) < 2 {
		return out
	}
	for i := range key {
		if k := key[:i] + key[i+1:]; !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

func (l *Lexicon) addPatterns(code, rest string) error {
	kind, field, ok := strings.Cut(code, ".")
	if !ok {
		return fmt.Errorf("want kind.field, have %q", code)
	}
	for _, s := range strings.Split(rest, " | ") {
		p := Pattern{Kind: kind, Field: field}
		for _, w := range strings.Fields(s) {
			name := strings.Trim(w, "()")
			if l.terms[Part][name] == nil {
				return fmt.Errorf("unknown part %q", name)
			}
			if name != w {
				p.Optional = append(p.Optional, name)
			} else {
				p.Required = append(p.Required, name)
			}
		}
		l.patterns = append(l.patterns, p)
	}
	return nil
}

// The spellings of field labels are made from the usual spellings of their
// parts; so many of each and so many of a field are enough for questions.
const (
	spellingsPerPart  = 8
	spellingsPerField = 48
)

// helpers are fields of the grammar alone, which no record has.
var helpers = map[string]bool{"moment": true, "test_type": true, "period": true, "book": true}

// addFieldLabels spells every pattern out, for those who look for a whole
// label.
func (l *Lexicon) addFieldLabels() {
	for _, p := range l.patterns {
		out := []string{""}
		for _, part := range p.Required {
			var next []string
			terms := l.terms[Part][part]
			for _, o := range out {
				for _, t := range terms[:min(len(terms), spellingsPerPart)] {
					next = append(next, strings.TrimSpace(o+" "+t))
				}
			}
			out = next[:min(len(next), spellingsPerField)]
		}
		if helpers[p.Field] {
			continue
		}
		for _, o := range out {
			l.add(FieldLabel, p.Field, o)
		}
	}
}
