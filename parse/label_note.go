package parse

import (
	"strconv"
	"strings"
)

// A label may hold more than names its field: to which share of the tank it is, how its date is
// written. Neither is a part of the name or a value:
//
//	ULLAGE 95%      3203 GAL
//	ENDED           RATE
//	MM/DD/YY HH:MM  GPH

// shareNote is how many tokens from the first on say to which share of a tank a label is, 0 for
// none: 95%, (90 %), 90 PCT.
func (d *doc) shareNote(toks []token) int {
	const lowest = 80 // of the shares that tanks are filled to
	return d.shareFrom(lowest, toks)
}

// shareFrom is how many tokens from the first on are a share in full figures, lowest or more.
func (d *doc) shareFrom(lowest int, toks []token) int {
	if len(toks) < 2 || !toks[0].number || toks[0].delim != 0 || toks[1].gap >= wideGap || toks[1].bar {
		return 0
	}
	if n, err := strconv.Atoi(strings.Trim(toks[0].text, "()")); err == nil && n >= lowest && n <= 100 {
		if code, cost, used := d.unitAfter(toks[1:]); used == 1 && cost == 0 && code == "percent" {
			return 2
		}
	}
	return 0
}

// formNote reports whether a word says how dates or times of day are written: MM/DD/YY, HH:MM.
func formNote(t *token) bool { return writesDates(t.norm) || writesClocks(t.norm) }

// writesClocks reports whether a word is letters for hour and minute, with a second or not.
func writesClocks(word string) bool {
	switch word {
	case "hh:mm", "hhmm", "hh:mm:ss", "hhmmss", "h:mm", "h:m", "hr:mn", "hr:min", "hrs:min":
		return true
	}
	return false
}

// noteIn is how many tokens at a place of a label or heading are such a note, 0 for none.
func (d *doc) noteIn(toks []token, i int) int {
	if formNote(&toks[i]) {
		return 1
	}
	return d.shareNote(toks[i:])
}

// formBag is the label that a heading means which only shows how dates or times are written.
func formBag(toks []token) string {
	bag := ""
	for i := range toks {
		switch {
		case writesDates(toks[i].norm):
			bag = withParts(bag, "date")
		case writesClocks(toks[i].norm):
			bag = withParts(bag, "time")
		default:
			return ""
		}
	}
	return bag
}

// onlyShares reports whether a line below a heading says of its columns to which share each is, and
// nothing else.
func (d *doc) onlyShares(toks []token) bool {
	for i := 0; i < len(toks); {
		n := d.shareNote(toks[i:])
		if n == 0 {
			return false
		}
		i += n
	}
	return true
}

// ullageWord reports whether a word is one for the room of a tank.
func (d *doc) ullageWord(t token) bool {
	bag, _, _ := d.bag([]token{t})
	return labelTables().has(bag, "ullage")
}
