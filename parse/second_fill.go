package parse

import (
	"slices"

	"tankroll/parse/tagger"
	"tankroll/record"
)

// What the second reading must be sure of before its word is taken for what the grammar found
// nothing for. The values were chosen on printouts of consoles that neither had met.
const (
	likelyField = 0.4  // that words are a field
	likelySame  = 0.5  // that they belong to a record
	plainField  = 0.8  // that words are a field, where the grammar takes them for another, doubtful one
	hardlyField = 0.05 // at most, that they are that other one
)

// Limits on the work that a slip can make: what goes beyond is left to the grammar alone.
const (
	mostFree   = 600 // claims that no rule has words of
	mostClaims = 120 // of them that are put together at once
)

// How many fields make a record, and how many are plainly claimed at least on a slip of tanks on which
// no rule found anything.
const (
	fewestFields = 2
	manyFields   = 5
)

// bySecondReading says of a field that no rule found it.
const bySecondReading = "it is guessed from the words and figures around it; compare it with the picture"

// claim is a run of words that the second reading takes for a field.
type claim struct {
	tag   tagger.Tag
	words []int
	toks  []token
	p     float64
}

// fillIn gives drafts the fields that the second reading sees and the grammar found nothing for, and
// makes drafts of those that belong to none. All are doubtful.
func (d *doc) fillIn(drafts []*draft, h *head) []*draft {
	if d.second == nil || len(d.second.words) == 0 {
		return drafts
	}
	claims := d.claims()
	drafts = d.giveWay(claims, drafts)
	held := d.heldBy(drafts, h)
	var free []claim
	for _, c := range claims {
		if !held.any(c) {
			free = append(free, c)
		}
	}
	d.fillHead(free, h)
	free = slices.DeleteFunc(free, func(c claim) bool { return c.tag.Kind == string(headerKind) })
	free = d.toDrafts(free[:min(len(free), mostFree)], drafts)
	if len(drafts) == 0 && !d.titled() && plainly(free) < manyFields {
		return drafts // it may be of another trade
	}
	more := d.claimed(free)
	drafts = append(drafts, more[:min(len(more), max(MaxLines-len(drafts), 0))]...) // no more records than lines
	d.shareClaims(claims, drafts)
	d.doubtTogether(drafts)
	return drafts
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

// heldWords says which words the grammar has a place for.
type heldWords map[int]bool

func (h heldWords) any(c claim) bool {
	return slices.ContainsFunc(c.words, func(w int) bool { return h[w] })
}

// heldBy are the words of values that the grammar found.
func (d *doc) heldBy(drafts []*draft, h *head) heldWords {
	out := heldWords{}
	take := func(f *fact) {
		for ; f != nil; f = f.read.also {
			if f.field == "" || f.field == fieldNone || f.field == fieldLoose {
				continue
			}
			for _, w := range d.second.wordsOf(f.read.toks) {
				out[w] = true
			}
			if f.read.until != nil {
				for _, w := range d.second.wordsOf(f.read.until.toks) {
					out[w] = true
				}
			}
		}
	}
	for _, dr := range drafts {
		for i := range dr.facts {
			take(&dr.facts[i])
		}
		for i := range dr.again {
			take(&dr.again[i])
		}
	}
	for _, f := range []*fact{h.site, h.number, h.address, h.printed} {
		take(f)
	}
	return out
}

// giveWay takes from drafts what is doubtful in them and is claimed for another field, for which
// it plainly is by the second reading; of a draft of which nothing is left, the draft.
func (d *doc) giveWay(claims []claim, drafts []*draft) []*draft {
	plain := map[int]bool{}
	for _, c := range claims {
		for _, w := range c.words {
			plain[w] = plain[w] || c.p >= plainField
		}
	}
	return slices.DeleteFunc(drafts, func(dr *draft) bool {
		before := len(dr.facts)
		dr.facts = slices.DeleteFunc(dr.facts, func(f fact) bool {
			words := d.second.wordsOf(f.read.toks)
			return len(words) > 0 && !slices.ContainsFunc(words, func(w int) bool { return !plain[w] }) && d.hardly(dr, &f)
		})
		return len(dr.facts) < before && !dr.substance()
	})
}

// hardly reports whether a fact of a draft is doubtful and by the second reading is hardly what it is
// taken for.
func (d *doc) hardly(dr *draft, f *fact) bool {
	if f.guess == "" && f.danger == "" && f.stranger == "" && dr.doubt == "" {
		return false
	}
	p, _, known := d.second.agrees(f.read.toks, string(dr.kind), f.field)
	return known && p < hardlyField
}

// toDrafts puts claims into the drafts that they most likely belong to and that lack them, and gives
// back those that belong to none.
func (d *doc) toDrafts(claims []claim, drafts []*draft) []claim {
	var left []claim
	for _, c := range claims {
		var best *draft
		most := likelySame
		for _, dr := range drafts {
			if string(dr.kind) != c.tag.Kind {
				continue
			}
			if p := d.sameDraft(c, dr); p > most {
				best, most = dr, p
			}
		}
		if best == nil {
			left = append(left, c)
			continue
		}
		if f, ok := d.factOf(c); ok && !hasField(best.facts, f.field) {
			d.dropLoose(best, c)
			best.put(f)
		}
	}
	return left
}

// dropLoose takes an amount without a name from a draft that a claim names now.
func (d *doc) dropLoose(dr *draft, c claim) {
	dr.facts = slices.DeleteFunc(dr.facts, func(f fact) bool {
		return f.field == fieldLoose && slices.ContainsFunc(d.second.wordsOf(f.read.toks), func(w int) bool { return slices.Contains(c.words, w) })
	})
}

// sameDraft is how likely a claim belongs to a draft, the mean over the words of its facts.
func (d *doc) sameDraft(c claim, dr *draft) float64 {
	sum, n := 0.0, 0.0
	for i := range dr.facts {
		for _, w := range d.second.wordsOf(dr.facts[i].read.toks) {
			sum, n = sum+d.second.tags.Same(c.words[0], w), n+1
		}
	}
	return sum / max(n, 1)
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
				dr.put(f)
			}
		}
		if len(dr.facts) >= fewestFields && dr.substance() {
			dr.doubt = "the record is put together from its words by guess; compare it with the picture"
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
	return ok && okToo && (x.hasDate() && !x.hasClock() && y.hasClock() && !y.hasDate() || y.hasDate() && !y.hasClock() && x.hasClock() && !x.hasDate())
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
			dr.put(f)
		}
	}
}

// fillHead gives the head what is claimed for it and it lacks.
func (d *doc) fillHead(claims []claim, h *head) {
	for _, want := range []struct {
		field string
		to    **fact
	}{{"site", &h.site}, {"site_number", &h.number}, {"address", &h.address}, {"printed_at", &h.printed}} {
		if *want.to != nil {
			continue
		}
		var toks []token
		for _, c := range claims {
			if c.tag.Kind != string(headerKind) || c.tag.Field != want.field {
				continue
			}
			if len(toks) > 0 && (want.field != "address" || c.toks[0].line > toks[len(toks)-1].line+1) {
				break
			}
			toks = append(toks, c.toks...)
		}
		if len(toks) == 0 {
			continue
		}
		f := fact{field: "header." + want.field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}, guess: bySecondReading, weak: true}
		if want.field == "printed_at" {
			r, ok := d.readTime(toks, false)
			if !ok || !r.hasDate() {
				continue
			}
			f.read = r
		}
		*want.to = &f
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
