package parse

import (
	"slices"
	"strings"
)

// amongLabels reports whether the line above or below line i of the head has the
// site's name or address with its label.
func (r *headReader) amongLabels(i int) bool {
	for _, o := range []*headLine{r.above(i), r.next(i), &r.lines[i]} {
		if o == nil {
			continue
		}
		for _, it := range o.items {
			if it.firm && (it.field == "site" || it.field == "address") {
				return true
			}
		}
	}
	return false
}

// beside reports whether line i of the head has a date with its year beside a number,
// and the site's name above it.
func (r *headReader) beside(i int) bool {
	l := r.lines[i]
	if l.foot || i == 0 || r.lines[i-1].at != l.at-1 || len(l.items) != 2 {
		return false
	}
	dated := slices.ContainsFunc(l.items, func(it headItem) bool { return it.read.hasDate() && it.read.hasYear() })
	return dated && slices.ContainsFunc(r.lines[i-1].items, func(it headItem) bool {
		return it.field == itemWords && r.d.wordsKind(it.toks) == wordsName
	})
}

// leadsName reports whether a number before a mark on line i of the head belongs
// to the name behind it: it is no item of a list.
func (r *headReader) leadsName(i int) bool {
	l := r.lines[i]
	if l.foot && !r.opens(i) || len(l.items) < 2 || r.d.wordsKind(l.items[1].toks) != wordsName {
		return false
	}
	for k, o := range r.lines {
		if k != i && len(o.items) > 0 && o.items[0].aside {
			return false
		}
	}
	if !l.under && !l.foot || l.foot && r.aloneAtFoot(i) {
		return true
	}
	if t := l.items[0].toks[0]; t.delim == 0 && starts(r.d.lines[l.at].toks, 1) {
		return false // a cell of its own, as in a table
	}
	for _, o := range []*headLine{r.above(i), r.next(i)} {
		if o == nil {
			continue
		}
		for _, it := range o.items {
			if it.field == "printed_at" || it.field == fieldMoment || it.field == itemWords && r.d.wordsKind(it.toks) == wordsStreet {
				return true
			}
		}
	}
	return false
}

// endsName reports whether item k of line i of the head is a number behind a name and
// a mark, and the last of its line, which is the only such one: NAME / 415.
func (r *headReader) endsName(i, k int) bool {
	l := r.lines[i]
	if k == 0 || k != len(l.items)-1 || l.foot && !r.opens(i) || r.d.wordsKind(l.items[k-1].toks) != wordsName {
		return false
	}
	for j, o := range r.lines {
		if n := len(o.items); j != i && n > 0 && o.items[n-1].aside {
			return false
		}
	}
	return true
}

// aloneAtFoot reports whether line i of the foot stands below a rule with nothing but
// closing lines.
func (r *headReader) aloneAtFoot(i int) bool {
	if i == 0 || !r.lines[i-1].rule {
		return false
	}
	for k := i + 1; k < len(r.lines); k++ {
		if !r.lines[k].rule && !r.closing(k) {
			return false
		}
	}
	return true
}

// belowName reports whether line i of the head is a number in brackets or behind # alone, below
// words that may be the site's name.
func (r *headReader) belowName(i int) bool {
	l := r.lines[i]
	a := r.above(i)
	return len(l.items) == 1 && (bracketedNumber(l.items[0].toks[0]) || l.at == 1 && hashedNumber(l.items[0].toks[0])) && a != nil && len(a.items) == 1 && a.items[0].field == itemWords && r.d.wordsKind(a.items[0].toks) == wordsName
}

// hashedNumber reports whether a token is a number behind the mark for one: #733.
func hashedNumber(t token) bool {
	return strings.HasPrefix(t.text, "#") && plainDigits(t.text[1:], 1, 6)
}

// besideName reports whether words that may be the site's name stand on line i of the
// head.
func (r *headReader) besideName(i int) bool {
	return slices.ContainsFunc(r.lines[i].items, func(it headItem) bool { return it.field == itemWords && r.d.wordsKind(it.toks) == wordsName })
}

// inBlock reports whether line i of the head says no more than a number, in one block
// with words that may be the site's name and above all records.
func (r *headReader) inBlock(i int) bool {
	if l := r.lines[i]; len(l.items) != 1 || l.under || l.foot {
		return false
	}
	for k := range r.lines {
		if k != i && r.together(k, i) && r.besideName(k) {
			return true
		}
	}
	return false
}
