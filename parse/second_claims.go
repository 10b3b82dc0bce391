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
	if s.edges[word][0]-s.edges[last][1] < wideGap {
		return true
	}
	spec, ok := specOf(record.Kind(c.tag.Kind), c.tag.Field)
	return ok && spec.Type == record.Time
}

// factOf reads the value of a claim.
func (d *doc) factOf(c claim) (fact, bool) {
	k := record.Kind(c.tag.Kind)
	spec, ok := specOf(k, c.tag.Field)
	if !ok {
		return fact{}, false
	}
	toks := c.toks
	if spec.Type == record.Number {
		toks = d.withUnit(toks)
	}
	r, ok := d.readField(k, spec, toks, "")
	if !ok {
		return fact{}, false
	}
	f := fact{field: c.tag.Field, read: r, guess: bySecondReading, weak: true}
	if f.field == "product" {
		f.grade, _, _ = d.grade(r.toks)
	}
	return f, true
}

// withUnit adds the token behind a run, which may be its unit.
func (d *doc) withUnit(toks []token) []token {
	last := toks[len(toks)-1]
	for _, l := range d.lines {
		for i := range l.toks {
			if l.toks[i].at == last.at && i+1 < len(l.toks) && !starts(l.toks, i+1) {
				return append(toks[:len(toks):len(toks)], l.toks[i+1])
			}
		}
	}
	return toks
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
