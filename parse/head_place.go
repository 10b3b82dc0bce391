package parse

import "regexp"

// Addresses that no word for a way tells, or not all of:
//
//	address = block "-" house place "," town        2-14-7 MINATO, NAGOYA
//	        | place "," / town code                 N1 SOUTH, over BEAUFORT WEST 6970
//	        | way house "," code town               HAVNEGADE 14, 6700 ESBJERG
//	        | house "-" number way "," town         5011 - 50 AVE, LEDUC AB

// houseInTown is a way of any tongue and the house on it, a comma, and the town behind its code.
var houseInTown = pattern{needs: ",", expr: regexp.MustCompile(`(?i)^[^\s\d,.:-][^\d,:]*\s\d{1,4}[a-z]?,\s([a-z]{1,2}-)?\d{4,6}\s[^\s\d,:][^\d,:]*$`)}

// inTown reports whether words are a place in a town by their form, and neither the way nor the
// town begins with a word of the trade, as an amount and its unit would.
func (d *doc) inTown(toks []token) bool {
	if d.blockInTown(toks) {
		return true
	}
	if len(toks) < 4 || d.tradeWord(toks[0]) || !houseInTown.matches(textOf(toks)) {
		return false
	}
	for i, t := range toks {
		if t.stop == ',' {
			return i+2 < len(toks) && !d.tradeWord(toks[i+2])
		}
	}
	return false
}

// houseApart is how many tokens of a cell are an address whose house stands before a stroke and a
// way that has a number for a name: 5011 - 50 AVE, LEDUC AB.
func houseApart(toks []token) int {
	const least = 4
	if len(toks) < least || !plainDigits(toks[0].text, 1, 5) || toks[1].text != "-" {
		return 0
	}
	name := toks[2].norm
	if len(name) > 2 && !isDigit(rune(name[len(name)-1])) {
		name = name[:len(name)-2] // 50th
	}
	if !plainDigits(name, 1, 3) || !beginsWay(toks[3].text) || starts(toks, 2) || starts(toks, 3) {
		return 0
	}
	return cellEnd(toks, 0)
}

// blockInTown reports whether words are the numbers of blocks and houses put together, a place
// and, behind a comma, its town; none of them is a word of the trade, as of a list it would be.
func (d *doc) blockInTown(toks []token) bool {
	if len(toks) < 3 || !blockHouse.matches(textOf(toks)) {
		return false
	}
	commas := 0
	for i, t := range toks[1:] {
		if t.number || t.delim != 0 || d.tradeWord(t) {
			return false
		}
		if t.stop == ',' && i+2 < len(toks) {
			commas++
		}
	}
	return commas > 0
}

// goesIntoTown reports whether line i of the head is words that end in a comma, in one block
// below those that may be the site's name: with the town on the next line they say where.
func (r *headReader) goesIntoTown(i int) bool {
	l, a := &r.lines[i], r.above(i)
	if len(l.items) != 1 || l.items[0].field != itemWords || r.d.wordsKind(l.items[0].toks) != wordsName || r.lastOf(i).stop != ',' {
		return false
	}
	return a != nil && r.besideName(i-1)
}
