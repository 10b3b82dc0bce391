package parse

import (
	"slices"
)

// cards takes the headings that name a tank or line over several titles off the sections above
// them, and notes them with those below:
//
//	card = thing [ product ] newline section { section }
//
// A slip that tells all of a tank before the next has its stock, limits, last test and last delivery
// below its name, each under a title of its own. Of a name over one title that title's own
// records tell.
func (d *doc) cards(parts []section) []section {
	heads := make([]int, len(parts)) // the heading of each section's card
	for i := range parts {
		heads[i] = -1
		if i > 0 && parts[i].title.kind != "" {
			if heads[i] = d.cardHead(parts[i-1], parts[i]); heads[i] < 0 {
				heads[i] = heads[i-1]
			}
		}
	}
	for i := 0; i < len(parts); {
		j := i + 1
		for j < len(parts) && heads[j] == heads[i] {
			j++
		}
		if heads[i] < 0 || !severalKinds(parts[i:j]) {
			i = j
			continue
		}
		parts[i-1].to = heads[i]
		for k := i; k < j; k++ {
			parts[k].card = d.lines[heads[i]].toks
		}
		i = j
	}
	return slices.DeleteFunc(parts, func(s section) bool { return s.to <= s.from })
}

// severalKinds reports whether sections have titles of more than one kind.
func severalKinds(parts []section) bool {
	return slices.ContainsFunc(parts, func(s section) bool { return s.title.kind != parts[0].title.kind })
}

// cardHead is the line right above a section's title that is the name of a tank or line and no more; -1 for none.
func (d *doc) cardHead(above, s section) int {
	i := s.from - 1
	for i > above.from && (d.lines[i].rule || len(d.lines[i].toks) == 0) {
		i--
	}
	if i < above.from || !d.thingAlone(d.lines[i]) {
		return -1
	}
	return i
}

// onCard gives records of a section the tank or line, and its product, of the card's heading, where they have none.
func (d *doc) onCard(s section, drafts []*draft) {
	if s.card == nil {
		return
	}
	for _, dr := range drafts {
		own := ownName(dr.kind)
		if own != d.beginsThing(s.card) || hasField(dr.facts, own) {
			continue
		}
		facts, _ := d.scan(dr.kind, s.card)
		for _, f := range facts {
			if _, ok := specOf(dr.kind, f.field); ok && !hasField(dr.facts, f.field) {
				f.inherited = true
				dr.put(f)
			}
		}
	}
}
