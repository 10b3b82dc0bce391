package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// head holds the facts of the header in the making.
type head struct {
	site, number, address, printed *fact
	taken                          *fact  // when the readings were taken, if the slip says so apart
	guessed                        bool   // the site's name carries no label
	others                         []fact // what the head says that no field is for
}

// The header of a slip stands in its first lines.
const headLines = 6

// header reads what is left of the slip after its records:
//
//	headline = "printed" moment | moment | "site" [ "no" ] number | name
//	         | house number street | town postal code | courtesy
//
// The site's name is the first line of words that is nothing else.
func (d *doc) header(left []int, drafts []*draft) head {
	h := d.front
	for _, f := range d.headFacts {
		h.take(f)
	}
	if h.printed != nil && inDrafts(drafts, *h.printed) {
		h.printed = nil // a record has it
	}
	first := len(d.lines)
	for _, dr := range drafts {
		first = min(first, dr.from)
	}
	var names [][]token
	for n := 0; n < len(left); n++ {
		l := d.lines[left[n]]
		if l.rule || len(l.toks) == 0 || d.front.has(left[n]) || saysChanged(l.toks) > 0 {
			continue
		}
		rest := d.labelledHead(&h, l)
		if len(rest) < len(l.toks) {
			n += d.wrapHead(&h, left, n)
		}
		for _, c := range cells(rest) {
			text := textOf(c)
			if !d.courtesy(c) && strings.ContainsAny(text, letters) {
				names = append(names, c)
			}
		}
	}
	names = d.findAddress(&h, names)
	d.nameSite(&h, names, first)
	return h
}

// inDrafts reports whether a record has a value of the words of a time of printing without a label.
func inDrafts(drafts []*draft, printed fact) bool {
	return len(printed.label) == 0 && len(printed.read.toks) > 0 && slices.ContainsFunc(drafts, func(dr *draft) bool {
		return slices.ContainsFunc(dr.facts, func(f fact) bool {
			return f.read.hasTime() && len(f.read.toks) > 0 && f.read.toks[0].at == printed.read.toks[0].at
		})
	})
}

const letters = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

// wrapHead adds a line that is set in below an address or name to it: it goes
// on there. It returns how many lines it took.
func (d *doc) wrapHead(h *head, left []int, n int) int {
	i := left[n]
	if n+1 >= len(left) || left[n+1] != i+1 || len(d.lines[i+1].toks) == 0 {
		return 0
	}
	f := h.address
	if h.site != nil && (f == nil || h.site.read.toks[len(h.site.read.toks)-1].line == i) {
		f = h.site
	}
	if f == nil {
		return 0
	}
	at := f.read.toks
	next := d.lines[i+1].toks
	indent := next[0].col - d.lines[i].toks[0].col
	if at[len(at)-1].line != i || indent < 1.5 && next[0].col < at[0].col-1.5 || cellEnd(next, 0) != len(next) || next[len(next)-1].delim != 0 {
		return 0
	}
	if facts, worth := d.scan("", next); len(facts) > 0 && worth > 0 {
		return 0
	}
	f.read.toks = append(at[:len(at):len(at)], next...)
	return 1
}

func textFact(field string, toks []token) *fact {
	return &fact{field: field, read: reading{used: len(toks), toks: toks, value: textOf(toks)}}
}

// labelledHead takes what a header line says of itself, and dates. It returns
// the tokens that are left.
func (d *doc) labelledHead(h *head, l line) []token {
	facts, _ := d.scan("", l.toks)
	took := map[int]bool{}
	for i := range facts {
		f := facts[i]
		if !d.speaks(f) {
			continue
		}
		if f.field == fieldMoment && !f.read.hasDate() && h.printed == nil || !h.take(f) {
			continue
		}
		for _, t := range append(f.label[:len(f.label):len(f.label)], f.read.toks...) {
			took[t.at] = true
		}
	}
	var rest []token
	for _, t := range l.toks {
		if !took[t.at] {
			rest = append(rest, t)
		}
	}
	return rest
}

// speaks reports whether the label of a fact is one that a header has: the word
// for a number alone may be of anything, a street's is part of an address.
func (d *doc) speaks(f fact) bool {
	if len(f.label) == 0 {
		return true
	}
	bag, _, _ := d.bag(f.label)
	at, l, ok := d.where(f.label, nil)
	switch f.field {
	case "header.site_number":
		return bag != bagOf("number")
	case "header.site":
		return !ok || len(f.read.toks) == 0 || l.toks[at+len(f.label)-1].delim != 0 || starts(l.toks, at) && !beginsWay(f.read.toks[0].text) // STATION ROAD, NAME STATION, CO. CLARE
	case "header.address":
		return !ok || starts(l.toks, at)
	}
	return true
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
		if len(f.read.toks) > 0 && !plainNumber(f.read.toks[0]) && !siteCodes.matches(f.read.toks[0].text) {
			return false
		}
		return keep(&h.number, f)
	case "address":
		return keep(&h.address, f)
	case "site":
		if t := f.read.toks; len(t) > 0 && len(t[0].text) <= 6 && hasDigit(t[0].text) {
			n := f
			n.read.toks, n.read.value = t[:1], strings.TrimLeft(t[0].text, "#0")
			n.read.value = strings.TrimLeft(t[0].text, "#")
			ok := keep(&h.number, n)
			for len(t) > 1 && t[1].blank {
				t = t[1:]
			}
			if len(t) > 1 && h.site == nil {
				name, address := splitAddress(t[1:])
				f.read.toks, f.read.value = name, textOf(name)
				h.site = &f
				if address != nil && h.address == nil {
					h.address = textFact("address", address)
				}
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

// courtesy reports whether a line is a usual closing line, or says nothing of the site
// or any record.
func (d *doc) courtesy(toks []token) bool {
	if d.aside(toks) {
		return true
	}
	for _, h := range d.find(toks[:min(len(toks), maxPhraseWords)]) {
		if h.Sense == lexicon.Skip {
			return true
		}
	}
	code, cost, n := d.code(lexicon.Skip, toks)
	if n > 0 && n < len(toks) && hasDigit(toks[n].text) && d.onlyLabel(toks[:n]) {
		return false // END 2025-03-14T07:15
	}
	return n*2 >= len(toks) || n > 1 && cost == 0 && code == "closing" && toks[0].norm == "thank"
}

// near reports whether the address or number of the site stands within two
// lines of a line.
func (h *head) near(line int) bool {
	for _, f := range []*fact{h.address, h.number} {
		if f == nil || len(f.read.toks) == 0 {
			continue
		}
		if by := f.read.toks[0].line - line; by >= -2 && by <= 2 {
			return true
		}
	}
	return false
}

// nameSite takes the first free text above the records for the site's name,
// or the first one at all.
func (d *doc) nameSite(h *head, names [][]token, first int) {
	if h.site != nil || len(names) == 0 || names[0][0].line > first && !h.near(names[0][0].line) {
		return
	}
	toks := names[0]
	for _, n := range names {
		if d.lines[n[0].line].head && !d.isHeading(d.lines[n[0].line].toks) {
			toks = n // a line that is told to be of the header goes before any other
			break
		}
	}
	if len(toks) > 8 || d.isHeading(toks) || d.isHeading(d.lines[toks[0].line].toks) {
		return
	}
	parted := len(toks) > 2 && toks[1].blank && plainDigits(toks[0].text, 1, 4) // 415 / NAME
	if (houseWay.matches(textOf(toks)) || parted) && h.number == nil && len(toks[0].text) <= 4 {
		n := fact{field: "site_number", read: reading{used: 1, toks: toks[:1], value: toks[0].text}, weak: true}
		h.number = &n
		toks = toks[1:]
		for len(toks) > 1 && toks[0].blank {
			toks = toks[1:]
		}
	}
	if n := len(toks) - 1; n > 0 && bracketedNumber(toks[n]) && h.number == nil {
		in := toks[n]
		in.text = strings.Trim(in.text, "()[]")
		h.number = &fact{field: "site_number", read: reading{used: 1, toks: []token{in}, value: in.text}}
		toks = toks[:n]
	}
	for len(toks) > 1 && toks[len(toks)-1].blank {
		toks = toks[:len(toks)-1]
	}
	toks, address := splitAddress(withoutLead(toks))
	if address != nil && h.address == nil {
		h.address = textFact("address", address)
	}
	h.site = textFact("site", toks)
	h.guessed = true // nothing around it says that it is a name
}

// has reports whether something of the header stands on a line.
func (h *head) has(line int) bool {
	return anyOn(line, h.site, h.number, h.address, h.printed, h.taken)
}

// anyOn reports whether one of the facts, nil for none, stands on a line.
func anyOn(line int, facts ...*fact) bool {
	for _, f := range facts {
		if f == nil {
			continue
		}
		for _, t := range f.read.toks {
			if t.line == line {
				return true
			}
		}
	}
	return false
}
