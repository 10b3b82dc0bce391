package parse

import "slices"

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

// guessedRecord says of a record, and bySecondReading of a field, that no rule found it.
const (
	guessedRecord   = "the record is guessed from its words"
	bySecondReading = "it is guessed from what stands around it"
)

// fillIn gives drafts the fields that the second reading sees and the grammar found nothing for, and
// makes drafts of those that belong to none. All are doubtful.
func (d *doc) fillIn(drafts []*draft, h *head) []*draft {
	if d.second == nil || len(d.second.words) == 0 {
		return drafts
	}
	claims := d.claims()
	drafts = d.choose(drafts, d.ownRecords(slices.DeleteFunc(slices.Clone(claims), func(c claim) bool { return c.tag.Kind == string(headerKind) })))
	d.fillHead(claims, drafts, h)
	drafts, gone := d.giveWay(claims, drafts)
	held := d.heldBy(drafts, h)
	free := d.toDrafts(held.others(claims), drafts)
	if len(drafts) == 0 && !d.titled() && plainly(free) < manyFields {
		return d.giveBack(gone, drafts, h) // it may be of another trade
	}
	var more []*draft
	for _, g := range d.groups(free) {
		if !d.adopt(g, drafts) {
			more = append(more, d.recordsOf(g)...)
		}
	}
	drafts = append(drafts, more[:min(len(more), max(MaxLines-len(drafts), 0))]...) // no more records than lines
	d.shareClaims(claims, drafts)
	d.retake(claims, drafts)
	d.toDrafts(d.heldBy(drafts, h).others(claims), drafts)
	drafts = d.giveBack(gone, drafts, h)
	d.doubtTogether(drafts)
	doubtTwice(drafts)
	return drafts
}

// heldWords says which words the grammar has a place for.
type heldWords map[int]bool

func (h heldWords) any(c claim) bool {
	return slices.ContainsFunc(c.words, func(w int) bool { return h[w] })
}

// others are the claims of records of whose words none is held, no more than are looked at.
func (h heldWords) others(claims []claim) []claim {
	free := slices.DeleteFunc(slices.Clone(claims), func(c claim) bool { return c.tag.Kind == string(headerKind) || h.any(c) })
	return free[:min(len(free), mostFree)]
}

// heldBy are the words of values that the grammar found.
func (d *doc) heldBy(drafts []*draft, h *head) heldWords {
	out := heldWords{}
	for _, dr := range drafts {
		for i := range dr.facts {
			d.hold(out, &dr.facts[i])
		}
		for i := range dr.again {
			d.hold(out, &dr.again[i])
		}
	}
	for _, f := range []*fact{h.site, h.number, h.address, h.printed} {
		d.hold(out, f)
	}
	return out
}

// hold notes the words of a value, of both ends of a range.
func (d *doc) hold(held heldWords, f *fact) {
	for ; f != nil; f = f.read.also {
		if f.field == "" || f.field == fieldNone || f.field == fieldLoose {
			continue
		}
		for _, w := range d.second.wordsOf(f.read.toks) {
			held[w] = true
		}
		if f.read.until != nil {
			for _, w := range d.second.wordsOf(f.read.until.toks) {
				held[w] = true
			}
		}
	}
}

// given is a fact that was taken from its draft.
type given struct {
	from *draft
	fact fact
}

// giveWay takes from drafts what is doubtful in them and is claimed for another field, for which
// it plainly is by the second reading; of a draft of which nothing is left, the draft.
func (d *doc) giveWay(claims []claim, drafts []*draft) (left []*draft, gone []given) {
	plain := map[int]bool{}
	for _, c := range claims {
		for _, w := range c.words {
			plain[w] = plain[w] || c.p >= plainField
		}
	}
	left = slices.DeleteFunc(drafts, func(dr *draft) bool {
		before := len(dr.facts)
		dr.facts = slices.DeleteFunc(dr.facts, func(f fact) bool {
			words := d.second.wordsOf(f.read.toks)
			if len(words) == 0 || slices.ContainsFunc(words, func(w int) bool { return !plain[w] }) || !d.hardly(dr, &f) {
				return false
			}
			gone = append(gone, given{dr, f})
			return true
		})
		return len(dr.facts) < before && !dr.substance()
	})
	return left, gone
}

// giveBack puts facts that gave way for a claim which nothing came of back to their drafts, and these
// to the others: what was read is not lost.
func (d *doc) giveBack(gone []given, drafts []*draft, h *head) []*draft {
	if len(gone) == 0 {
		return drafts
	}
	held := d.heldBy(drafts, h)
	for _, g := range gone {
		if slices.ContainsFunc(d.second.wordsOf(g.fact.read.toks), func(w int) bool { return held[w] }) || hasField(g.from.facts, g.fact.field) {
			continue
		}
		g.from.put(g.fact)
		if !slices.Contains(drafts, g.from) && g.from.substance() {
			drafts = append(drafts, g.from)
		}
	}
	return drafts
}

// hardly reports whether a fact of a draft is doubtful and by the second reading is hardly what it is
// taken for.
func (d *doc) hardly(dr *draft, f *fact) bool {
	if !dr.unsure(f) {
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
