package parse

import "slices"

// shareClaims gives records that lack it what is claimed for several of them at once: the tank, the line, the
// rate that was tested for, or a result in a heading.
func (d *doc) shareClaims(claims []claim, drafts []*draft) {
	for _, c := range claims {
		switch c.tag.Field {
		case "tank", "line", "product", "test_rate", "test_class":
		case "method", "result", "state":
			if c.p < plainField {
				continue
			}
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
	for _, dr := range drafts {
		for _, field := range []string{"tank", "line", "product"} {
			if f, ok := d.headedBy(claims, dr, field); ok {
				dr.put(f)
			}
		}
	}
}

// How likely a heading of other records must at least be of a draft to give it a tank, line or product, and how
// many times as likely as any that says another.
const (
	leastHeaded  = 0.2
	headedBefore = 3
)

// headedBy is the tank, line or product of a heading over records of several kinds, such as a card of all that is
// known of a tank. The second reading takes it for one record's; a draft without its own has the one that it most
// likely belongs to besides.
func (d *doc) headedBy(claims []claim, dr *draft, field string) (best fact, ok bool) {
	if _, has := specOf(dr.kind, field); !has || hasField(dr.facts, field) || hasField(dr.facts, fieldType) || len(claims) > mostFree {
		return fact{}, false
	}
	most, next := 0.0, 0.0
	for _, c := range claims {
		if c.tag.Field != field || c.tag.Kind == string(headerKind) {
			continue
		}
		p := d.sameDraft(c, dr)
		if p*headedBefore < leastHeaded {
			continue // it neither is enough nor speaks against another that is
		}
		f, read := d.factOf(c)
		switch {
		case !read:
		case c.tag.Kind == string(dr.kind):
			if !ok || best.read.value != f.read.value {
				next = max(next, p)
			}
		case p > most:
			if ok && best.read.value != f.read.value {
				next = most
			}
			best, most, ok = f, p, true
		case best.read.value != f.read.value:
			next = max(next, p)
		}
	}
	ok = ok && most > leastHeaded && most > headedBefore*next
	best.inherited = true
	return best, ok
}

// doubtTwice doubts records of which a slip has one for each tank, where two are of the same.
func doubtTwice(drafts []*draft) {
	first := map[string]*draft{}
	for _, dr := range drafts {
		if !oncePerTank(dr.kind) || dr.ownText() == "" {
			continue
		}
		key := string(dr.kind) + " " + dr.ownText()
		o, ok := first[key]
		if !ok {
			first[key] = dr
			continue
		}
		for _, of := range []*draft{o, dr} {
			if of.doubt == "" {
				of.doubt = "another record of the same tank stands on the slip"
			}
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
