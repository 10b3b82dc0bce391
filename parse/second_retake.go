package parse

import (
	"fmt"
	"slices"

	"tankroll/record"
)

// retake gives drafts their values as the second reading plainly takes them where it takes other
// words for them than the grammar did: an event with the state behind it, a time of day without its date.
// What is given is doubtful. Sentences are left to the grammar.
func (d *doc) retake(claims []claim, drafts []*draft) {
	if len(claims) > mostFree {
		return // of so much each would be compared with all
	}
	wrapped := d.joinWrapped(claims)
	for _, dr := range drafts {
		if inProse([]*draft{dr}) {
			continue
		}
		free := slices.DeleteFunc(slices.Clone(wrapped), func(c claim) bool { return d.saidBy(c, drafts, dr) })
		for i := range dr.facts {
			f := &dr.facts[i]
			spec, ok := specOf(dr.kind, f.field)
			if !ok || spec.Type == record.Time || len(f.read.toks) == 0 || d.taughtFact(f) {
				continue
			}
			if g, ok := d.retaken(dr, f, free); ok {
				*f = g
			} else if f.danger == "" && spec.Type == record.Code {
				f.danger = d.rival(dr, f, free)
			}
		}
		d.retakeTimes(slices.DeleteFunc(slices.Clone(claims), func(c claim) bool {
			return d.saidBy(c, drafts, dr) && !(atOnce(dr.kind) && d.sameDraft(c, dr) > sharedBy)
		}), dr)
	}
}

// sharedBy is how likely the time that another draft says must be of this one too to stand for both.
const sharedBy = 0.9

// atOnce reports whether records of a kind are of one moment or period, which stands once for all of a report.
func atOnce(k record.Kind) bool {
	return k == record.Inventory || k == record.SensorStatus || k == record.Reconciliation
}

// retaken is a value of a draft, of any type but times, as the second reading takes it, where it plainly takes
// other words for it: of a name some of the same, or none where the grammar's hardly are it.
func (d *doc) retaken(dr *draft, f *fact, claims []claim) (fact, bool) {
	words := d.second.wordsOf(f.read.toks)
	spec, _ := specOf(dr.kind, f.field)
	p, _, known := d.second.agrees(f.read.toks, string(dr.kind), f.field)
	for _, c := range claims {
		if c.tag.Kind != string(dr.kind) || c.tag.Field != f.field || c.p < plainField || sameWords(c.words, words) {
			continue
		}
		if (spec.Type != record.Label || !shareWords(c.words, words)) && (!known || p >= hardlyField || d.sameDraft(c, dr) <= likelySame) {
			continue
		}
		if !dr.unsure(f) && d.otherwise(dr.kind, f.field, f.read.toks) == "" && !d.moreWords(dr.kind, f.field, f.read.toks) {
			continue
		}
		if slices.ContainsFunc(words, func(w int) bool { return !slices.Contains(c.words, w) && d.holdsOthers(w, f.read.toks) }) {
			continue
		}
		g, ok := d.factOf(c)
		g.inherited = f.inherited
		return g, ok
	}
	return fact{}, false
}

// rival says what other word the second reading plainly takes for a code of a draft as well; "" for none.
func (d *doc) rival(dr *draft, f *fact, claims []claim) string {
	words := d.second.wordsOf(f.read.toks)
	for _, c := range claims {
		if c.tag.Kind != string(dr.kind) || c.tag.Field != f.field || c.p < plainField || shareWords(c.words, words) || d.sameDraft(c, dr) <= likelySame {
			continue
		}
		if g, ok := d.factOf(c); ok && g.read.value != f.read.value {
			return fmt.Sprintf("a second reading of the slip takes %q for it as well", textOf(c.toks))
		}
	}
	return ""
}

// holdsOthers reports whether a word has tokens besides these: what it is taken for may be theirs, as in 2>LEAK.
func (d *doc) holdsOthers(w int, toks []token) bool {
	for _, l := range d.lines {
		for i := range l.toks {
			if d.second.word(&l.toks[i]) == w && !slices.ContainsFunc(toks, func(t token) bool { return t.at == l.toks[i].at }) {
				return true
			}
		}
	}
	return false
}

// saidBy reports whether another draft says what is claimed, by the same words, for itself.
func (d *doc) saidBy(c claim, drafts []*draft, but *draft) bool {
	return slices.ContainsFunc(drafts, func(o *draft) bool {
		if o == but || string(o.kind) != c.tag.Kind {
			return false
		}
		at := slices.IndexFunc(o.facts, func(f fact) bool { return f.field == c.tag.Field && !f.inherited })
		return at >= 0 && slices.Contains(d.second.wordsOf(o.facts[at].read.toks), c.words[0])
	})
}

// shareWords reports whether two lists have a word in common.
func shareWords(a, b []int) bool {
	return slices.ContainsFunc(a, func(w int) bool { return slices.Contains(b, w) })
}

// sameWords reports whether two lists have the same words.
func sameWords(a, b []int) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(w int) bool { return !slices.Contains(b, w) })
}

// unsure reports whether something is said against a fact or its draft.
func (dr *draft) unsure(f *fact) bool {
	return dr.doubt != "" || f.guess != "" || f.danger != "" || f.stranger != ""
}

// retakeTimes gives a draft the times that the second reading plainly takes for its own where it has none,
// or one of other words.
func (d *doc) retakeTimes(claims []claim, dr *draft) {
	for _, spec := range record.Specs(dr.kind) {
		if spec.Type != record.Time {
			continue
		}
		g, ok := d.ownTime(claims, dr, spec)
		if !ok {
			continue
		}
		words := d.second.wordsOf(g.read.toks)
		held := heldWords{}
		for _, o := range dr.facts {
			if o.field != spec.Name && o.read.hasTime() {
				d.hold(held, &o)
			}
		}
		if slices.ContainsFunc(words, func(w int) bool { return held[w] }) {
			continue
		}
		i := slices.IndexFunc(dr.facts, func(o fact) bool { return o.field == spec.Name })
		switch {
		case i < 0:
			dr.put(g)
		case d.taughtFact(&dr.facts[i]) || sameWords(words, d.second.wordsOf(dr.facts[i].read.toks)) || sameMoment(dr.facts[i].read, g.read) || dr.facts[i].read.until != nil:
		case withClock(dr.facts[i].read, g.read):
			g.inherited, g.label = dr.facts[i].inherited, dr.facts[i].label
			dr.facts[i] = g
		case d.hardlyTaken(dr, &dr.facts[i]) && (dr.unsure(&dr.facts[i]) || d.otherwise(dr.kind, spec.Name, dr.facts[i].read.toks) != ""):
			g.inherited = dr.facts[i].inherited
			dr.facts[i] = g
		}
	}
}

// sameMoment reports whether two times are one.
func sameMoment(a, b reading) bool {
	return a.hasTime() && b.hasTime() && a.hasDate() == b.hasDate() && a.hasClock() == b.hasClock() && a.when.Date.Parts == b.when.Date.Parts && a.when.Clock == b.when.Clock
}

// withClock reports whether of two times the first is the date of the second, which has a time of day.
func withClock(a, b reading) bool {
	return a.hasDate() && !a.hasClock() && b.hasDate() && b.hasClock() && slices.ContainsFunc(a.toks, func(t token) bool {
		return slices.ContainsFunc(b.toks, func(o token) bool { return o.at == t.at })
	})
}

// hardlyTaken reports whether the second reading takes the words of a fact for something else.
func (d *doc) hardlyTaken(dr *draft, f *fact) bool {
	p, _, known := d.second.agrees(f.read.toks, string(dr.kind), f.field)
	return known && p < likelyField
}

// ownTime is the time that the second reading takes for a field of a draft: the claim that is most likely
// of it, and where that is a date or a time of day alone the likeliest of the other.
func (d *doc) ownTime(claims []claim, dr *draft, spec record.FieldSpec) (fact, bool) {
	var best, date, clock fact
	var odds, dateOdds, clockOdds float64
	for _, c := range claims {
		if c.tag.Kind != string(dr.kind) || c.tag.Field != spec.Name || c.p < plainField && (c.p < likelyField || hasField(dr.facts, spec.Name)) {
			continue
		}
		p := d.sameDraft(c, dr)
		if p <= likelySame {
			continue
		}
		f, ok := d.factOf(c)
		if !ok || !f.read.hasTime() || f.read.until != nil {
			continue
		}
		if p > odds {
			best, odds = f, p
		}
		if f.read.hasDate() && !f.read.hasClock() && p > dateOdds {
			date, dateOdds = f, p
		}
		if f.read.hasClock() && !f.read.hasDate() && p > clockOdds {
			clock, clockOdds = f, p
		}
	}
	for _, other := range []fact{date, clock} {
		if both, ok := joinMoments(best.read, other.read); ok {
			best.read = both
			break
		}
	}
	return best, odds > 0
}
