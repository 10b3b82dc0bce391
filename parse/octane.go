package parse

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tankroll/parse/lexicon"
)

// Octane numbers mean other grades in other countries: where numbers of research are printed
// 91 and 92 are regular, and where those of the pump are, below 90 for regular, all from 91 on
// are premium. What other numbers stand on the slip decides, or its units, with a doubt.
const (
	lowestOpen  = 91
	highestOpen = 95
)

// octaneGrade is the grade of a product that says no more than unleaded and an octane number
// that is open to doubt; ok is false for any other.
func (d *doc) octaneGrade(toks []token) (grade, doubt string, ok bool) {
	if !slices.ContainsFunc(toks, endsInOctane) {
		return "", "", false
	}
	toks = octanesApart(toks)
	i := slices.IndexFunc(toks, func(t token) bool { return openOctane(t) > 0 })
	if i < 0 || slices.ContainsFunc(toks, func(t token) bool { return lexicon.SaysRegular(t.norm) }) {
		return "", "", false
	}
	n := openOctane(toks[i])
	rest := slices.Delete(slices.Clone(toks), i, i+1)
	rest = slices.DeleteFunc(rest, func(t token) bool { return t.norm == "octane" || t.norm == "oct" })
	if code, _, known := d.grade(rest); len(rest) > 0 && (!known || code != "regular") {
		return "", "", false
	}
	if _, cost, known := d.whole(lexicon.Grade, toks); len(rest) > 0 && known && cost == 0 {
		return "", "", false // ULP 91
	}
	pump, lower, higher := d.besideOctanes(n)
	doubt = fmt.Sprintf("%d octane is regular in some countries and premium in others", n)
	switch {
	case n == highestOpen && lower:
		return "premium", doubt, true
	case n == highestOpen:
		return "", "", false
	case pump && !higher:
		return "premium", "", true
	case n <= 92 && higher && !pump:
		return "regular", "", true
	case n == 93 && higher || n <= 92 && d.units.metric > d.units.us:
		return "regular", doubt, true
	case n >= 93 && d.units.us > d.units.metric:
		return "premium", "", true
	}
	return "premium", doubt, true
}

// octanesApart parts the octane number of each token from the letters before it: UNL92.
func octanesApart(toks []token) []token {
	const fewest = 2 // letters: E85 and B20 are names
	for i, t := range toks {
		n := len(strings.TrimRight(t.text, "0123456789"))
		if len(t.text) != n+2 || n < fewest || len(t.norm) != len(t.text) {
			continue
		}
		word, number := t, t
		word.at, number.at = -1, -1
		word.text, word.norm = t.text[:n], t.norm[:n]
		number.text, number.norm, number.number = t.text[n:], t.norm[n:], true
		return slices.Concat(toks[:i], []token{word, number}, octanesApart(toks[i+1:]))
	}
	return toks
}

// endsInOctane reports whether a token ends in an octane number that leaves the grade open.
func endsInOctane(t token) bool {
	n := len(t.text)
	return n >= 2 && t.text[n-2] == '9' && t.text[n-1] >= '0'+lowestOpen%10 && t.text[n-1] <= '0'+highestOpen%10
}

// openOctane is the octane number that a token is, where it is one that leaves the grade open,
// or 0.
func openOctane(t token) int {
	if n, err := strconv.Atoi(t.text); err == nil && n >= lowestOpen && n <= highestOpen {
		return n
	}
	return 0
}

// octaneAmong is the octane number that a product label begins or ends with, where none of its other
// words names a grade or has a figure but for how much ethanol is in it: 87 NO ET, 93 E0. It is nil
// for any other label.
func (d *doc) octaneAmong(toks []token) []token {
	const least = 2 // tokens
	if len(toks) < least {
		return nil
	}
	if _, _, named := d.grade(toks); named {
		return nil
	}
	at := 0
	if !toks[0].number {
		at = len(toks) - 1
	}
	if n, err := strconv.Atoi(toks[at].text); err != nil || n < 85 || n > 98 || toks[at].delim != 0 {
		return nil
	}
	for i, t := range toks {
		if i != at && hasDigit(t.text) && (len(t.text) > 3 || t.norm[0] != 'e') {
			return nil
		}
	}
	return toks[at : at+1]
}

// besideOctanes reports whether products of pump numbers below 90 stand on the slip, and of
// research numbers lower and higher than an octane number.
func (d *doc) besideOctanes(than int) (pump, lower, higher bool) {
	for _, l := range d.lines {
		toks := octanesApart(l.toks)
		for i, t := range toks {
			if i == 0 || !d.spelt(toks[i-1], lexicon.Grade) {
				continue
			}
			switch t.text {
			case "85", "85.5", "86", "87", "88", "89":
				pump = true
			case "90", "91", "92", "93":
				lower = lower || t.text < strconv.Itoa(than)
			case "95", "97", "98":
				higher = higher || t.text > strconv.Itoa(than)
			}
		}
	}
	return pump, lower, higher
}

// octaneAgainst is the doubt about a grade that a label names in words while its octane
// figure alone would name another: REGULAR 93.
func (d *doc) octaneAgainst(grade string, toks []token) string {
	if grade == "premium" && d.openPremium(toks) {
		return fmt.Sprintf("%d octane is regular in some countries and premium in others", highestOpen)
	}
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

// openPremium reports whether a product is premium by no more than 95 octane where no lower octane stands
// on the slip: ULP 95.
func (d *doc) openPremium(toks []token) bool {
	toks = octanesApart(toks)
	i := slices.IndexFunc(toks, func(t token) bool { return openOctane(t) == highestOpen })
	if i < 0 || len(toks) < 2 {
		return false
	}
	code, _, known := d.grade(slices.Delete(slices.Clone(toks), i, i+1))
	_, lower, _ := d.besideOctanes(highestOpen)
	return known && code == "regular" && !lower
}

// noOctane is the figure behind the name of a motor spirit that no octane number is, "" for
// none: 81 is 87 misread. Common practice of many countries, no source.
func (d *doc) noOctane(toks []token) string {
	const lowest, share = 80, 50 // of octane numbers; a figure below it may be a share of ethanol
	switch grade, _, ok := d.grade(toks); {
	case !ok, grade != "regular" && grade != "midgrade" && grade != "premium":
		return ""
	}
	for _, t := range octanesApart(toks) {
		n, err := strconv.Atoi(t.text)
		if err == nil && plainDigits(t.text, 2, 2) && (n >= share && n < lowest || n == lowest+1) {
			return t.text
		}
	}
	return ""
}
