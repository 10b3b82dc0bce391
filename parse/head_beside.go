package parse

import (
	"regexp"
	"slices"
	"strings"
)

// barsBeside reports whether bars part the cells of the line above or below.
func (d *doc) barsBeside(line int) bool {
	for _, i := range []int{line - 1, line + 1} {
		if i >= 0 && i < len(d.lines) && slices.ContainsFunc(d.lines[i].toks, func(t token) bool { return t.bar }) {
			return true
		}
	}
	return false
}

// numberApart cuts a number from the name that a stroke parts it from at the beginning
// of a line: 31/NAME.
func numberApart(toks []token) []token {
	if len(toks) == 0 {
		return toks
	}
	number, name, ok := strings.Cut(toks[0].text, "/")
	if !ok || !plainDigits(number, 1, 6) || len(name) < 3 || strings.ContainsAny(name, "/0123456789") {
		return toks
	}
	a, b := toks[0], toks[0]
	a.text, a.norm, a.number, a.delim = number, number, true, 0
	b.text, b.norm, b.fused = name, strings.ToLower(name), true
	stroke := a
	stroke.text, stroke.norm, stroke.blank, stroke.number = "/", "/", true, false
	return append([]token{a, stroke, b}, toks[1:]...)
}

// ofSite reports whether a location on a line can only be the site's: it is the first
// line of the slip, or a line beside it begins with the label of the site's number or
// address.
func (d *doc) ofSite(line int) bool {
	for _, i := range []int{line - 1, line + 1} {
		if i < 0 || i >= len(d.lines) {
			continue
		}
		for _, n := range d.names(d.lines[i].toks) {
			if f, ok := d.field(headerKind, n.bag); ok && f != "header.printed_at" && n.bag != bagOf("number") && d.lines[i].toks[n.used-1].delim != 0 {
				return true
			}
		}
	}
	return line == 0
}

// numbersBeside takes a number that a mark parts from a name for the site's:
// 415 / NAME, NAME (415), #0412 NAME.
func (d *doc) numbersBeside(items []headItem, toks []token) []headItem {
	if slices.ContainsFunc(items, func(it headItem) bool { return it.field == "site_number" && it.firm && len(it.label) > 0 }) {
		return items // NAME (A45)          SITE 1093
	}
	for k := range items {
		it := &items[k]
		if last := len(it.toks) - 1; it.field == "site" && it.firm && last > 0 && plainNumber(it.toks[last]) && (bracketedNumber(it.toks[last]) || strings.HasPrefix(it.toks[last].text, "#")) {
			rest := *it // SITE: NAME (#67)
			rest.label, rest.toks = nil, it.toks[last:]
			it.toks = it.toks[:last]
			asNumber(&rest)
			return append(append(items[:k+1:k+1], rest), items[k+1:]...)
		}
		if last := len(it.toks) - 1; it.field == "site" && it.firm && last > 1 && it.toks[last-1].open && it.toks[last].shut && d.numberWord(it.toks[last-1]) && plainNumber(it.toks[last]) {
			rest := *it // SITE: NAME (NO. 67)
			rest.label, rest.toks = it.toks[last-1:last], it.toks[last:]
			it.toks = it.toks[:last-1]
			asNumber(&rest)
			return append(append(items[:k+1:k+1], rest), items[k+1:]...)
		}
		if it.field != itemWords {
			continue
		}
		next := k+1 < len(items) && items[k+1].mayName()
		before := k > 0 && items[k-1].mayName()
		first, last := it.toks[0], len(it.toks)-1
		at := max(0, slices.IndexFunc(toks, func(t token) bool { return t.at == first.at })) // tokens may have been joined
		switch {
		case len(it.toks) == 1 && bracketedNumber(first) && before && d.wordsKind(items[k-1].toks) == wordsTitle:
			it.field = itemOther // ALARMS (3)
		case last == 1 && d.numberWord(first) && plainNumber(it.toks[1]) && starts(toks, at) && (next && d.wordsKind(items[k+1].toks) == wordsName && !d.endsInGrade(items[k+1].toks) || before && (d.wordsKind(items[k-1].toks) == wordsName || !d.endsInGrade(items[k-1].toks))):
			it.label, it.toks = it.toks[:1], it.toks[1:] // NAME          No. 415
			asNumber(it)
			it.firm = true
		case last == 1 && before && k == len(items)-1 && (starts(toks, at) || toks[at-1].blank) && (plainDigits(it.toks[1].text, 1, 6) || siteCodes.matches(it.toks[1].text)) && branchWords[first.norm] && d.wordsKind(items[k-1].toks) == wordsName:
			it.label, it.toks = it.toks[:1], it.toks[1:] // NAME          UNIT 415
			asNumber(it)
			it.aside = true
		case len(it.toks) == 1 && plainDigits(first.text, 1, 6) && before && !next && k == len(items)-1 && (first.gap >= wideGap || first.bar) && d.wordsKind(items[k-1].toks) == wordsName:
			asNumber(it) // NAME          415
			it.aside = true
		case len(it.toks) == 1 && plainNumber(first) && !equipmentNumber(first) && (next || before && (bracketedNumber(first) || at > 0 && toks[at-1].blank)):
			it.aside = !bracketedNumber(first) && !(before && first.text[0] == '#' && d.wordsKind(items[k-1].toks) == wordsName)
			asNumber(it)
			it.firm = !it.aside
		case len(it.toks) == 1 && before && (k == len(items)-1 || k == len(items)-2 && items[k+1].field == itemWords && first.text[0] == '#' && d.placeKind(items[k+1].toks)) && (strings.HasPrefix(first.text, "#") && plainNumber(first) || siteCode.matches(first.text) && !equipmentNumber(first)) && starts(toks, at) && d.wordsKind(items[k-1].toks) == wordsName:
			marked := first.text[0] == '#' || inBrackets(first)
			asNumber(it) // NAME          #17, NAME   (CY-12), NAME   MX-2204
			it.firm, it.aside = marked, !marked
		case last > 1 && it.toks[last-2].stop == ',' && d.numberWord(it.toks[last-1]) && plainNumber(it.toks[last]) && k == len(items)-1 && d.wordsKind(it.toks[:last-1]) == wordsName:
			rest := *it // NAME, no. 415
			rest.label, rest.toks = it.toks[last-1:last], it.toks[last:]
			asNumber(&rest)
			rest.aside = true
			it.toks = it.toks[:last-1]
			return append(items[:k+1:k+1], rest)
		case last > 0 && strings.HasPrefix(it.toks[last].text, "#") && plainNumber(it.toks[last]) && d.wordsKind(it.toks[:last]) == wordsName:
			rest := *it
			rest.toks = it.toks[last:]
			asNumber(&rest)
			rest.firm = true
			it.toks = it.toks[:last]
			return append(append(items[:k+1:k+1], rest), items[k+1:]...)
		case strings.HasPrefix(first.text, "#") && plainNumber(first) && last > 0 && d.wordsKind(it.toks[1:]) == wordsName:
			rest := *it
			rest.toks = it.toks[1:]
			it.toks = it.toks[:1]
			asNumber(it)
			it.firm = true
			return append(append(items[:k+1:k+1], rest), items[k+1:]...)
		}
	}
	return items
}

// placeKind reports whether words are a town or a street.
func (d *doc) placeKind(toks []token) bool {
	k := d.wordsKind(toks)
	return k == wordsTown || k == wordsStreet
}

// branchWords are words for one site of several, which elsewhere mean other things.
var branchWords = map[string]bool{"unit": true, "br": true, "plant": true, "terminal": true, "post": true, "kiosk": true, "garage": true, "base": true, "club": true, "warehouse": true, "whse": true, "plaza": true, "center": true, "centre": true, "div": true, "division": true, "district": true, "dist": true}

// commasApart parts a name, the site's number with its sign and the address, where commas stand
// between them on one line: NAME, NO 22, 410 US 160, MANCOS CO.
func (d *doc) commasApart(items []headItem) []headItem {
	for k, it := range items {
		if it.field != itemWords || len(it.toks) < 4 {
			continue
		}
		n := len(toComma(it.toks))
		rest := it.toks[n:]
		m := len(toComma(rest))
		if n == len(it.toks) || hasFigures(it.toks[:n]) || d.wordsKind(it.toks[:n]) != wordsName || m == len(rest) || m == 0 {
			continue
		}
		number := rest[m-1 : m]
		signed := m == 1 && strings.HasPrefix(number[0].text, "#") || m == 2 && (d.numberWord(rest[0]) || branchWords[rest[0].norm])
		code := strings.Trim(number[0].text, "#")
		if !signed || !plainNumber(number[0]) && !siteCodes.matches(code) && !siteCode.matches(code) {
			continue
		}
		name, no, place := it, it, it
		name.toks, no.toks, place.toks = it.toks[:n], number, rest[m:]
		asNumber(&no)
		no.toks[0].stop = 0
		no.firm = true
		return append(append(items[:k:k], name, no, place), items[k+1:]...)
	}
	return items
}

// townsApart parts a name from the town with its state that stands behind its comma: NAME, PICKLE
// LAKE ON. The name has no figures but a number with its sign, and is no way.
func (d *doc) townsApart(items []headItem) []headItem {
	for k, it := range items {
		if it.field != itemWords || len(it.toks) < 3 || d.wordsKind(it.toks) != wordsName {
			continue
		}
		n := len(toComma(it.toks))
		name, town := it.toks[:n], it.toks[n:]
		county := townLand.matches(textOf(town)) && siteNoun.matches(strings.TrimSuffix(textOf(name), ","))
		if len(town) < 2 || wayFirst.matches(textOf(name)) || d.wordsKind(town) != wordsTown && !county || hasFigures(town[:1]) {
			continue
		}
		if slices.ContainsFunc(name, func(t token) bool { return hasDigit(t.text) && !strings.HasPrefix(t.text, "#") }) {
			continue
		}
		rest := it
		rest.toks = town
		items[k].toks = name
		return append(append(items[:k+1:k+1], rest), items[k+1:]...)
	}
	return items
}

// siteCode is the number of a site with letters of its chain or country before a dash.
var siteCode = pattern{needs: figures, expr: regexp.MustCompile(`^[([]?[A-Z]{1,4}-\d{2,6}[)\]]?$`), starts: "([" + letters, ends: 2}

// siteCodes are numbers of sites behind their label: with letters before a dash or stroke, or of two parts.
var siteCodes = pattern{needs: figures, expr: regexp.MustCompile(`^[#([]?([A-Z]{1,4}[-/]\d{1,6}|\d{1,4}[-/]\d{1,5})[)\]]?$`)}

// siteLetters stand before a site's number as a word of their own.
var siteLetters = pattern{needs: letters, expr: regexp.MustCompile(`^[A-Z]{1,3}$`)}

// inBrackets reports whether brackets stand around a token.
func inBrackets(t token) bool {
	return t.open && t.shut || strings.HasPrefix(t.text, "(") && strings.HasSuffix(t.text, ")")
}

// equipmentNumber reports whether a token is the number of a tank, line or sensor by its letter:
// (T3).
func equipmentNumber(t token) bool {
	prefix, _, _, ok := splitIdent(strings.Trim(t.text, "#()[]"))
	return ok && identPrefixes[prefix] != ""
}

func asNumber(it *headItem) {
	it.field, it.toks = "site_number", slices.Clone(it.toks)
	for i := range it.toks {
		it.toks[i].text = strings.Trim(it.toks[i].text, "#()[]")
	}
}
