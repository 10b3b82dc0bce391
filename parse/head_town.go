package parse

import (
	"regexp"
	"slices"
)

// Where a site is, on lines of one block below its name:
//
//	place = name / street [ town ] / town | county | country
//	      | name / way [ "," ] town [ / country ]              no house, no postal code
//	      | name / way { cell }                                MILL STREET   DROMKEEL   CO CLARE

// townLand is a country, or a county behind its short form, alone or behind a town and a comma.
var townLand = pattern{needs: letters, expr: regexp.MustCompile(`(?i)^([a-z][a-z .'-]+,\s+)?(co\.?\s[a-z]{4,}|antigua|australia|austria|bahamas|bangladesh|barbados|belgium|belize|bermuda|botswana|brunei|canada|cayman islands|cook islands|costa rica|cyprus|denmark|dominica|el salvador|england|fiji|finland|france|germany|ghana|gibraltar|grenada|guam|guatemala|guernsey|guyana|honduras|hong kong|india|ireland|isle of man|italy|jamaica|japan|jersey|kenya|lesotho|luxembourg|malawi|malaysia|malta|mauritius|mexico|namibia|nepal|netherlands|new zealand|n\.?z\.?|nicaragua|nigeria|northern ireland|norway|pakistan|panama|papua new guinea|philippines|poland|portugal|samoa|scotland|seychelles|sierra leone|singapore|solomon islands|south africa|spain|sri lanka|st\.? lucia|swaziland|sweden|switzerland|tanzania|thailand|tonga|trinidad|trinidad (&|and) tobago|uganda|u\.?k\.?|united kingdom|u\.?s\.?a\.?|vanuatu|wales|zambia|zimbabwe)\.?$`), starts: letters}

// wayFirst is a way without a house that begins an address: words and the word for a way, which
// may have a number or a bearing behind it, or the sign of a highway.
var wayFirst = pattern{needs: letters, expr: regexp.MustCompile(`(?i)^(([a-z.'-]+\s){1,3}(st|street|rd|road|ave|avenue|blvd|boulevard|ln|lane|dr|drive|hwy|highway|way|square|parkway|place|close|crescent|bypass|turnpike|causeway|esplanade|parade|quay|terrace|expy|expwy|expressway|freeway|flyover)\.?(\s\d{1,4}[a-z]?)?|(hwy|highway|route|rte|rt|[a-z]{1,2})[ -]?\d{1,3})(\s(north|south|east|west|n|s|e|w|[nsew][ew]|(north|south|east|west)-?bound|bypass))?\.?$`), starts: letters + ".'-"}

// townKind says what words are that stand below an address: wordsTown for a country or county,
// too, which elsewhere may be a name.
func (r *headReader) townKind(toks []token) int {
	if text := textOf(toks); townLand.matches(text) || endsInCompany(text) && !r.d.allTrade(toks) {
		return wordsTown
	}
	return r.d.wordsKind(toks)
}

// endsInState reports whether the last words of an address are its state, which the trade may
// have another meaning for: HI behind a town and a comma.
func endsInState(toks []token) bool {
	text := textOf(toks)
	if !hasWay(text) || !houseWay.matches(text) {
		return false
	}
	for i := len(toks) - 2; i > 0; i-- {
		if toks[i].stop == ',' {
			return i+2 < len(toks) && townState.matches(textOf(toks[i+1:]))
		}
	}
	return false
}

// townBelowName reports whether line i of the head is an address and no more, right below a line
// with the site's name, and ends in no town by its form: words on the next line are its town.
func (r *headReader) townBelowName(i int, toks []token) bool {
	a, n := r.above(i), r.next(i)
	if a == nil || n == nil || len(n.items) != 1 || toks[len(toks)-1].at != r.lastOf(i).at || townState.matches(textOf(toks)) {
		return false
	}
	return (r.besideName(i-1) || r.out.site != nil) && len(n.items[0].toks) <= mostTownWords && n.items[0].toks[0].at == r.d.lines[n.at].toks[0].at
}

// mostTownWords is the most words of a town with its county.
const mostTownWords = 4

// takeAddress takes an address. It is not sure when its last line has only its place to say that
// it is a town.
func (r *headReader) takeAddress(it headItem) {
	r.take(&r.out.address, "address", it)
	f := r.out.address
	last := it.toks[len(it.toks)-1].line
	if f == nil || len(it.toks) == 0 || it.toks[0].line == last {
		return
	}
	from := len(it.toks)
	for from > 0 && it.toks[from-1].line == last {
		from--
	}
	town := it.toks[from:]
	if townLand.matches(textOf(town)) && r.d.wordsKind(town) == wordsName {
		f.weak = !r.nameAbove(it.toks[0].line) // FUELS, JAMAICA may be the name
		return
	}
	f.weak = r.townKind(town) == wordsName && it.toks[from-1].stop != ',' && town[0].col <= r.d.lines[it.toks[0].line].toks[0].col+1.5
}

// nameAbove reports whether words that may be the site's name stand right above a line, or the
// name is known.
func (r *headReader) nameAbove(line int) bool {
	for i := range r.lines {
		if r.lines[i].at == line {
			return r.out.site != nil || r.above(i) != nil && r.besideName(i-1)
		}
	}
	return false
}

// townLeft doubts an address that goes on, for all that is known, on the next line: words that have
// found no role stand there in the same block.
func (r *headReader) townLeft() {
	f := r.out.address
	if f == nil {
		return
	}
	last := f.read.toks[len(f.read.toks)-1]
	for i := range r.lines {
		if r.lines[i].at != last.line {
			continue
		}
		if n := r.next(i); n != nil && len(n.items) > 0 && n.items[0].field == itemWords && !r.holds(n.items[0]) && r.d.wordsKind(n.items[0].toks) == wordsName && !postal.matches(textOf(f.read.toks)) {
			f.weak = true
		}
	}
}

// wayBelowName takes a way without a house and what stands behind it on its line for the address,
// right below a line with the site's name, and the town on the next line.
func (r *headReader) wayBelowName() bool {
	for i := range r.lines {
		l, a := &r.lines[i], r.above(i)
		if a == nil || l.title || len(l.items) == 0 || !r.besideName(i-1) {
			continue
		}
		first := l.items[0].toks
		if !r.onlyWords(l) || !r.beginsWithWay(first, i) {
			continue
		}
		var all []token
		for k := range l.items {
			all = append(all, l.items[k].toks...)
			l.items[k].field = itemOther
		}
		r.takeAddress(headItem{toks: r.withTown(i, all), line: l.at})
		r.out.address.weak = true
		return true
	}
	return false
}

// onlyWords reports whether a line of the head is words that no record has a place for.
func (r *headReader) onlyWords(l *headLine) bool {
	for _, it := range l.items {
		if it.field != itemWords || len(it.toks) == 0 || r.d.saysState(it.toks[len(it.toks)-1:]) {
			return false
		}
	}
	return true
}

// beginsWithWay reports whether words are a way, or begin with one that a comma or a cell parts
// from the town, or go on with a town and its state.
func (r *headReader) beginsWithWay(toks []token, i int) bool {
	head := toComma(toks)
	if len(head) < len(toks) && hasDigit(textOf(toks[len(head):])) {
		return false
	}
	if wayFirst.matches(textOf(head)) {
		return len(head) < len(toks) || len(r.lines[i].items) > 1 || !r.d.allTrade(toks)
	}
	for n := len(toks) - 2; n > 0; n-- {
		if wayFirst.matches(textOf(toks[:n])) {
			return townState.matches(textOf(toks[n:]))
		}
	}
	return false
}

// A house with its way and the town, where no word is known: behind the way, or before it.
var (
	wayHouseTown = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^[^\s\d,.:=][^\d,:=]*\s\d{1,4}[a-z]?,?\s[^\s\d,:=][^\d:=]*$`)}
	houseWayTown = pattern{needs: ",", expr: regexp.MustCompile(`(?i)^\d{1,5}[a-z]?\s[a-z][^\d,:=]*,\s[^\s\d,:=][^\d:=]*$`), starts: figures}
)

// houseBelowName takes a line in one block right below the site's name for the address, when
// it is a house, its way and the town by its form and none of its words is one of the trade.
func (r *headReader) houseBelowName() bool {
	for i := range r.lines {
		l, a := &r.lines[i], r.above(i)
		if a == nil || l.title || len(l.items) != 1 || l.items[0].field != itemWords || !r.besideName(i-1) {
			continue
		}
		toks, text := l.items[0].toks, textOf(l.items[0].toks)
		words := toks
		if endsInTown(toks) {
			words = toks[:len(toks)-1] // ON and OK are states, too
		} else if !r.onlyWords(l) {
			continue
		}
		if len(toks) < 3 || toks[len(toks)-1].at != r.lastOf(i).at || !wayHouseTown.matches(text) && !houseWayTown.matches(text) || slices.ContainsFunc(words, func(t token) bool { return !t.number && r.d.tradeWord(t) }) {
			continue
		}
		r.takeAddress(headItem{toks: toks, line: l.at})
		l.items[0].field = itemOther
		return true
	}
	return false
}

// endsInTown reports whether a town and the letters of its state stand behind the first comma of
// words.
func endsInTown(toks []token) bool {
	n := len(toComma(toks))
	return n+2 <= len(toks) && townState.matches(textOf(toks[n:]))
}
