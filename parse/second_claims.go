package parse

import (
	"slices"

	"tankroll/parse/tagger"
	"tankroll/record"
)

// claim is a run of words that the second reading takes for a field.
type claim struct {
	tag   tagger.Tag
	words []int
	toks  []token
	p     float64
}

// claims are the runs of words of one line that the second reading takes for one field.
func (d *doc) claims() []claim {
	s := d.second
	byWord := make([][]token, len(s.words))
	for _, l := range d.lines {
		for i := range l.toks {
			if w := s.word(&l.toks[i]); w >= 0 {
				byWord[w] = append(byWord[w], l.toks[i])
			}
		}
	}
	var out []claim
	for w := range s.words {
		tag, p := s.tags.Best(w)
		if tag.Kind == "" || len(byWord[w]) == 0 {
			continue
		}
		if n := len(out) - 1; n >= 0 && out[n].tag == tag && d.sameRun(out[n], w) {
			c := &out[n]
			c.words, c.toks = append(c.words, w), append(c.toks, byWord[w]...)
			c.p += p
			continue
		}
		out = append(out, claim{tag, []int{w}, slices.Clone(byWord[w]), p})
	}
	for i := range out {
		s.trim(&out[i])
		out[i].p /= float64(len(out[i].words))
	}
	return slices.DeleteFunc(out, func(c claim) bool { return c.p < likelyField })
}

// sameRun reports whether a word goes on the run before it: in one cell, or as the time of day
// behind its date.
func (d *doc) sameRun(c claim, word int) bool {
	s, last := d.second, c.words[len(c.words)-1]
	if last != word-1 || s.words[word].Line != s.words[last].Line {
		return false
	}
	if s.tags.Same(last, word) <= likelySame && c.tag.Kind != string(headerKind) {
		return false
	}
	if s.edges[word][0]-s.edges[last][1] < wideGap {
		return true
	}
	spec, ok := specOf(record.Kind(c.tag.Kind), c.tag.Field)
	return ok && spec.Type == record.Time
}

// plainly is how many claims plainly are what they are claimed for.
func plainly(claims []claim) int {
	n := 0
	for _, c := range claims {
		if c.p >= plainField {
			n++
		}
	}
	return n
}

// plainlyNot is how likely a word at the end of a run is its field at most where it is cut off, and the
// others at least.
const (
	plainlyNot = 0.5
	plainRest  = 0.8
)

// trim cuts words off the ends of a run that hardly are what the others plainly are.
func (s *second) trim(c *claim) {
	p := func(i int) float64 { return s.tags.Likely(c.words[i], c.tag) }
	cut := func(i int) {
		w := c.words[i]
		c.p -= p(i)
		c.words = slices.Delete(c.words, i, i+1)
		c.toks = slices.DeleteFunc(c.toks, func(t token) bool { return s.word(&t) == w })
	}
	for n := len(c.words); n > 1 && p(n-1) < plainlyNot && (c.p-p(n-1))/float64(n-1) > plainRest; n-- {
		cut(n - 1)
	}
	for n := len(c.words); n > 1 && p(0) < plainlyNot && (c.p-p(0))/float64(n-1) > plainRest; n-- {
		cut(0)
	}
}
