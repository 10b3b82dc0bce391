package parse

import (
	"maps"
	"slices"

	"tankroll/record"
)

// How many times as many fields, and how many more, the second reading's own records must be expected to
// have right before they stand in the place of what the grammar made of the same words. The values were
// chosen on printouts of consoles that neither had met.
const (
	likelier    = 1.1
	plainlyMore = 1 // fields
)

// plainFact is how likely a fact is right that the grammar has no doubt of, whatever the second reading
// takes it for.
const plainFact = 0.97

// choose gives the drafts in which the second reading's own records stand for those of the grammar's
// that take the same words otherwise and fit badly with what it sees; the others are as they were.
func (d *doc) choose(drafts, own []*draft) []*draft {
	if len(own) > MaxLines {
		return drafts // no more records than lines
	}
	parties := d.parties(drafts, own)
	var out []*draft
	for _, p := range parties {
		if len(p.own) > 0 && !inProse(p.drafts) && d.prefersOwn(p) {
			out = append(out, d.inPlaceOf(p)...)
			continue
		}
		if len(p.own) == 0 {
			p.drafts = slices.DeleteFunc(p.drafts, d.unlikely)
		}
		out = append(out, d.mended(p)...)
	}
	if len(out) > MaxLines {
		return drafts
	}
	slices.SortStableFunc(out, func(a, b *draft) int { return a.from - b.from })
	return out
}

// prefersOwn reports whether the second reading's records of a party are taken.
func (d *doc) prefersOwn(p party) bool {
	switch d.torn = true; d.way {
	case byGrammar:
		return false
	case bySecond:
		return true
	}
	return d.expected(p.own) > likelier*d.expected(p.drafts)+plainlyMore
}

// hardlyAny is how many of its fields a draft is expected to have right at most that is taken for no record.
const hardlyAny = 0.004

// unlikely reports whether a draft is in doubt as a whole and the second reading takes hardly a word of it for what
// it is taken for.
func (d *doc) unlikely(dr *draft) bool {
	return dr.doubt != "" && d.expected([]*draft{dr}) < hardlyAny*float64(len(dr.facts))
}

// namelessWorth is what the fields of a record count that has no tank, line or sensor: it may be a part
// of another.
const namelessWorth = 0.5

// inPlaceOf gives the second reading's records of a party. One that a draft of the grammar's says
// nothing against is that draft, with what more there is.
func (d *doc) inPlaceOf(p party) []*draft {
	used, partly := map[*draft]bool{}, map[*draft]bool{}
	var out []*draft
	for _, o := range p.own {
		at := slices.IndexFunc(p.drafts, func(dr *draft) bool { return !used[dr] && d.saysSame(dr, o) })
		if at < 0 {
			if !namedTwice(p.own, o) {
				o = d.agreedOn(p.drafts, o, partly)
			}
			out = append(out, o)
			continue
		}
		dr := p.drafts[at]
		used[dr] = true
		dr.takeGuesses(o.facts)
		out = append(out, dr)
	}
	for _, dr := range p.drafts {
		if !used[dr] {
			d.passOn(dr, out)
		}
	}
	return out
}

// namedTwice reports whether another record of the same kind has the same name.
func namedTwice(all []*draft, o *draft) bool {
	return slices.ContainsFunc(all, func(r *draft) bool { return r != o && r.kind == o.kind && r.ownText() == o.ownText() })
}

// agreedOn is an own record in which what a draft of the same name says of the same words, and most is
// that, is as the draft has it: both readings found it. Lines have several tests, so that their name
// does not tell one from the other. Each draft is asked once: used are those that were.
func (d *doc) agreedOn(drafts []*draft, o *draft, used map[*draft]bool) *draft {
	own := ownName(o.kind)
	if own != "tank" {
		return o
	}
	for _, dr := range drafts {
		if dr.kind != o.kind || dr.doubt != "" || used[dr] {
			continue
		}
		same := map[string]fact{}
		said := 0
		for _, f := range o.facts {
			if f.field == "" || f.field == fieldNone || f.inherited {
				continue
			}
			said++
			if g, ok := d.sameIn(dr, &f); ok {
				same[f.field] = g
			}
		}
		if _, ok := same[own]; !ok || 2*len(same) <= said {
			continue
		}
		used[dr] = true
		both := *o
		both.doubt = ""
		both.facts = slices.Clone(o.facts)
		for i := range both.facts {
			f := &both.facts[i]
			if g, ok := same[f.field]; ok {
				*f = g
			} else if f.guess == "" {
				f.guess = bySecondReading
			}
		}
		return &both
	}
	return o
}

// sameIn is what a draft says of the same field by some of the same words.
func (d *doc) sameIn(dr *draft, f *fact) (fact, bool) {
	words := d.second.wordsOf(f.read.toks)
	for _, g := range dr.facts {
		if g.field == f.field && shareWords(d.second.wordsOf(g.read.toks), words) {
			return g, true
		}
	}
	return fact{}, false
}

// leastSame is how likely the words of a value must be of one record with those of another to be given to that.
const leastSame = 0.2

// passOn gives records what a draft that gave way to them says with words that none of them has, each to
// that with whose words these are most likely one.
func (d *doc) passOn(dr *draft, records []*draft) {
	taken := map[int]bool{}
	for _, r := range records {
		maps.Copy(taken, d.ownWords(r))
	}
	for _, f := range dr.facts {
		words := d.second.wordsOf(f.read.toks)
		if f.field == "" || f.field == fieldNone || f.field == fieldLoose || f.inherited || len(words) == 0 || slices.ContainsFunc(words, func(w int) bool { return taken[w] }) {
			continue
		}
		var best *draft
		most := leastSame
		for _, r := range records {
			if r.kind != dr.kind || r.has(f.field) {
				continue
			}
			same, of := 0.0, d.ownWords(r)
			for _, w := range slices.Sorted(maps.Keys(of)) {
				same += d.second.tags.Same(words[0], w) / float64(len(of))
			}
			if same > most {
				best, most = r, same
			}
		}
		if best != nil {
			f.guess = bySecondReading
			best.put(f)
			for _, w := range words {
				taken[w] = true
			}
		}
	}
}

// takeGuesses gives a draft those facts that it lacks, as guesses.
func (dr *draft) takeGuesses(facts []fact) {
	for _, f := range facts {
		if f.field != "" && !dr.has(f.field) {
			f.guess = bySecondReading
			dr.put(f)
		}
	}
}

// saysSame reports whether all that a draft says, and something at least, another says as well, of the
// same words.
func (d *doc) saysSame(dr, o *draft) bool {
	if dr.kind != o.kind {
		return false
	}
	found := false
	for i := range dr.facts {
		f := &dr.facts[i]
		if f.field == "" || f.field == fieldNone {
			continue
		}
		if _, same := d.sameIn(o, f); !same {
			return false
		}
		found = true
	}
	return found
}

// inProse reports whether what the grammar read stands in sentences: words of one record are far apart
// there, and lines end anywhere.
func inProse(drafts []*draft) bool {
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if len(f.read.toks) > 0 && f.read.toks[0].prose {
				return true
			}
		}
	}
	return false
}

// mended puts drafts without a name that by the second reading are a part of the record of another one
// into that.
func (d *doc) mended(p party) []*draft {
	gone := map[*draft]bool{}
	for _, o := range p.own {
		words := d.ownWords(o)
		var whole *draft
		var parts []*draft
		for _, dr := range p.drafts {
			inside := 0
			of := d.ownWords(dr)
			for w := range of {
				if words[w] {
					inside++
				}
			}
			switch {
			case dr.kind != o.kind || inside == 0 || gone[dr]:
			case !dr.has(ownName(dr.kind)) && inside == len(of):
				parts = append(parts, dr)
			case dr.has(ownName(dr.kind)) && whole == nil:
				whole = dr
			case dr.has(ownName(dr.kind)):
				parts = nil // of which it is a part is not known
			}
		}
		if whole == nil {
			continue
		}
		for _, dr := range parts {
			if slices.ContainsFunc(dr.facts, func(f fact) bool { return whole.has(f.field) && f.field != "" && f.field != fieldNone }) {
				continue
			}
			for _, f := range dr.facts {
				f.guess = bySecondReading
				whole.put(f)
			}
			gone[dr] = true
		}
	}
	return slices.DeleteFunc(p.drafts, func(dr *draft) bool { return gone[dr] })
}

// party is what the grammar and the second reading make of the same words.
type party struct{ drafts, own []*draft }

// parties puts drafts and own records together that share words, directly or by others.
func (d *doc) parties(drafts, own []*draft) []party {
	all := append(drafts[:len(drafts):len(drafts)], own...)
	of := make([]int, len(all)) // the first draft of its party
	root := func(i int) int {
		for of[i] != i {
			i = of[i]
		}
		return i
	}
	first := map[int]int{} // the first draft that has a word
	for i, dr := range all {
		of[i] = i
		for w := range d.ownWords(dr) {
			if f, ok := first[w]; ok {
				a, b := root(f), root(i)
				of[max(a, b)] = min(a, b)
			} else {
				first[w] = i
			}
		}
	}
	var out []party
	at := map[int]int{}
	for i, dr := range all {
		r := root(i)
		if _, ok := at[r]; !ok {
			at[r] = len(out)
			out = append(out, party{})
		}
		p := &out[at[r]]
		if i < len(drafts) {
			p.drafts = append(p.drafts, dr)
		} else {
			p.own = append(p.own, dr)
		}
	}
	return out
}

// ownWords are the words of a draft's facts but for those that stand for several records.
func (d *doc) ownWords(dr *draft) map[int]bool {
	out := map[int]bool{}
	for i := range dr.facts {
		if f := &dr.facts[i]; f.field != "" && f.field != fieldNone && !f.inherited {
			for _, w := range d.second.wordsOf(f.read.toks) {
				out[w] = true
			}
		}
	}
	return out
}

// expected is how many values of drafts are expected to be right by the second reading: each as likely
// as its words are taken for its field and for one record with the others. What stands for several
// records counts once.
func (d *doc) expected(drafts []*draft) float64 {
	best := map[int]float64{} // by the first word of a value
	for _, dr := range drafts {
		words := make([]int, len(dr.facts))
		for i := range dr.facts {
			words[i] = -1
			if of := d.second.wordsOf(dr.facts[i].read.toks); len(of) > 0 {
				words[i] = of[0]
			}
		}
		worth := 1.0
		if !dr.has(ownName(dr.kind)) && dr.kind != record.Alarm {
			worth = namelessWorth
		}
		for i := range dr.facts {
			f := &dr.facts[i]
			if f.field == "" || f.field == fieldNone || f.field == fieldLoose || words[i] < 0 {
				continue
			}
			p, _, known := d.second.agrees(f.read.toks, string(dr.kind), f.field)
			if !known {
				p = 0.5
			}
			same, n := 0.0, 0.0
			for j, w := range words {
				if j != i && w >= 0 && w != words[i] {
					same, n = same+d.second.tags.Same(words[i], w), n+1
				}
			}
			if n > 0 {
				p *= same / n
			}
			if !dr.unsure(f) {
				p = max(p, plainFact)
			}
			best[words[i]] = max(best[words[i]], worth*p)
		}
	}
	sum := 0.0
	for _, w := range slices.Sorted(maps.Keys(best)) { // always in the same order: sums of rounded numbers
		sum += best[w]
	}
	return sum
}
