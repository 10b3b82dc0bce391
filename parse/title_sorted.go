package parse

import "tankroll/parse/lexicon"

// withoutSorting leaves out the words at the end of a title that only say how its list is sorted,
// behind a comma, a stroke or in brackets: ALARMS, NEWEST FIRST.
func (d *doc) withoutSorting(toks []token) []token {
	const least = 3 // the title and two words
	if len(toks) < least {
		return toks
	}
	last := toks[len(toks)-1]
	if last.norm != "first" && last.norm != "top" {
		return toks
	}
	for i := 1; i < len(toks)-1; i++ {
		if code, cost, ok := d.whole(lexicon.Skip, toks[i:]); !ok || cost > 0 || code != "request" {
			continue
		}
		before := toks[i-1]
		switch {
		case before.blank && i > 1:
			return toks[:i-1]
		case before.stop != 0 || before.delim == ':' || toks[i].open:
			return toks[:i]
		}
	}
	return toks
}
