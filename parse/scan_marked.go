package parse

import (
	"fmt"
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// markedNames tries a line that is no more than a product with the number of its tank or line,
// which a mark or the word for a number tells from a part of the product:
//
//	(4) DIESEL    #4 DIESEL    4 - DIESEL    DIESEL (4)    DIESEL #4    DIESEL NO 4
//
// A label with its amount may stand apart behind the first of these.
func (s *scanner) markedNames(i int, try *ways) {
	own := ownName(s.kind)
	if i > 0 || len(s.toks) < 2 || !s.has.product || own != "tank" && own != "line" || s.toks[0].ordinal {
		return
	}
	last := len(s.toks) - 1
	at := 1
	if n := s.d.bothLabels(s.toks, own); n > 0 {
		for at = n + 1; at < last && s.toks[at].blank; at++ {
		}
		if number := strings.Trim(s.toks[n].text, "#():,"); at <= last && plainDigits(number, 1, 2) {
			s.markedName(own, number, s.toks[n:n+1], s.toks[at:], len(s.toks), "", try) // TANK/PRODUCT: 4 DIESEL
		}
		return
	}
	for at < last && s.toks[at].blank {
		at++
	}
	if number, ok := markedNumber(s.toks[0], own); ok || at > 1 && plainDigits(s.toks[0].text, 1, 2) {
		if number == "" {
			number = s.toks[0].text
		}
		end := cellEnd(s.toks, at)
		if end > last || !s.labelledHere(end) {
			end = len(s.toks)
		}
		s.markedName(own, number, s.toks[:1], s.toks[at:end], end, "", try)
		return
	}
	if number, ok := markedNumber(s.toks[last], own); ok {
		s.markedName(own, number, s.toks[last:], s.toks[:last], len(s.toks), "", try)
	} else if last > 1 && plainDigits(s.toks[last].text, 1, 2) {
		if word := s.toks[last-1]; s.d.numberWord(word) || len(word.text) == 1 && identPrefixes[word.norm] == own {
			s.markedName(own, s.toks[last].text, s.toks[last:], s.toks[:last-1], len(s.toks), "", try)
		} else if s.d.thingWord(word) {
			s.markedName(own, s.toks[last].text, s.toks[last:], s.toks[:last-1], len(s.toks), unknownThing(word, own), try)
		}
	}
	if s.d.thingWord(s.toks[0]) && plainDigits(s.toks[1].text, 1, 2) && !starts(s.toks, 1) {
		for at = 2; at < last && joinsProduct(s.toks[at]); at++ {
		}
		if at <= last {
			s.markedName(own, s.toks[1].text, s.toks[1:2], s.toks[at:], len(s.toks), unknownThing(s.toks[0], own), try)
			return
		}
		if last == 1 && s.d.recurs(s.toks) {
			_, number, _, _ := splitIdent(s.toks[1].text)
			try.with(2, 2*wordWorth+factWorth, fact{field: own, read: reading{used: 1, toks: s.toks[1:], value: number}, label: s.toks[:1], guess: unknownThing(s.toks[0], own), weak: true})
		}
	}
}

// bothLabels counts the tokens of a label for a thing and its product together, as
// TANK/PRODUCT or TANK & PRODUCT; 0 for none.
func (d *doc) bothLabels(toks []token, own string) int {
	a, b, ok := strings.Cut(toks[0].norm, "/")
	n := 1
	if !ok && len(toks) > 3 && (toks[1].norm == "&" || toks[1].norm == "and") {
		a, b, n, ok = toks[0].norm, toks[2].norm, 3, true
	}
	if !ok || n >= len(toks) || a == "" || b == "" {
		return 0
	}
	part := func(word string, codes ...string) bool {
		return slices.ContainsFunc(d.lookup(word), func(h lexicon.Hit) bool {
			return h.Cost == 0 && h.Sense == lexicon.Part && slices.Contains(codes, h.Code)
		})
	}
	if !part(a, own) || !part(b, "product", "grade") {
		return 0
	}
	return n
}

// unknownThing is the doubt about a name whose word is not known.
func unknownThing(word token, own string) string {
	return fmt.Sprintf("the word %q is not known; it is taken for that of a %s", word.text, own)
}

// thingWord reports whether a word that means nothing else may be one for a tank or line: CELL
// 4 DIESEL.
func (d *doc) thingWord(t token) bool {
	if len(t.text) < 2 || hasDigit(t.text) || t.delim != 0 || t.stop != 0 || t.blank {
		return false
	}
	for _, h := range d.lookup(t.norm) {
		switch {
		case h.Cost > 0:
		case h.Sense == lexicon.Device && h.Code == "system", h.Sense == lexicon.Part && (h.Code == "location" || h.Code == "device"):
		default:
			return false
		}
	}
	return true
}

// recurs reports whether a line of a word and a number comes again with another number.
func (d *doc) recurs(toks []token) bool {
	return slices.ContainsFunc(d.lines, func(l line) bool {
		return len(l.toks) == len(toks) && l.toks[0].norm == toks[0].norm && l.toks[1].text != toks[1].text && plainDigits(l.toks[1].text, 1, 2) && !l.head
	})
}

// markedName offers so many tokens from the beginning of the line as a number and a product that
// is known.
func (s *scanner) markedName(own, number string, at, product []token, used int, guess string, try *ways) {
	_, number, fixed, ok := splitIdent(number)
	for i, t := range product {
		if t.blank || t.delim != 0 || t.prose || s.d.isDevice(t) || i == 0 && t.number || plainDigits(t.text, 1, 2) && t.text < "80" {
			return // L 03 DIESEL #2
		}
		if prefix, _, _, named := t.ident(); named && prefix != "" && identPrefixes[prefix] != "" {
			return // T4 DIESEL #2
		}
	}
	if _, cost, known := s.d.whole(lexicon.Grade, s.toks[:used]); known && cost == 0 {
		return // DIESEL #2
	}
	if !ok || !s.mostlyGrade(product) || !s.plausibleProduct(product) {
		return
	}
	_, cost, known := s.d.grade(product)
	r, fits := s.d.readField(s.kind, specs[s.kind]["product"], product, "")
	if !known || cost > 0 || !fits || r.used != len(product) {
		return
	}
	try.with(used, float64(used)*wordWorth+factWorth,
		fact{field: own, read: reading{used: 1, toks: at, value: number, fixed: fixed}, weak: true, guess: guess},
		fact{field: "product", read: r, weak: true})
}

// markedNumber takes the marks off a number, or the name of a tank or line, that stands in
// brackets or has a mark for a number. It is not ok for one without such marks.
func markedNumber(t token, own string) (number string, ok bool) {
	s := strings.Trim(t.text, "#()[]{}<>-")
	marked := t.open && t.shut || s != t.text && !strings.HasPrefix(t.text, "-") || strings.HasSuffix(t.text, "-") || t.delim == ':'
	if prefix, n, _, isIdent := splitIdent(s); isIdent && prefix != "" && identPrefixes[prefix] == own {
		s = n
	}
	return s, marked && plainDigits(s, 1, 2)
}

// holds are the words between a tank or line and what is in it.
var holds = map[string]bool{"holds": true, "holding": true, "contains": true, "containing": true, "with": true, "of": true, "is": true, "has": true, "carries": true, "carrying": true}

// joinsProduct reports whether a word or stroke only joins the name of a tank or line to its
// product.
func joinsProduct(t token) bool {
	return t.blank && t.norm != "n/a" || holds[t.norm] && t.stop == 0 && t.delim == 0
}
