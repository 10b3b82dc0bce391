package parse

import (
	"regexp"
	"strings"

	"tankroll/parse/lexicon"
)

// head holds the facts of the header in the making.
type head struct {
	site, number, address, printed *fact
	guessed                        bool // the site's name carries no label
}

var (
	// A street: a house number and a word for a way at the end or near it.
	street = regexp.MustCompile(`(?i)^#?\d{1,6}[a-z]?\s+.*\b(st|str|street|rd|road|ave|av|avenue|blvd|boulevard|ln|lane|dr|drive|hwy|highway|way|sq|square|pkwy|parkway|ct|court|pl|place|route|rte|cir|circle|trl|trail|pike|row|terrace|ter|close|crescent|walk|hill|bypass|loop|expy|fwy|plaza|quay|wharf|gate|green|park|mews|rise|yard|alley|bend|bridge)\b\.?(\s+\S+){0,3}$`)
	// A town: words and a postal code.
	town = regexp.MustCompile(`(?i)^[a-z][a-z .,'-]+[ ,](\d{4,5}(-\d{4})?|[a-z]{1,2}\d[a-z\d]?\s?\d[a-z]{2}|[a-z]\d[a-z]\s?\d[a-z]\d)$`)
	// A town with a state.
	townState = regexp.MustCompile(`(?i)^[a-z][a-z .'-]+,?\s+[a-z]{2}\.?(\s+\d{5}(-\d{4})?)?$`)
	anyWay    = regexp.MustCompile(`(?i)^\d{1,6}[a-z]?\s+[a-z]`)
)

// header reads what is left of the slip after its records:
//
//	headline = "printed" moment | moment | "site" [ "no" ] number | name
//	         | house number street | town postal code | courtesy
//
// The site's name is the first line of words that is nothing else.
func (d *doc) header(left []int, drafts []*draft) head {
	var h head
	for _, f := range d.headFacts {
		h.take(f)
	}
	first := len(d.lines)
	for _, dr := range drafts {
		first = min(first, dr.from)
	}
	var names [][]token
	for n := 0; n < len(left); n++ {
		l := d.lines[left[n]]
		if l.rule || len(l.toks) == 0 {
			continue
		}
		rest := d.labelledHead(&h, l)
		if len(rest) < len(l.toks) {
			n += d.wrapHead(&h, left, n)
		}
		for _, c := range cells(rest) {
			text := textOf(c)
			switch {
			case h.address == nil && isStreet(text):
				h.address = textFact("address", d.addressTokens(c, left, &n))
			case h.address == nil && town.MatchString(text) && len(c) >= 2:
				h.address = textFact("address", c)
			case d.courtesy(c) || !strings.ContainsAny(text, letters):
			default:
				names = append(names, c)
			}
		}
	}
	d.nameSite(&h, names, first)
	return h
}

const letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

// wrapHead adds a line that is set in below an address to it: the address goes
// on there. It returns how many lines it took.
func (d *doc) wrapHead(h *head, left []int, n int) int {
	i := left[n]
	if h.address == nil || n+1 >= len(left) || left[n+1] != i+1 || len(d.lines[i+1].toks) == 0 {
		return 0
	}
	at := h.address.read.toks
	next := d.lines[i+1].toks
	indent := next[0].col - d.lines[i].toks[0].col
	if at[len(at)-1].line != i || indent < 1.5 && next[0].col < at[0].col-1.5 || cellEnd(next, 0) != len(next) || next[len(next)-1].delim != 0 {
		return 0
	}
	if facts, worth := d.scan("", next); len(facts) > 0 && worth > 0 {
		return 0
	}
	h.address.read.toks = append(at[:len(at):len(at)], next...)
	return 1
}

func isStreet(text string) bool { return street.MatchString(text) }

func textFact(field string, toks []token) *fact {
	return &fact{field: field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}}
}

// addressTokens joins a street with the town on the next line.
func (d *doc) addressTokens(toks []token, left []int, n *int) []token {
	i := left[*n]
	if *n+1 < len(left) && left[*n+1] == i+1 {
		next := d.lines[i+1].toks
		if t := textOf(next); len(next) > 0 && (town.MatchString(t) || townState.MatchString(t)) && !town.MatchString(textOf(toks)) {
			*n++
			return append(toks[:len(toks):len(toks)], next...)
		}
	}
	return toks
}

// labelledHead takes what a header line says of itself, and dates. It returns
// the tokens that are left.
func (d *doc) labelledHead(h *head, l line) []token {
	facts, _ := d.scan("", l.toks)
	took := map[float64]bool{}
	for i := range facts {
		f := facts[i]
		if f.field == fieldMoment && !f.read.moment.HasDate && h.printed == nil || !h.take(f) {
			continue
		}
		for _, t := range append(f.label[:len(f.label):len(f.label)], f.read.toks...) {
			took[t.col] = true
		}
	}
	var rest []token
	for _, t := range l.toks {
		if !took[t.col] {
			rest = append(rest, t)
		}
	}
	return rest
}

// take keeps a header fact; the first of its kind stands, but for a date that
// lacked its time of day.
func (h *head) take(f fact) bool {
	switch strings.TrimPrefix(f.field, "header.") {
	case "printed_at", fieldMoment:
		if h.printed == nil {
			h.printed = &f
			return true
		}
		m, ok := joinMoments(h.printed.read, f.read)
		if ok {
			h.printed.read = m
		}
		return ok
	case "site_number":
		return keep(&h.number, f)
	case "address":
		return keep(&h.address, f)
	case "site":
		if t := f.read.toks; len(t) > 0 && len(t[0].text) <= 6 && strings.ContainsAny(t[0].text, "0123456789") {
			n := f
			n.read.toks, n.read.value = t[:1], strings.TrimLeft(t[0].text, "#0")
			n.read.value = strings.TrimLeft(t[0].text, "#")
			ok := keep(&h.number, n)
			for len(t) > 1 && t[1].blank {
				t = t[1:]
			}
			if len(t) > 1 && h.site == nil {
				f.read.toks, f.read.value = t[1:], textOf(t[1:])
				h.site = &f
			}
			return ok
		}
		return keep(&h.site, f)
	}
	return false
}

func keep(dst **fact, f fact) bool {
	if *dst != nil {
		return false
	}
	*dst = &f
	return true
}

// courtesy reports whether a line is a usual closing line.
func (d *doc) courtesy(toks []token) bool {
	for _, h := range d.find(toks[:min(len(toks), maxPhraseWords)]) {
		if h.Sense == lexicon.Skip {
			return true
		}
	}
	_, _, n := d.code(lexicon.Skip, toks)
	return n*2 >= len(toks)
}

// nameSite takes the first free text above the records for the site's name,
// or the first one at all.
func (d *doc) nameSite(h *head, names [][]token, first int) {
	if h.site != nil || len(names) == 0 || names[0][0].line > first && len(names) > 3 {
		return
	}
	toks := names[0]
	if len(toks) > 8 || d.isHeading(toks) {
		return
	}
	if anyWay.MatchString(textOf(toks)) && h.number == nil && len(toks[0].text) <= 4 {
		n := fact{field: "site_number", read: reading{used: 1, toks: toks[:1], value: toks[0].text}, weak: true}
		h.number = &n
		toks = toks[1:]
		for len(toks) > 1 && toks[0].blank {
			toks = toks[1:]
		}
	}
	h.site = textFact("site", toks)
	h.guessed = len(names) > 1
	if h.address == nil && len(names) > 1 && names[1][0].line < first && anyWay.MatchString(textOf(names[1])) {
		a := names[1]
		if len(names) > 2 && names[2][0].line == names[1][0].line+1 && names[2][0].line < first {
			a = append(a[:len(a):len(a)], names[2]...)
		}
		h.address = textFact("address", a)
		h.address.weak = true
	}
}
