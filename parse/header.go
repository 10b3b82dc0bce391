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
	for _, dr := range drafts {
		h.takeFacts(dr)
	}
	first := len(d.lines)
	for _, dr := range drafts {
		first = min(first, dr.from)
	}
	var names []int
	for n := 0; n < len(left); n++ {
		i := left[n]
		l := d.lines[i]
		if l.rule || len(l.toks) == 0 {
			continue
		}
		if d.labelledHead(&h, l) {
			continue
		}
		text := textOf(l.toks)
		switch {
		case h.address == nil && isStreet(text):
			h.address = textFact("address", d.addressTokens(left, &n))
		case h.address == nil && town.MatchString(text) && len(l.toks) >= 2:
			h.address = textFact("address", l.toks)
		case d.courtesy(l.toks) || !strings.ContainsAny(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"):
		default:
			names = append(names, i)
		}
	}
	d.nameSite(&h, names, first)
	return h
}

func isStreet(text string) bool { return street.MatchString(text) }

func textFact(field string, toks []token) *fact {
	return &fact{field: field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}}
}

// addressTokens joins a street with the town on the next line.
func (d *doc) addressTokens(left []int, n *int) []token {
	i := left[*n]
	toks := d.lines[i].toks
	if *n+1 < len(left) && left[*n+1] == i+1 {
		next := d.lines[i+1].toks
		if t := textOf(next); len(next) > 0 && (town.MatchString(t) || townState.MatchString(t)) && !town.MatchString(textOf(toks)) {
			*n++
			return append(toks[:len(toks):len(toks)], next...)
		}
	}
	return toks
}

// labelledHead takes what a header line says of itself, and dates.
func (d *doc) labelledHead(h *head, l line) bool {
	facts, worth := d.scan("", l.toks)
	took := 0
	for i := range facts {
		f := facts[i]
		if f.field == fieldMoment && !f.read.moment.HasDate {
			continue
		}
		if h.take(f) {
			took += f.read.used + len(f.label)
		}
	}
	return took > 0 && (worth > 0 || 2*took >= len(l.toks))
}

func (h *head) takeFacts(dr *draft) {
	rest := dr.facts[:0:0]
	for _, f := range dr.facts {
		if !strings.HasPrefix(f.field, "header.") || !h.take(f) {
			rest = append(rest, f)
		}
	}
	dr.facts = rest
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

// nameSite takes the first free line above the records for the site's name,
// or the first one at all.
func (d *doc) nameSite(h *head, names []int, first int) {
	if h.site != nil || len(names) == 0 || names[0] > first && len(names) > 3 {
		return
	}
	toks := d.lines[names[0]].toks
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
	if h.address == nil && len(names) > 1 && names[1] < first && anyWay.MatchString(textOf(d.lines[names[1]].toks)) {
		a := d.lines[names[1]].toks
		if len(names) > 2 && names[2] == names[1]+1 && names[2] < first {
			a = append(a[:len(a):len(a)], d.lines[names[2]].toks...)
		}
		h.address = textFact("address", a)
		h.address.weak = true
	}
}
