package parse

import (
	"math"
	"slices"
	"strings"
)

// headReader gives the items of a slip's head and foot their roles.
type headReader struct {
	d     *doc
	lines []headLine
	out   head
	taken map[int]bool // lines that hold something of the header
}

// read takes the labelled items first, then the moments, the address and, with
// what is left, the name.
func (r *headReader) read() {
	r.taken = map[int]bool{}
	r.underLabels()
	r.labelled()
	r.withTownLabels()
	r.address()
	r.site()
	r.nameInTown()
	r.townLeft()
	r.printed()
	r.takenAt()
	for _, l := range r.lines {
		for _, it := range l.items {
			if it.field == itemOther {
				r.out.others = append(r.out.others, *textFact(itemOther, it.toks))
			}
		}
		if r.taken[l.at] && !l.title && !r.left(l) {
			r.d.lines[l.at].head = true
		}
	}
}

// left reports whether something of a line has no role that only a record can
// give it.
func (r *headReader) left(l headLine) bool {
	for _, it := range l.items {
		if it.field == fieldMoment && !r.holds(it) {
			return true
		}
	}
	return false
}

// holds reports whether an item is part of the header.
func (r *headReader) holds(it headItem) bool {
	if len(it.toks) == 0 {
		return false
	}
	for _, f := range []*fact{r.out.site, r.out.number, r.out.address, r.out.printed, r.out.taken} {
		if f == nil {
			continue
		}
		for _, t := range f.read.toks {
			if t.at == it.toks[0].at && t.line == it.toks[0].line {
				return true
			}
		}
	}
	return false
}

func (r *headReader) take(dst **fact, field string, it headItem) {
	if *dst != nil {
		return
	}
	f := textFact(field, it.toks)
	f.label, f.printed = it.label, it.firm
	*dst = f
	r.taken[it.line] = true
}

// labelled takes what says what it is.
func (r *headReader) labelled() {
	for i := range r.lines {
		for k, it := range r.lines[i].items {
			switch {
			case it.field == "site" && it.firm:
				it.toks = r.withRest(i, it.toks)
				r.take(&r.out.site, "site", it)
			case it.field == "site_number" && (it.firm || it.aside && (r.leadsName(i) || r.endsName(i, k))), it.field == itemNumber && (r.amongLabels(i) || r.beside(i) || r.belowName(i) || r.besideName(i) || r.inBlock(i)):
				asNumber(&it)
				it.firm = true
				r.lines[i].items[k] = it
				r.take(&r.out.number, "site_number", it)
			case it.field == "address" && it.firm && r.out.address == nil:
				it.toks = r.withTown(i, it.toks)
				r.takeAddress(it)
			}
		}
	}
}

// underLabels reads header labels that have a line of their own with the values
// below them.
func (r *headReader) underLabels() {
	for i := 0; i+1 < len(r.lines); i++ {
		l, next := &r.lines[i], &r.lines[i+1]
		fields := r.d.labelLine(r.d.lines[l.at].toks)
		if len(fields) == 0 || next.at != l.at+1 || next.rule || next.title {
			continue
		}
		values := valuesUnder(r.d.lines[l.at].toks, r.d.lines[next.at].toks)
		if len(values) != len(fields) {
			continue
		}
		l.items, l.title = nil, false
		r.taken[l.at] = true
		next.items = nil
		for k, f := range fields {
			it := headItem{field: f, toks: values[k], firm: true, line: next.at}
			if heads := cells(r.d.lines[l.at].toks); f == "printed_at" && k < len(heads) {
				it.label = heads[k] // of the printing or of the readings
			}
			if m, ok := r.d.readTime(values[k], true); f == "printed_at" {
				if !ok {
					continue
				}
				it.read, it.toks = m, m.toks
			}
			switch {
			case f == "site_number" && !plainNumber(values[k][0]):
				it.field = "site"
			case f == "site" && len(values[k]) == 1 && plainNumber(values[k][0]):
				it.field = "site_number" // SITE ID
			}
			next.items = append(next.items, it)
		}
	}
}

// valuesUnder cuts a line into cells, where the labels above it begin when a cell
// is so full that one space only parts it from the next.
func valuesUnder(labels, toks []token) [][]token {
	heads, values := cells(labels), cells(toks)
	if len(heads) == len(values) {
		return values
	}
	const slack = 0.6
	var out [][]token
	from := 0
	for i := 1; i < len(toks); i++ {
		if k := len(out) + 1; k < len(heads) && math.Abs(toks[i].col-heads[k][0].col) < slack {
			out = append(out, toks[from:i])
			from = i
		}
	}
	return append(out, toks[from:])
}

// labelLine are the fields that a line of header labels names, each in a cell
// of its own; nil when the line says anything else.
func (d *doc) labelLine(toks []token) []string {
	var out []string
	bare := false // a number that does not say of what
	for c := range eachCell(toks) {
		field := ""
		for _, n := range d.names(c) {
			if f, ok := d.field(headerKind, n.bag); ok && n.used == len(c) && n.cost == 0 {
				field = strings.TrimPrefix(f, "header.")
				bare = bare || n.bag == bagOf("number")
			}
		}
		if field == "" {
			return nil
		}
		out = append(out, field)
	}
	if bare && !slices.Contains(out, "site") {
		return nil
	}
	return out
}

// next is the line below line i of the head when nothing parts the two.
func (r *headReader) next(i int) *headLine {
	if i+1 < len(r.lines) && r.lines[i+1].at == r.lines[i].at+1 && !r.lines[i+1].rule && !r.lines[i+1].title {
		return &r.lines[i+1]
	}
	return nil
}

// above is the line above, likewise.
func (r *headReader) above(i int) *headLine {
	if i > 0 && r.lines[i-1].at == r.lines[i].at-1 && !r.lines[i-1].rule && !r.lines[i-1].title {
		return &r.lines[i-1]
	}
	return nil
}

// withTown adds the town, county, country or postal code on the next line to an address that
// has none yet, what is set in below it, and words that the site's name above leaves no other
// role.
func (r *headReader) withTown(i int, toks []token) []token {
	for k, it := range r.lines[i].items {
		// HWY 160 & HWY 491     CORTEZ, CO
		if k > 0 && it.field == itemWords && it.toks[0].line == toks[0].line && it.toks[0].at == toks[len(toks)-1].at+1 && r.townKind(it.toks) == wordsTown {
			r.lines[i].items[k].field = itemOther
			return append(toks[:len(toks):len(toks)], it.toks...)
		}
	}
	n := r.next(i)
	if n == nil || !n.wordsFirst() {
		return toks
	}
	words := n.items[0].toks
	kind := r.townKind(words)
	if endsInPostal(textOf(toks)) && !(kind == wordsTown && junction.matches(textOf(toks)) && townState.matches(textOf(words))) {
		return toks // but HWY 59 & FM 1960 ends in no postal code
	}
	if postalFirst.matches(textOf(words)) || kind == wordsStreet && townState.matches(textOf(words)) && houseWay.matches(textOf(toks)) {
		kind = wordsTown // ST LOUIS MO 63116
	}
	goesOn := toks[len(toks)-1].stop == ',' || words[0].col > r.d.lines[r.lines[i].at].toks[0].col+1.5 || r.townBelowName(i, toks)
	if kind == wordsTown || goesOn && kind == wordsName && !hasDigit(textOf(words)) {
		r.taken[n.at] = true
		n.items = n.items[1:]
		toks = append(toks[:len(toks):len(toks)], words...)
		if m := r.next(i + 1); kind == wordsName && len(n.items) == 0 && m != nil && m.wordsFirst() && r.townKind(m.items[0].toks) == wordsTown {
			toks = append(toks, m.items[0].toks...) // a village, below it its town or country
			r.taken[m.at] = true
			m.items = m.items[1:]
		}
	}
	return toks
}

// wordsFirst reports whether a line begins with words and has no others.
func (l *headLine) wordsFirst() bool {
	for k, it := range l.items {
		if (it.field == itemWords) != (k == 0) {
			return false
		}
	}
	return len(l.items) > 0
}

// withRest adds what stands below a labelled name and is set in as far: the name
// goes on there.
func (r *headReader) withRest(i int, toks []token) []token {
	n := r.next(i)
	if n == nil || len(n.items) != 1 || n.items[0].field != itemWords || toks[len(toks)-1].at != r.lastOf(i).at {
		return toks
	}
	words := n.items[0].toks
	if text := textOf(words); townLand.matches(text) || townState.matches(text) && r.d.wordsKind(words) == wordsTown || addressScore(text) >= 3 {
		return toks // it is where the site is
	}
	if line := r.d.lines[r.lines[i].at].toks; words[0].col < toks[0].col-1.5 || words[0].col < line[0].col+1.5 {
		return toks
	}
	n.items = nil
	r.taken[n.at] = true
	return append(toks[:len(toks):len(toks)], words...)
}

// lastOf is the last token of line i of the head.
func (r *headReader) lastOf(i int) token {
	toks := r.d.lines[r.lines[i].at].toks
	return toks[len(toks)-1]
}

// address finds the words that are an address: a street, with its town behind
// it or on the next line.
func (r *headReader) address() {
	if r.out.address != nil {
		return
	}
	for i := range r.lines {
		for k := range r.lines[i].items {
			it := r.lines[i].items[k]
			if it.field != itemWords || r.d.saysState(it.toks[len(it.toks)-1:]) && !endsInState(it.toks) {
				continue
			}
			name, street := streetOf(it.toks)
			n := r.next(i)
			if name == nil && n != nil && n.wordsFirst() && r.d.wordsKind(n.items[0].toks) == wordsTown {
				if head := toComma(it.toks); len(head) < len(it.toks) && !hasFigures(head) && houseWay.matches(textOf(it.toks[len(head):])) {
					name, street = head, it.toks[len(head):] // NAME, 600 N MAIN over its town
				}
			}
			text := textOf(street)
			townBelow := n != nil && n.wordsFirst() && r.townKind(n.items[0].toks) == wordsTown && strings.ContainsAny(textOf(n.items[0].toks), letters)
			score := addressScore(text)
			if townBelow && score < 3 && r.namedByWay(i, street) {
				continue
			}
			if score < 3 && !(townBelow && (hasWay(text) || houseWay.matches(text) || highway.matches(text) || roadSign.matches(text) && !equipmentFirst(text) || r.goesIntoTown(i))) && !r.d.inTown(street) && houseApart(street) == 0 || r.lines[i].title {
				continue
			}
			street = r.withLines(i, r.withTown(i, r.withHouse(i, street)))
			street = r.withEstate(i, street)
			r.takeAddress(headItem{toks: street, line: it.line})
			if f := r.out.address; roadSign.matches(text) && !hasWay(text) {
				f.weak = true // its letter and number alone say that it is a road
			}
			if len(name) > 0 {
				r.lines[i].items[k].toks = name
			} else {
				r.lines[i].items[k].field = itemOther
			}
			return
		}
	}
	if !r.wayBelowName() && !r.houseBelowName() {
		r.townAlone()
	}
}

// townAlone takes a town with its state for the address where no street was found: words that
// may be the site's name, or its number, stand before it on its line or above it in one block.
func (r *headReader) townAlone() {
	for i := range r.lines {
		l := &r.lines[i]
		if l.title {
			continue
		}
		for k := range l.items {
			it := &l.items[k]
			text := textOf(it.toks)
			if it.field != itemWords {
				continue
			}
			weak := r.placeBelowName(i, k)
			if !weak && (!townState.matches(text) && !townProvince.matches(text) && !codedTown.matches(text) || r.littleState(i, k) && !r.belowFirst(i, k) || !r.namedBefore(i, k) || r.d.wordsKind(it.toks) != wordsTown) {
				continue
			}
			r.take(&r.out.address, "address", headItem{toks: it.toks, line: it.line})
			r.out.address.weak = r.out.address.weak || weak || r.littleState(i, k)
			it.field = itemOther
			return
		}
	}
}

// littleState reports whether item k on line i of the head ends in letters of a state that are a
// word as well, and nothing shows that they are no word: STILL ON, but not Pickle Lake ON or TULSA, OK.
func (r *headReader) littleState(i, k int) bool {
	l, toks := r.lines[i], r.lines[i].items[k].toks
	last := toks[len(toks)-1]
	switch last.norm {
	case "on", "in", "or", "me", "hi", "ok", "oh", "id", "la", "de", "pa", "ma", "al", "act", "sa":
	default:
		return false
	}
	if k == 1 && !l.foot && l.at < mostNamed && toks[0].gap >= wideGap && r.d.wordsKind(l.items[0].toks) == wordsName && !hasFigures(toks) {
		return false // NAME   PICKLE LAKE ON
	}
	if toks[len(toks)-2].stop == ',' || k > 0 && l.items[k-1].toks[len(l.items[k-1].toks)-1].stop == ',' {
		return false
	}
	small := strings.ContainsAny(textOf(toks[:len(toks)-1]), "abcdefghijklmnopqrstuvwxyz")
	return !small || strings.ToUpper(last.text) != last.text
}

// mostNamed is how many lines of a slip may hold its name in a cell of its own.
const mostNamed = 3

// nameInTown parts the site's name from the town with its state, or the county, behind its comma, where
// the head has no address: NAME, PICKLE LAKE ON P0V 2V0.
func (r *headReader) nameInTown() {
	if r.out.address != nil {
		return
	}
	for _, l := range r.lines {
		for k, it := range l.items {
			if l.title || it.field != itemWords || r.out.site != nil && r.out.site.read.toks[0].at != it.toks[0].at {
				continue
			}
			n := len(toComma(it.toks))
			name, town := it.toks[:n], it.toks[n:]
			if len(town) == 0 && k+1 < len(l.items) && name[n-1].stop == ',' && l.items[k+1].field == itemWords {
				town = l.items[k+1].toks
			}
			place := textOf(town)
			if n < 2 || len(town) < 2 || len(town[0].text) < 2 || hasFigures(name) || r.d.wordsKind(name) != wordsName || r.townKind(town) != wordsTown || !townState.matches(place) && !townLand.matches(place) && !(endsInPostal(place) && len(town[0].text) > 2) {
				continue
			}
			r.out.guessed = r.out.guessed || r.out.site == nil
			r.take(&r.out.site, "site", headItem{toks: name, line: it.line})
			r.take(&r.out.address, "address", headItem{toks: town, line: it.line})
			r.out.address.weak = true
			l.items[k].field = itemOther
			return
		}
	}
}

// namedBefore reports whether what may be the site's name, or its number, stands before item k on
// line i of the head or above that line in its block.
func (r *headReader) namedBefore(i, k int) bool {
	named := func(it headItem) bool {
		return it.field == itemWords && r.d.wordsKind(it.toks) == wordsName || it.firm && (it.field == "site" || it.field == "site_number")
	}
	if slices.ContainsFunc(r.lines[i].items[:k], named) {
		return true
	}
	for r.above(i) != nil {
		if i--; slices.ContainsFunc(r.lines[i].items, named) {
			return true
		}
	}
	return false
}

// streetOf parts a name from the address behind its comma, and a little word
// from its front.
func streetOf(toks []token) (name, street []token) {
	for i, t := range toks {
		if t.stop == ',' && i+1 < len(toks) && siteNoun.matches(" "+textOf(toks[:i+1])) && !hasDigit(textOf(toks[:i+1])) && hasWay(textOf(toks[i+1:])) {
			return toks[:i+1], toks[i+1:] // AMBERLEY GARAGE, LONDON ROAD
		}
		if t.stop == ',' && i+2 < len(toks) && houseWay.matches(textOf(toks[i+1:])) && hasWay(textOf(toks[i+1:])) && !hasDigit(textOf(toks[:i+1])) {
			return toks[:i+1], toks[i+1:]
		}
	}
	if len(toks) > 2 && (joint[toks[0].norm] || toks[0].norm == "in") {
		toks = toks[1:]
	}
	return nil, toks
}

// withHouse adds the number of the house that has found room at the end of the
// line above only.
func (r *headReader) withHouse(i int, street []token) []token {
	a := r.above(i)
	if a == nil || houseWay.matches(textOf(street)) || len(a.items) == 0 {
		return street
	}
	it := &a.items[len(a.items)-1]
	n := len(it.toks) - 1
	if it.field != itemWords || n < 1 || it.toks[n-1].stop != ',' || !plainNumber(it.toks[n]) {
		return street
	}
	house := it.toks[n]
	it.toks = it.toks[:n:n]
	return append([]token{house}, street...)
}
