package parse

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tankroll/parse/tagger"
	"tankroll/record"
)

// second is what the second reading, by networks that know no rules, makes of the slip's
// words.
type second struct {
	words []tagger.Word
	tags  *tagger.Tags
	first []int // by line of the slip: its first word; one more at the end
	edges [][2]float64
}

// readSecond reads the words of a slip, as far as they are looked at.
func (d *doc) readSecond(s record.Slip) *second {
	net, err := tagger.Load()
	if err != nil {
		return nil // its weights are part of the program: a test reads them
	}
	out := &second{}
	lines := min(len(s.Lines), MaxLines)
	for i, l := range s.Lines[:lines] {
		out.first = append(out.first, len(out.words))
		if l.Rule {
			continue
		}
		k := 0
		for _, w := range l.Words[:min(len(l.Words), maxLineWords)] {
			for _, p := range wordParts(w) {
				out.words = append(out.words, tagger.Word{Text: p.Text, Line: i, Place: k, Col: int(math.Round(p.Col)), Width: int(math.Round(p.Width)), Apart: l.Apart})
				out.edges = append(out.edges, [2]float64{p.Col, p.Col + p.Width})
				k++
			}
		}
	}
	out.first = append(out.first, len(out.words))
	out.tags = net.Read(out.words, lines)
	return out
}

// gluedMarks are the marks between cells, labels and values that are printed without a blank: bars,
// leaders, and = or : behind a letter.
var gluedMarks = regexp.MustCompile(`\|+|\.{2,}|=+|(?:[[:alpha:]])(:)[^:[:space:]]`)

// wordParts are the parts of a word that say something: 1|REGULAR|6214 is three, VOLUME....1,204 two, marks
// none.
func wordParts(w record.Word) []record.Word {
	each := w.Width / float64(max(utf8.RuneCountInString(w.Text), 1))
	var out []record.Word
	add := func(from, to int) {
		text := w.Text[from:to]
		if !strings.ContainsFunc(text, isLetterOrDigit) {
			return
		}
		out = append(out, record.Word{
			Text: text, Col: w.Col + each*float64(utf8.RuneCountInString(w.Text[:from])), Width: each * float64(utf8.RuneCountInString(text)),
		})
	}
	from := 0
	for _, m := range gluedMarks.FindAllStringSubmatchIndex(w.Text, -1) {
		if m[2] >= 0 {
			m[1] = m[3] // behind the colon
		}
		add(from, m[1])
		from = m[1]
	}
	add(from, len(w.Text))
	return out
}

// isLetterOrDigit reports whether a character can be read, as marks cannot.
func isLetterOrDigit(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// word is the place of the word in which a token stands, -1 for none.
func (s *second) word(t *token) int {
	row := t.seen.row // its line is another where lines were put together
	if row < 0 || row+1 >= len(s.first) {
		return -1
	}
	middle := (t.seen.from + t.seen.to) / 2
	for w := s.first[row]; w < s.first[row+1]; w++ {
		if middle >= s.edges[w][0] && middle <= s.edges[w][1] {
			return w
		}
	}
	return -1
}

// wordsOf are the words that tokens stand in, none twice.
func (s *second) wordsOf(toks []token) []int {
	var out []int
	for i := range toks {
		if w := s.word(&toks[i]); w >= 0 && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// agrees is how likely the second reading takes tokens for a field of a kind: the mean over
// their words, and the least of them. Known is false where it was not taught the field or sees no word.
func (s *second) agrees(toks []token, kind, field string) (mean, least float64, known bool) {
	words := s.wordsOf(toks)
	if len(words) == 0 {
		return 0, 0, false
	}
	tags := alikeTags(kind, field)
	known = slices.ContainsFunc(tags, s.tags.Knows)
	least = 1
	for _, w := range words {
		p := 0.0
		for _, tag := range tags {
			p += s.tags.Likely(w, tag)
		}
		mean, least = mean+p/float64(len(words)), min(least, p)
	}
	return min(mean, 1), least, known
}

// goesBeyond reports whether the second reading takes a word right before or behind these tokens for
// the same field of the head.
func (s *second) goesBeyond(toks []token, field string) bool {
	words := s.wordsOf(toks)
	if len(words) == 0 {
		return false
	}
	for _, w := range []int{slices.Min(words) - 1, slices.Max(words) + 1} {
		if w < 0 || w >= len(s.words) {
			continue
		}
		if tag, p := s.tags.Best(w); tag.Kind == string(headerKind) && tag.Field == field && p >= plainField {
			return true
		}
	}
	return false
}

// moreWords reports whether the second reading takes a word beside, or below on the next lines, for the
// same field of the same record as these tokens, and the grammar does not.
func (d *doc) moreWords(k record.Kind, field string, toks []token) bool {
	const below = 2 // lines
	if d.second == nil {
		return false
	}
	s := d.second
	words := s.wordsOf(toks)
	if len(words) == 0 {
		return false
	}
	first, last := slices.Min(words), slices.Max(words)
	for w := max(first-1, 0); w < len(s.words) && s.words[w].Line <= s.words[last].Line+below; w++ {
		if slices.Contains(words, w) {
			continue
		}
		if tag, p := s.tags.Best(w); tag.Kind == string(k) && tag.Field == field && p > likelySame &&
			s.tags.Same(first, w) > likelySame && s.tags.Same(last, w) > likelySame {
			return true
		}
	}
	return false
}

// alikeTags are the tags of words that say a field: a word that says two fields was taught
// as one of them.
func alikeTags(kind, field string) []tagger.Tag {
	out := []tagger.Tag{{Kind: kind, Field: field}}
	add := func(kind string, fields ...string) {
		for _, f := range fields {
			if t := (tagger.Tag{Kind: kind, Field: f}); !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	switch field {
	case "test_class", "test_rate":
		add(kind, "test_class", "test_rate", "method")
	case "method":
		add(kind, "test_class", "test_rate")
	case "grade":
		add(kind, "product")
	case "device", "device_number":
		add(kind, "device", "device_number", "event")
	case "event":
		add(kind, "device")
	}
	if kind == string(record.LineTest) || kind == string(record.LineSummary) {
		other := string(record.LineTest)
		if kind == other {
			other = string(record.LineSummary)
		}
		for _, t := range out {
			add(other, t.Field)
		}
		switch field {
		case "ended_at", "first_pass_of_month", "last_pass_at":
			add(string(record.LineTest), "ended_at")
			add(string(record.LineSummary), "first_pass_of_month", "last_pass_at")
		}
	}
	return out
}

// How likely the second reading must at least take a sure field for what it is, and each word of
// one of several words.
const (
	leastAgreed = 0.03
	leastOfWord = 0.3
)

// otherwise says in plain words what else the second reading takes a value for; "" where it agrees,
// or cannot know.
func (d *doc) otherwise(kind record.Kind, name string, toks []token) string {
	if d.second == nil {
		return ""
	}
	mean, least, known := d.second.agrees(toks, string(kind), name)
	spec, ok := specOf(kind, name)
	if kind == headerKind {
		spec, ok = specOf(kind, "header."+name)
	}
	words := ok && spec.Type == record.Label
	if kind == headerKind && known && d.second.goesBeyond(toks, name) {
		return "a second reading of the slip takes more words for it"
	}
	if !known || mean >= leastAgreed && (!words || least >= leastOfWord) {
		return ""
	}
	if mean >= leastAgreed {
		return "a second reading of the slip takes a word of it for something else"
	}
	tag, _ := d.second.tags.Best(d.second.wordsOf(toks)[0])
	if tag.Kind == "" {
		return "a second reading of the slip takes it for no value at all"
	}
	return fmt.Sprintf("a second reading of the slip takes it for %q of %s", plainName(tag.Field), plainKind(tag.Kind))
}

// taughtFact reports whether a person taught the words that a value or its label is read by: those the
// second reading does not know.
func (d *doc) taughtFact(f *fact) bool {
	return d.lex.Taught(textOf(f.read.toks)) || slices.ContainsFunc(f.label, func(t token) bool { return d.lex.Taught(t.text) }) ||
		slices.ContainsFunc(f.read.toks, func(t token) bool { return d.lex.Taught(t.text) })
}

// secondOdds are the log odds that the second reading takes a field for what it is; 0 where it cannot
// know.
func (d *doc) secondOdds(kind record.Kind, name string, f *fact) float64 {
	const most = 5 // beyond which they say no more
	if d.second == nil || f == nil || f.ofPass() || d.taughtFact(f) {
		return 0
	}
	p, _, known := d.second.agrees(f.read.toks, string(kind), name)
	if !known {
		return 0
	}
	return min(max(logit(p), -most), most)
}

// plainName is the name of a field in plain words.
func plainName(field string) string { return strings.ReplaceAll(field, "_", " ") }

// plainKind is the name of a kind of record in plain words, with its article.
func plainKind(kind string) string {
	switch kind {
	case string(headerKind):
		return "the slip's head"
	case string(record.Alarm), string(record.Inventory):
		return "an " + plainName(kind)
	case string(record.TankLimits):
		return "the tank limits"
	}
	return "a " + plainName(kind)
}
