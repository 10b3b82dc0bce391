package parse

import (
	"slices"

	"tankroll/record"
)

// claimed makes drafts of claims that belong to no draft, those together that most likely are of one
// record, which has a field once.
func (d *doc) claimed(claims []claim) []*draft {
	var groups [][]claim
	for part := range slices.Chunk(claims, mostClaims) {
		groups = append(groups, d.groupsOf(part)...)
	}
	var out []*draft
	for _, g := range groups {
		dr := newDraft(record.Kind(g[0].tag.Kind), d.second.words[g[0].words[0]].Line)
		for _, c := range g {
			if f, ok := d.factOf(c); ok {
				f.guess = "" // the record's doubt says it
				dr.put(f)
			}
		}
		if len(dr.facts) >= fewestFields && dr.substance() {
			dr.doubt = guessedRecord
			out = append(out, dr)
		}
	}
	return out
}

// groupsOf puts claims together that most likely are of one record, which has a field once: first the
// two groups that are the likeliest, until none are likely.
func (d *doc) groupsOf(claims []claim) [][]claim {
	var groups [][]claim
	for _, c := range claims {
		groups = append(groups, []claim{c})
	}
	likely := func(a, b []claim) float64 {
		sum := 0.0
		for _, x := range a {
			for _, y := range b {
				if x.tag.Kind != y.tag.Kind || x.tag == y.tag && !d.dateAndClock(x, y) {
					return 0
				}
				sum += d.second.tags.Same(x.words[0], y.words[0])
			}
		}
		return sum / float64(len(a)*len(b))
	}
	p := make([][]float64, len(groups)) // of the groups before it
	for i := range groups {
		p[i] = make([]float64, i)
		for j := range i {
			p[i][j] = likely(groups[i], groups[j])
		}
	}
	for {
		x, y, most := 0, 0, likelySame
		for i := range groups {
			for j := range i {
				if p[i][j] > most {
					x, y, most = i, j, p[i][j]
				}
			}
		}
		if most == likelySame {
			break
		}
		groups[y] = append(groups[y], groups[x]...)
		groups[x] = nil
		for i := range groups {
			switch {
			case i > x:
				p[i][x] = 0
			case i < x:
				p[x][i] = 0
			}
			if i == y || groups[i] == nil {
				continue
			}
			p[max(i, y)][min(i, y)] = likely(groups[i], groups[y])
		}
	}
	return slices.DeleteFunc(groups, func(g []claim) bool { return g == nil })
}

// dateAndClock reports whether of two claims one is a date and the other a time of day.
func (d *doc) dateAndClock(a, b claim) bool {
	x, ok := d.readTime(a.toks, true)
	y, okToo := d.readTime(b.toks, true)
	_, joins := joinMoments(x, y)
	return ok && okToo && joins
}

// shareClaims gives records that lack the tank, line or product or the rate that was tested for what is
// claimed for several of them at once.
func (d *doc) shareClaims(claims []claim, drafts []*draft) {
	for _, c := range claims {
		switch c.tag.Field {
		case "tank", "line", "product", "test_rate", "test_class":
		default:
			continue
		}
		f, ok := d.factOf(c)
		if !ok {
			continue
		}
		f.inherited = true
		for _, dr := range drafts {
			if string(dr.kind) != c.tag.Kind || hasField(dr.facts, f.field) || hasField(dr.facts, fieldType) || d.sameDraft(c, dr) <= likelySame {
				continue
			}
			if f.read.class != "" && slices.ContainsFunc(dr.facts, func(o fact) bool { return o.read.class != "" }) {
				continue
			}
			own := f
			if dr.doubt == guessedRecord {
				own.guess = ""
			}
			dr.put(own)
		}
	}
}

// leastTogether is how likely the second reading must at least take a field to belong to its record.
const leastTogether = 0.1

// doubtTogether doubts facts that the second reading takes to be of another record than the rest of
// their draft.
func (d *doc) doubtTogether(drafts []*draft) {
	for _, dr := range drafts {
		words := make([][]int, len(dr.facts))
		for i := range dr.facts {
			if f := &dr.facts[i]; f.field != "" && f.field != fieldNone {
				words[i] = d.second.wordsOf(f.read.toks)
			}
		}
		for i := range dr.facts {
			sum, n := 0.0, 0.0
			for j := range words {
				if j != i && len(words[i]) > 0 && len(words[j]) > 0 {
					sum, n = sum+d.second.tags.Same(words[i][0], words[j][0]), n+1
				}
			}
			if n > 0 && sum/n < leastTogether && dr.facts[i].danger == "" {
				dr.facts[i].danger = "a second reading of the slip takes it for what another record says"
			}
		}
	}
}
