package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// headItem is one thing that a line of the header says.
type headItem struct {
	field string  // a field of the header, fieldMoment, itemWords or itemOther
	toks  []token // of the value
	label []token // of the label, if any
	read  reading // of a moment
	firm  bool    // its label says what it is
	aside bool    // a mark parts it from the name that it is the number of
	line  int
}

// What an item may be besides a field of the header.
const (
	itemWords  = "words"  // a name, an address or a title
	itemNumber = "number" // a number that says no more: of the site beside its name
	itemOther  = "other"  // nothing that the header has a field for: a telephone, a version
)

// headItems reads a line as things of the header:
//
//	line   = item { [ "/" | "-" ] item }
//	item   = [ "printed" | "date" | "time" ] moment | "site" [ "no" ] number
//	       | number "/" name | name "(" number ")" | "site" ":" name
//	       | "address" ":" words | apparatus words | words
//
// Words are told apart later, when the lines around them are known.
func (d *doc) headItems(l line) []headItem {
	var out []headItem
	toks := numberApart(l.toks)
	for i := range toks {
		if i > 0 && toks[i].bar && d.barsBeside(toks[0].line) {
			return nil // a row of a table
		}
	}
	for i := 0; i < len(toks); {
		if toks[i].blank {
			i++
			continue
		}
		if n := houseApart(toks[i:]); n > 0 && starts(toks, i) {
			out = append(out, headItem{field: itemWords, toks: toks[i : i+n]})
			i += n
			continue
		}
		it, n := d.headItem(toks, i)
		if k := len(out) - 1; n == 0 && k >= 0 && out[k].read.hasDate() && !out[k].read.hasClock() {
			if r, ok := d.readTime(toks[i:], true); ok && r.hasClock() && !r.hasDate() { // 02.08 beside a date
				it, n = headItem{field: fieldMoment, toks: r.toks, read: r}, r.used
			}
		}
		if n == 0 {
			it, n = d.headWords(toks, i)
		}
		if n == 0 {
			i++
			continue
		}
		out = append(out, it)
		i += n
	}
	for k := range out {
		switch it := &out[k]; {
		case len(it.label) > 0:
			it.line = it.label[0].line
		case len(it.toks) > 0:
			it.line = it.toks[0].line
		}
	}
	if len(out) == 1 && len(out[0].toks) == 1 && len(out[0].label) == 0 && (bracketedNumber(out[0].toks[0]) || hashedNumber(out[0].toks[0]) || siteCode.matches(out[0].toks[0].text) && !equipmentNumber(out[0].toks[0])) {
		out[0].field = itemNumber // below a name
	}
	return d.numbersBeside(d.townsApart(d.commasApart(d.withPostal(out))), toks)
}

// headItem reads an item that begins with its label or is a moment; 0 tokens
// for none.
func (d *doc) headItem(toks []token, i int) (headItem, int) {
	if it, n := d.momentItem(toks, i); n > 0 {
		return it, n
	}
	if it, n := d.townItem(toks, i); n > 0 {
		return it, n
	}
	if end := cellEnd(toks, i+1); i+1 < len(toks) && toks[i].norm == "at" && toks[i].delim != 0 && starts(toks, i) && d.labelsPlace(toks[0].line-1) && addressScore(textOf(toks[i+1:end])) >= 3 {
		return headItem{field: "address", toks: toks[i+1 : end], label: toks[i : i+1], firm: true}, end - i
	}
	if it, n := d.siteItem(toks, i); n > 0 {
		return it, n
	}
	end := cellEnd(toks, i)
	if n := saysChanged(toks[i:]); n > 0 && starts(toks, i) {
		return headItem{field: itemOther, toks: toks[i:]}, len(toks) - i
	}
	if t := toks[i].norm; len(t) > 3 && t[0] == 'p' && strings.Contains(t, "/") && plainDigits(strings.ReplaceAll(strings.TrimLeft(t, "pg."), "/", ""), 2, 4) {
		return headItem{field: itemOther, toks: toks[i : i+1]}, 1 // P1/1
	}
	if i+1 < len(toks) && toks[i].norm == "p" && toks[i].stop == '.' && plainDigits(toks[i+1].text, 1, 2) {
		return headItem{field: itemOther, toks: toks[i : i+2]}, 2 // P. 1
	}
	if _, cost, n := d.code(lexicon.Skip, toks[i:end]); n > 0 && cost == 0 && starts(toks, i) && !(i == 0 && d.endsSpan(toks)) {
		if i+n < len(toks) {
			if r, ok := d.readTime(toks[i+n:], false); ok && r.hasDate() && r.hasClock() && i+n+r.used == len(toks) {
				return headItem{field: itemOther, toks: toks[i : i+n]}, n // END 2025/03/14 12:30
			}
		}
		return headItem{field: itemOther, toks: toks[i:]}, len(toks) - i
	}
	if n := d.apparatus(toks[i:end]); n > 0 && (starts(toks, i) || toks[i+n-1].delim != 0) {
		for end < len(toks) && toks[end].number { // TEL   555 0142
			end++
		}
		for j := i + n + 1; j < end; j++ { // REPORT NO. 31 OF 12/06/2025
			if r, ok := d.readTime(toks[j:], false); ok && r.hasDate() && r.hasYear() {
				end = j
			}
		}
		return headItem{field: itemOther, toks: toks[i:end]}, end - i
	}
	if starts(toks, i) && telephone.matches(textOf(toks[i:end])) {
		return headItem{field: itemOther, toks: toks[i:end]}, end - i
	}
	return headItem{}, 0
}

// endsSpan reports whether a line begins with a word for an end and a moment, and the line above
// with one for the start and its own: END 05:00 below BEG 23:00 closes no slip.
func (d *doc) endsSpan(toks []token) bool {
	for at := toks[0].line - 1; at >= 0 && at < len(d.lines); at-- {
		if above := d.lines[at].toks; len(above) > 0 {
			return d.sideMoment(toks, "end") && d.sideMoment(above, "start")
		}
	}
	return false
}

// sideMoment reports whether a line is a label of a start or an end and a moment.
func (d *doc) sideMoment(toks []token, side string) bool {
	for _, n := range d.names(toks) {
		if n.used < len(toks) && labelTables().has(n.bag, side) {
			if r, ok := d.readTime(toks[n.used:], false); ok && n.used+r.used == len(toks) {
				return true
			}
		}
	}
	return false
}

// saysChanged is how many tokens say that settings were changed, whose time and hand may follow:
// CHANGED BY, SET BY:, LAST PROGRAMMED ON. It is 0 for none.
func saysChanged(toks []token) int {
	n := 0
	if toks[0].norm == "last" && len(toks) > 1 {
		n = 1
	}
	switch toks[n].norm {
	case "changed", "programmed", "modified", "updated", "set", "edited", "entered", "calibrated", "adjusted", "revised", "configured", "installed", "change", "modification", "programming", "calibration":
	default:
		return 0
	}
	if toks[n].norm == "set" && n == 0 && (len(toks) < 3 || toks[1].delim == 0) {
		return 0 // an alarm may be SET BY THE OPERATOR
	}
	if n+1 < len(toks) && (toks[n+1].norm == "by" || toks[n+1].norm == "on" && n > 0) {
		return n + 2
	}
	if n > 0 && toks[n].delim != 0 {
		return n + 1
	}
	return 0
}

// apparatus finds a word for what the header may say besides: a telephone, a
// version, a serial number, a tax number.
func (d *doc) apparatus(toks []token) int {
	_, cost, n := d.code(lexicon.Apparatus, toks)
	if n == 0 || cost > 0 || n == len(toks) {
		return 0
	}
	if hasFigures(toks[n:]) || toks[n-1].delim != 0 {
		return n
	}
	return 0
}

// momentItem reads a date or a time of day with the words for printing, date or
// time before it, if any.
func (d *doc) momentItem(toks []token, i int) (headItem, int) {
	end := cellEnd(toks, i)
	if r, ok := d.readTime(toks[i:], false); ok && (r.hasClock() || r.hasYear()) {
		return headItem{field: fieldMoment, toks: r.toks, read: r}, d.withWeekday(toks, i+r.used) - i
	}
	for _, n := range d.momentLabels(toks[i:end]) {
		j := i + n
		for j < len(toks) && (toks[j].blank || joint[toks[j].norm]) {
			j++
		}
		if j >= len(toks) || toks[j].gap >= farValue && toks[j-1].delim == 0 {
			continue
		}
		r, ok := d.readTime(toks[j:], !joint[toks[i].norm]) // AT 418 OAK ROAD is no time
		if !ok || !r.hasClock() && !r.hasYear() {
			continue
		}
		it := headItem{field: fieldMoment, toks: r.toks, label: toks[i : i+n], read: r}
		bag, _, _ := d.bag(it.label)
		if (labelTables().has(bag, "printed") || d.saysTaken(it.label) || saysPrint(it.label)) && (it.label[0].norm != "report" || n > 1) {
			it.field, it.firm = "printed_at", true
		}
		return it, d.withWeekday(toks, j+r.used) - i
	}
	return headItem{}, 0
}

// farValue is the gap, in character cells, beyond which a value does not belong
// to the label before it.
const farValue = 24

// joint are the little words before a date.
var joint = map[string]bool{"at": true, "on": true, "of": true, "is": true, "as": true}

// beginsLine reports whether a token is the first of its line.
func (d *doc) beginsLine(t token) bool {
	return t.line < len(d.lines) && len(d.lines[t.line].toks) > 0 && d.lines[t.line].toks[0].at == t.at
}

// momentLabels are the lengths of the labels of a time of printing at the
// beginning of the tokens, the longest first; a little word alone is one.
func (d *doc) momentLabels(toks []token) []int {
	var out []int
	names := d.names(toks)
	for i := len(names) - 1; i >= 0; i-- {
		if f, ok := d.field(headerKind, names[i].bag); ok && strings.TrimPrefix(f, "header.") == "printed_at" && names[i].cost <= sureLabelCost {
			out = append(out, names[i].used)
		}
	}
	if saysPrint(toks[:1]) && !slices.Contains(out, 1) || toks[0].norm == "readings" || toks[0].norm == "read" && d.beginsLine(toks[0]) || (joint[toks[0].norm] || toks[0].norm == "d" || toks[0].norm == "t") && len(toks) > 1 {
		out = append(out, 1)
	}
	return out
}

// withWeekday passes a day of the week that stands behind its date.
func (d *doc) withWeekday(toks []token, j int) int {
	if j < len(toks) && toks[j].delim == 0 && d.timeNames.Weekday(toks[j].text) {
		return j + 1
	}
	return j
}

// siteItem reads a site's number, name or address with its label.
func (d *doc) siteItem(toks []token, i int) (headItem, int) {
	if i > 0 && !starts(toks, i) && toks[i-1].stop == ',' && postBox.matches(textOf(toks[:i])) {
		return headItem{}, 0 // RR 3, SITE 12, COMP 8
	}
	end := cellEnd(toks, i)
	names := d.names(toks[i:end])
	for k := len(names) - 1; k >= 0; k-- {
		n := names[k]
		field, ok := d.field(headerKind, n.bag)
		field = strings.TrimPrefix(field, "header.")
		if i > 0 && n.bag == bagOf("name") && toks[i+n.used-1].delim != 0 && d.leadsPlace(toks) {
			field, ok = "site", true // SITE NO: 415   NAME: ...
		}
		place, bare := n.bag == bagOf("location"), n.bag == bagOf("number")
		if !ok && !place || n.cost > 0 || field == "printed_at" {
			continue
		}
		j := i + n.used
		for j < len(toks) && (toks[j].blank || d.numberWord(toks[j])) {
			j++
		}
		if j >= len(toks) {
			continue
		}
		if !starts(toks, i) && slices.ContainsFunc(toks[i+1:j+1], func(t token) bool { return t.open }) {
			continue // NAME OF A STATION (No. 715)
		}
		if bare && toks[i].open && toks[j].shut && j == i+n.used && plainNumber(toks[j]) {
			return headItem{field: itemNumber, toks: toks[j : j+1], label: toks[i : i+n.used]}, j + 1 - i
		}
		if bare && starts(toks, i) && cellEnd(toks, j) == j+1 && (toks[i+n.used-1].delim != 0 || i == 0 && toks[n.used-1].stop == '.') && plainNumber(toks[j]) {
			return headItem{field: itemNumber, toks: toks[j : j+1], label: toks[i : i+n.used]}, j + 1 - i
		}
		if bare && starts(toks, i) && plainDigits(toks[j].text, leastSite, 6) && toks[j].stop == 0 && d.nameBehind(toks[j:cellEnd(toks, j)]) {
			return headItem{field: itemNumber, toks: toks[j : j+1], label: toks[i : i+n.used]}, j + 1 - i // NO. 562 NAME
		}
		if bare {
			continue
		}
		// A word at the end of others in its cell is no label of what the next cell holds:
		// NORTH STATION     SITE 415.
		marked := toks[i+n.used-1].delim != 0 || starts(toks, j) && starts(toks, i)
		label, rest := toks[i:i+n.used], toks[j:cellEnd(toks, j)]
		address := addressScore(textOf(toComma(rest))) >= 3
		switch {
		case field == "address" && (marked || starts(toks, i) && houseWay.matches(textOf(rest))), place && marked && address:
			return headItem{field: "address", toks: rest, label: label, firm: true}, j + len(rest) - i
		case field == "address" || !marked && hasWay(textOf(toks[i:cellEnd(toks, i)])) && !plainNumber(toks[j]):
			return headItem{}, 0 // STATION ROAD
		case place && marked && !d.namesEquipment(rest) && !plainNumber(toks[j]) && !d.isHeading(toks) && d.ofSite(toks[0].line):
			return headItem{field: "site", toks: rest, label: label, firm: true}, j + len(rest) - i
		case siteCodes.matches(toks[j].text) && !plainNumber(toks[j]) && cellEnd(toks, j) == j+1 && (marked || labelTables().has(n.bag, "number") || !place) && (!place || !equipmentNumber(toks[j])):
			return headItem{field: "site_number", toks: rest[:1], label: label, firm: true}, j + 1 - i
		case len(rest) == 2 && siteLetters.matches(rest[0].text) && plainDigits(strings.Trim(rest[1].text, "()[]"), 2, 6) && (labelTables().has(n.bag, "number") || d.numberWord(toks[i+n.used-1])):
			return headItem{field: "site_number", toks: rest, label: label, firm: true}, j + 2 - i // OUTLET CODE KL 1104
		case plainNumber(toks[j]) && !(address && !labelTables().has(n.bag, "number")) && !(place && !plainDigits(strings.Replace(toks[j].text, "-", "", 1), 1, 6)):
			used, _ := wholeNumber(rest)
			return headItem{field: "site_number", toks: rest[:used], label: label, firm: true}, j + used - i
		case (marked || toks[i+n.used-1].norm == "name" && starts(toks, i)) && field == "site" && (toks[i+n.used-1].delim != 0 || !d.isHeading(toks)) && len(d.labelLine(rest)) == 0 && !plainNumber(toks[j]):
			return headItem{field: "site", toks: rest, label: label, firm: true}, j + len(rest) - i
		}
	}
	return headItem{}, 0
}

// leastSite are the figures of a site's number that are no part of its name: NO. 1 FUELS.
const leastSite = 3

// nameBehind reports whether words that may be a name stand behind the first token of a cell.
func (d *doc) nameBehind(toks []token) bool {
	return len(toks) > 1 && hasLetters(toks[1:]) && d.wordsKind(toks[1:]) == wordsName
}

// numberWord reports whether a token is no more than the word for a number.
func (d *doc) numberWord(t token) bool {
	code, cost, ok := d.whole(lexicon.Part, []token{t})
	return ok && cost == 0 && code == "number"
}

// plainNumber reports whether a token may be a site's number: figures, with a
// letter or a stroke among them or not.
func plainNumber(t token) bool {
	s := strings.Trim(t.text, "#()")
	digits := 0
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits++
		case isLetter(c), c == '-':
		default:
			return false
		}
	}
	return digits > 0 && digits*2 >= len(s) && len(s) <= 10
}

// headWords takes words up to the next item, mark between items or cell.
func (d *doc) headWords(toks []token, i int) (headItem, int) {
	end := cellEnd(toks, i)
	j := i + 1
	for ; j < end && !bracketedNumber(toks[i]); j++ {
		t := toks[j]
		if t.blank && i == 0 && d.partBehind(toks, j) {
			return headItem{field: itemWords, toks: toks}, len(toks)
		}
		if t.blank || t.open || bracketedNumber(t) {
			break
		}
		if it, n := d.headItem(toks, j); n > 0 && (it.firm || it.field == fieldMoment && it.read.hasDate() && it.read.hasYear()) {
			break
		}
	}
	return headItem{field: itemWords, toks: toks[i:j]}, j - i
}

// partBehind reports whether the words behind the dash j of the slip's first line say which part of
// the site it is: AIRPORT - FUEL FARM, but not AIRPORT - TANK TESTS.
func (d *doc) partBehind(toks []token, j int) bool {
	const most = 3 // words of it
	rest := toks[j+1:]
	if toks[0].line != 0 || toks[j].text != "-" || cellEnd(toks, 0) != len(toks) || len(rest) == 0 || len(rest) > most || hasFigures(toks) || !onlyWords(rest) || !onlyWords(toks[:j]) {
		return false
	}
	return !d.allTrade(rest) && !d.allTrade(toks[:j]) && addressScore(textOf(rest)) < 2 && d.title(line{toks: rest}).kind == "" && d.topicTitle(line{toks: rest}).kind == ""
}

// mayName reports whether an item is words that may be a name.
func (it headItem) mayName() bool {
	return (it.field == itemWords || it.field == "site") && hasLetters(it.toks)
}

func hasLetters(toks []token) bool {
	for _, t := range toks {
		if !plainNumber(t) && strings.ContainsAny(t.text, letters) {
			return true
		}
	}
	return false
}

// toComma are the tokens up to the first comma.
func toComma(toks []token) []token {
	for i, t := range toks {
		if t.stop == ',' {
			return toks[:i+1]
		}
	}
	return toks
}
