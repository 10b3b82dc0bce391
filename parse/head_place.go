package parse

// Addresses without a word for a way:
//
//	address = block "-" house place "," town        2-14-7 MINATO, NAGOYA
//	        | place "," / town code                 N1 SOUTH, over BEAUFORT WEST 6970

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
