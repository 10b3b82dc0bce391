package parse

import (
	"regexp"
	"slices"
	"strings"
)

// Where a site is, on lines of one block below its name:
//
//	place = name / street [ town ] / town | county | country
//	      | name / way [ "," ] town [ / country ]              no house, no postal code
//	      | name / way { cell }                                MILL STREET   DROMKEEL   CO CLARE

// townLand is a country, or a county behind its short form, alone or behind a town and a comma.
var townLand = pattern{needs: letters, expr: regexp.MustCompile(`(?i)^([a-z][a-z .'-]+,\s+){0,2}(co\.?\s[a-z]{4,}|antigua|australia|austria|bahamas|bangladesh|barbados|belgium|belize|bermuda|botswana|brunei|canada|cayman islands|cook islands|costa rica|cyprus|denmark|dominica|el salvador|england|fiji|finland|france|germany|ghana|gibraltar|grenada|guam|guatemala|guernsey|guyana|honduras|hong kong|india|ireland|isle of man|italy|jamaica|japan|jersey|kenya|lesotho|luxembourg|malawi|malaysia|malta|mauritius|mexico|namibia|nepal|netherlands|new zealand|n\.?z\.?|nicaragua|nigeria|northern ireland|norway|pakistan|panama|papua new guinea|philippines|poland|portugal|samoa|scotland|seychelles|sierra leone|singapore|solomon islands|south africa|spain|sri lanka|st\.? lucia|swaziland|sweden|switzerland|tanzania|thailand|tonga|trinidad|trinidad (&|and) tobago|uganda|u\.?k\.?|united kingdom|u\.?s\.?a\.?|vanuatu|wales|zambia|zimbabwe)\.?$`), starts: letters}

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

// postalCell reports whether an item is no more than a postal code.
func postalCell(it headItem) bool {
	return it.field == itemWords && postal.matches(" "+textOf(it.toks)) && !hasLetters(it.toks[:1]) || it.field == itemWords && postalAlone.matches(textOf(it.toks))
}

// itemTown is a part of an address with a label of its own: TOWN: KELLS.
const itemTown = "town"

// townLabels are such labels.
var townLabels = map[string]bool{"town": true, "city": true, "state": true, "zip": true, "zipcode": true, "county": true, "postcode": true, "postal": true, "province": true, "region": true, "country": true, "suburb": true, "village": true, "district": true, "dist": true, "city/state": true, "city/town": true, "town/city": true, "post": true, "pin": true, "municipality": true, "locality": true, "csz": true}

// townItem reads a part of an address behind its label and a mark, right below the site's name, its
// street or another part, each behind its own: STATE may be an alarm's.
func (d *doc) townItem(toks []token, i int) (headItem, int) {
	if !starts(toks, i) || !townLabels[toks[i].norm] || i == 0 && !d.labelsPlace(toks[0].line-1) {
		return headItem{}, 0
	}
	j := i
	for j+1 < len(toks) && j < i+2 && toks[j].delim == 0 && !starts(toks, j+1) {
		j++ // ZIP CODE:
	}
	if j >= len(toks)-1 || toks[j].delim == 0 && (!starts(toks, j+1) || !d.labelsPlace(toks[0].line-1)) || j > i && toks[j].norm != "code" && !townLabels[toks[j].norm] {
		return headItem{}, 0
	}
	end := cellEnd(toks, j+1)
	if text := textOf(toks[j+1 : end]); toks[i].norm == "state" && !townState.matches("Xx "+text) && !townFull.matches("Xx "+text) || d.saysState(toks[j+1:end]) && len(text) > 2 {
		return headItem{}, 0
	}
	return headItem{field: itemTown, toks: toks[j+1 : end], label: toks[i : j+1], firm: true}, end - i
}

// labelsPlace reports whether a line begins with a label of the site, its address or a part of it.
func (d *doc) labelsPlace(i int) bool {
	if i < 0 || i >= len(d.lines) || len(d.lines[i].toks) < 2 {
		return false
	}
	toks := d.lines[i].toks
	if townLabels[toks[0].norm] && (toks[0].delim != 0 || toks[1].delim != 0 || starts(toks, 1)) {
		return i > 0 && d.labelsPlace(i-1)
	}
	return d.leadsPlace(toks)
}

// leadsPlace reports whether a label of the site or its address stands before other tokens.
func (d *doc) leadsPlace(toks []token) bool {
	for _, n := range d.names(toks) {
		f, ok := d.field(headerKind, n.bag)
		if n.used < len(toks) && (toks[n.used-1].delim != 0 || starts(toks, n.used)) && (ok && f != "header.printed_at" && n.bag != bagOf("number") || n.bag == bagOf("location")) {
			return true
		}
	}
	return false
}

// withTownLabels adds the parts of the address that have labels of their own in the order of the
// slip, those in one block with it.
func (r *headReader) withTownLabels() {
	var all []token
	from := -1
	for i, l := range r.lines {
		for _, it := range l.items {
			if it.field != itemTown {
				continue
			}
			if f := r.out.address; f != nil && len(f.read.toks) > 0 && f.read.toks[len(f.read.toks)-1].line > l.at {
				continue
			}
			if from < 0 {
				from = i
			}
			all = append(all, it.toks...)
			r.taken[l.at] = true
		}
	}
	switch f := r.out.address; {
	case len(all) == 0:
	case f == nil:
		r.takeAddress(headItem{toks: all, line: r.lines[from].at, firm: true})
		r.out.address.weak = false
	default:
		f.read.toks = append(f.read.toks[:len(f.read.toks):len(f.read.toks)], all...)
		f.read.used, f.read.value = len(f.read.toks), textOf(f.read.toks)
	}
}

// placeBelowName reports whether item k on line i of the head, all that stands right below the site's
// name, is a place by its form alone: a town with its state in full, its county, or words parted by
// commas of which none is one of the trade.
func (r *headReader) placeBelowName(i, k int) bool {
	l, a := r.lines[i], r.above(i)
	if a == nil || len(l.items) != 1 || l.foot || !r.besideName(i-1) && (r.out.site == nil || r.out.site.read.toks[0].line != a.at) {
		return false
	}
	toks := l.items[k].toks
	text := textOf(toks)
	if townLand.matches(text) || townFull.matches(text) {
		return true
	}
	n := len(toks) - 1
	if toks[n].stop == ',' || hasFigures(toks) || len(toks) > mostPlaceWords || ofCompany[toks[n].norm] || r.d.saysState(toks[n:]) {
		return false
	}
	commas := 0
	for j, t := range toks {
		if t.delim != 0 || t.blank || t.open || r.d.isDevice(t) {
			return false
		}
		if t.stop == ',' && j < n {
			commas++
		}
	}
	return commas > 0 && r.d.wordsKind(toks) == wordsName
}

// mostPlaceWords is the most words of a place on a line of its own.
const mostPlaceWords = 8

// ofCompany are words behind the comma of a company's name or a person's.
var ofCompany = map[string]bool{"inc": true, "llc": true, "ltd": true, "co": true, "corp": true, "prop": true, "proprietor": true, "manager": true, "mgr": true, "dealer": true, "owner": true, "limited": true, "plc": true, "pty": true, "owners": true, "props": true, "sons": true}

// townFull is a town with its state in full and no comma.
var townFull = pattern{needs: letters, expr: regexp.MustCompile(`(?i)^[a-z][a-z.'-]+(\s[a-z.'-]+){0,3}\s(alabama|alaska|arizona|arkansas|california|colorado|connecticut|delaware|florida|georgia|hawaii|idaho|illinois|indiana|iowa|kansas|kentucky|louisiana|maine|maryland|massachusetts|michigan|minnesota|mississippi|missouri|montana|nebraska|nevada|new hampshire|new jersey|new mexico|new york|north carolina|north dakota|ohio|oklahoma|oregon|pennsylvania|rhode island|south carolina|south dakota|tennessee|texas|utah|vermont|virginia|washington|west virginia|wisconsin|wyoming|alberta|british columbia|manitoba|new brunswick|newfoundland|nova scotia|ontario|prince edward island|quebec|saskatchewan|yukon|new south wales|queensland|tasmania|south australia|western australia)$`), starts: letters}

// withLines adds what stands below an address in one block with it and the site's name above, a line
// each: its town, county, country or postal code, as long as no postal code ends it.
func (r *headReader) withLines(i int, toks []token) []token {
	if !r.nameAbove(toks[0].line) {
		return toks
	}
	const most = 2 // lines
	for n := 0; n < most && !endsInPostal(textOf(toks)); n++ {
		last := toks[len(toks)-1].line
		k := slices.IndexFunc(r.lines, func(l headLine) bool { return l.at == last })
		if k < 0 || toks[len(toks)-1].at != r.lastOf(k).at {
			break
		}
		below := r.next(k)
		if below == nil || len(below.items) != 1 || below.items[0].field != itemWords || below.foot {
			break
		}
		words := below.items[0].toks
		kind := r.townKind(words)
		if kind == wordsName && (len(words) > mostTownWords || hasFigures(words) && !postalFirst.matches(textOf(words)) || !r.endsInPlace(k+1)) || kind != wordsTown && kind != wordsName {
			break
		}
		r.taken[below.at] = true
		below.items = nil
		toks = append(toks[:len(toks):len(toks)], words...)
	}
	return toks
}

// endsInPostal reports whether a postal code ends an address: no number of a box.
func endsInPostal(text string) bool { return postal.matches(text) && !boxEnds.matches(text) }

// boxEnds is an address that ends in the number of a box.
var boxEnds = pattern{needs: figures, expr: regexp.MustCompile(`(?i)\b(box|bag|rr)\.?\s(no\.?\s)?\d+$`), ends: 1}

// endsInPlace reports whether line i of the head is the last of its block but for dates, or a town or
// country by its form stands right below it: words between an address and those are its town.
func (r *headReader) endsInPlace(i int) bool {
	n := r.next(i)
	if n == nil {
		return true
	}
	for _, it := range n.items {
		switch {
		case it.field == fieldMoment, it.field == "printed_at", it.field == itemOther:
		case it.field == itemWords && len(n.items) == 1 && r.townKind(it.toks) == wordsTown:
		default:
			return false
		}
	}
	return len(n.items) > 0
}

// estate is a place with several buildings, which stands between a site's name and its street.
var estate = pattern{needs: letters, expr: regexp.MustCompile(`(?i)\s((business|industrial|retail|trading|science|office|logistics|enterprise) (park|estate|area|zone)|ind\.? est(ate)?\.?|estate|complex|arcade|shopping (centre|center))$`)}

// withEstate adds the estate that the line above an address names, below the site's name.
func (r *headReader) withEstate(i int, toks []token) []token {
	a := r.above(i)
	if a == nil || len(a.items) != 1 || a.items[0].field != itemWords || !estate.matches(textOf(a.items[0].toks)) || r.above(i-1) == nil || !r.besideName(i-2) {
		return toks
	}
	words := a.items[0].toks
	a.items = nil
	r.taken[a.at] = true
	return append(words[:len(words):len(words)], toks...)
}

// withPostal puts a postal code in a cell of its own behind the town or way before it.
func (d *doc) withPostal(items []headItem) []headItem {
	for k := 1; k < len(items); k++ {
		a, b := items[k-1], items[k]
		if a.field != itemWords || !postalCell(b) || b.toks[0].at != a.toks[len(a.toks)-1].at+1 || postal.matches(textOf(a.toks)) {
			continue
		}
		if kind := d.wordsKind(a.toks); kind != wordsTown && kind != wordsStreet && !(kind == wordsName && postalAlone.matches(textOf(b.toks)) && !hasFigures(a.toks)) {
			continue
		}
		a.toks = append(a.toks[:len(a.toks):len(a.toks)], b.toks...)
		return append(append(items[:k-1:k-1], a), items[k+1:]...)
	}
	return items
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
		if n := r.next(i); n != nil && len(n.items) > 0 && n.items[0].field == itemWords && !r.holds(n.items[0]) && r.d.wordsKind(n.items[0].toks) == wordsName && !endsInPostal(textOf(f.read.toks)) {
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
		r.takeAddress(headItem{toks: r.withLines(i, r.withTown(i, all)), line: l.at})
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

// codedTown is a town with a code of letters and figures, which no number of anything else has.
var codedTown = pattern{needs: figures, expr: regexp.MustCompile(`(?i)^[a-z][a-z .'-]+,?\s([a-z]{1,2}\d[a-z\d]?\s?\d[a-z]{2}|[a-z]\d[a-z]\s?\d[a-z]\d)$`), starts: letters, ends: 3}

// namedByWay reports whether words on line i of the head are the site's name though a way is in them:
// what kind of site it is stands behind the way, or any words do on the first line of the slip, above
// the town. No house has its number there.
func (r *headReader) namedByWay(i int, toks []token) bool {
	text := textOf(toks)
	if r.out.site != nil || hasFigures(toks) || !hasWay(text) {
		return false
	}
	if siteNoun.matches(" " + text) {
		return true
	}
	n := len(toks) - 1
	if r.lines[i].at != 0 || n < 2 || beginsWay(toks[n].text) || bearings[toks[n].norm] || slices.ContainsFunc(toks, func(t token) bool { return t.stop == ',' }) {
		return false
	}
	below := r.lines[i+1].items[0].toks
	for k := range r.lines {
		if k != i && r.besideName(k) {
			return false
		}
	}
	named := r.d.wordsKind(toks) == wordsName && !hasDigit(below[0].text)
	r.out.guessed = r.out.guessed || named
	return named
}

// bearings are what may stand behind the word for a way.
var bearings = map[string]bool{"n": true, "s": true, "e": true, "w": true, "ne": true, "nw": true, "se": true, "sw": true, "north": true, "south": true, "east": true, "west": true, "nb": true, "sb": true, "eb": true, "wb": true, "northbound": true, "southbound": true, "eastbound": true, "westbound": true}

// belowFirst reports whether item k is all that line i of the head says, right below the first line of
// the slip, which may be the site's name, and has no word of the trade but the letters of its state:
// PERRY OK.
func (r *headReader) belowFirst(i, k int) bool {
	l, toks := r.lines[i], r.lines[i].items[k].toks
	last := len(toks) - 1
	return l.at == 1 && len(l.items) == 1 && r.above(i) != nil && r.besideName(i-1) && strings.ToUpper(toks[last].text) == toks[last].text &&
		!slices.ContainsFunc(toks[:last], func(t token) bool { return r.d.tradeWord(t) })
}
