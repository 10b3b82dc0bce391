package parse

import (
	"slices"
	"strings"
)

// addressScore says how much a text looks like an address, 2 and more for yes.
func addressScore(text string) int {
	score := 0
	way, coded := hasWay(text), postal.matches(text)
	if way || waysAbroad.in(text) && wayAbroad.matches(text) || text != "" && isDigit(rune(text[0])) && roadNumber.matches(text) {
		score += 2
	}
	if coded {
		score += 2
	}
	if houseWay.matches(text) || wayHouse.matches(text) && !equipmentFirst(text) || blockHouse.matches(text) || wayComma.matches(text) || countWays(text, 2) > 1 {
		score++
	}
	if (way || coded) && junction.matches(text) {
		score++
	} else if onHighway(text) || placeHighway.matches(text) {
		score += 3
	}
	if coded && !way && !junction.matches(text) && highway.matches(text) {
		score++
	}
	if coded && !way && roadSign.matches(text) && !equipmentFirst(text) {
		score++
	}
	if roadPost.matches(text) && !equipmentFirst(text) || postRoad.matches(text) {
		score += 2
	}
	if boxWords.in(text) && postBox.matches(text) {
		score += 3
	}
	return score
}

// onHighway reports whether a text is a place on a highway that is known by its number alone:
// I-40 EXIT 277.
func onHighway(text string) bool { return highway.matches(text) && junction.matches(text) }

// findAddress takes the text that looks most like an address, with the town on
// the line below. It returns the other texts.
func (d *doc) findAddress(h *head, names [][]token) [][]token {
	if h.address != nil {
		return names
	}
	best, most := -1, 2
	for i, c := range names {
		if d.saysState(c[len(c)-1:]) || !slices.ContainsFunc(c, func(t token) bool { return len(t.text) > 2 && !t.number && strings.ContainsAny(t.text, letters) }) {
			continue // 04 LANE 1 PAN NORMAL, 2025 AT 1953
		}
		if s := addressScore(textOf(c)); s > most || s == most && best < 0 && s > 2 {
			best, most = i, s
		}
	}
	if best < 0 {
		return names
	}
	toks, used := names[best], 1
	text := textOf(toks)
	if best+1 < len(names) && names[best+1][0].line == toks[0].line+1 && (hasWay(text) || onHighway(text)) && !postal.matches(text) {
		if next := textOf(names[best+1]); postal.matches(next) || townState.matches(next) {
			toks, used = append(toks[:len(toks):len(toks)], names[best+1]...), 2
		}
	} else if best > 0 && names[best-1][0].line == toks[0].line-1 && !hasWay(text) && houseWay.matches(textOf(names[best-1])) {
		best--
		toks, used = append(names[best][:len(names[best]):len(names[best])], toks...), 2
	}
	last := toks[len(toks)-1].line
	if last+1 < len(d.lines) && !postal.matches(textOf(toks)) {
		// The postal code has found no room on its line.
		if next := d.lines[last+1].toks; len(next) == 1 && next[0].number && next[0].col > toks[0].col {
			toks = append(toks[:len(toks):len(toks)], next...)
		}
	}
	h.address = textFact("address", toks)
	return append(names[:best:best], names[best+used:]...)
}

// endsInCompany reports whether words end in CO without a comma or a postal code: a company more
// often than Colorado.
func endsInCompany(text string) bool {
	n := len(text) - len(" co")
	return n > 0 && strings.EqualFold(text[n:], " co") && text[n-1] != ','
}

// splitAddress cuts a name from the address behind its comma.
func splitAddress(toks []token) (name, address []token) {
	for i := range toks {
		if toks[i].stop == ',' && i+1 < len(toks) && houseWay.matches(textOf(toks[i+1:])) && addressScore(textOf(toks[i+1:])) > 2 {
			return toks[:i+1], toks[i+1:]
		}
	}
	return toks, nil
}

// equipmentFirst reports whether a text begins with a word for a tank, line or sensor, whose
// number stands where that of a house would: LN 2.
func equipmentFirst(text string) bool {
	word, _, _ := strings.Cut(strings.ToLower(text), " ")
	return identPrefixes[strings.Trim(word, ".,:#")] != ""
}
