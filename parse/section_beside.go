package parse

// withoutSite leaves out what the last cells of a title say of the site, with its label:
//
//	title = words far-gap "site" number      LINE TEST SUMMARY          Site 412
//
// A printer that has one line for the title and the site's number sets them at its ends.
func (d *doc) withoutSite(toks []token) []token {
	for i := cellEnd(toks, 0); i < len(toks); i = cellEnd(toks, i) {
		if it, n := d.siteItem(toks, i); n > 0 && i+n == len(toks) && it.firm && len(it.label) > 0 {
			return toks[:i]
		}
	}
	return toks
}
