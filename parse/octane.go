package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// octane91 is the grade of a product that says no more than unleaded and 91 octane, which is
// the premium of some countries and the regular of others. The other octane numbers of the
// slip decide, or its units, with a doubt.
func (d *doc) octane91(toks []token) (grade, doubt string, ok bool) {
	i := slices.IndexFunc(toks, func(t token) bool { return t.text == "91" })
	if i < 0 || slices.ContainsFunc(toks, func(t token) bool { return lexicon.SaysRegular(t.norm) }) {
		return "", "", false
	}
	rest := slices.Delete(slices.Clone(toks), i, i+1)
	if code, _, known := d.grade(rest); len(rest) > 0 && (!known || code != "regular") {
		return "", "", false
	}
	if _, cost, known := d.whole(lexicon.Grade, toks); len(rest) > 0 && known && cost == 0 {
		return "", "", false // ULP 91
	}
	below, above := d.besideOctanes()
	switch {
	case above && !below:
		return "regular", "", true
	case below && !above:
		return "premium", "", true
	case d.units.metric > d.units.us:
		return "regular", "91 octane is regular in some countries and premium in others", true
	}
	return "premium", "91 octane is regular in some countries and premium in others", true
}

// besideOctanes reports whether products of less and of more than 91 octane stand on the slip.
func (d *doc) besideOctanes() (below, above bool) {
	for _, l := range d.lines {
		for i, t := range l.toks {
			if i == 0 || !d.spelt(l.toks[i-1], lexicon.Grade) {
				continue
			}
			switch t.text {
			case "85", "85.5", "86", "87", "88", "89":
				below = true
			case "95", "97", "98":
				above = true
			}
		}
	}
	return below, above
}

// octaneAgainst is the doubt about a grade that a label names in words while its octane
// figure alone would name another: REGULAR 93.
func (d *doc) octaneAgainst(grade string, toks []token) string {
	if grade != "regular" || len(toks) < 2 {
		return ""
	}
	for _, t := range toks {
		if code, cost, ok := d.whole(lexicon.Grade, []token{t}); t.number && t.text != "91" && ok && cost == 0 && code == "premium" {
			return "its words name one grade and its octane figure another"
		}
	}
	return ""
}
