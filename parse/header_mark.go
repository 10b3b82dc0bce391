package parse

import (
	"strings"

	"tankroll/parse/lexicon"
)

// markHead marks the lines that speak of the site and the printing, wherever
// they stand: labelled ones, addresses, and what is set in below them.
func (d *doc) markHead() {
	var printed []int
	for i := range d.lines {
		l := &d.lines[i]
		if l.rule || len(l.toks) == 0 {
			continue
		}
		if d.aside(l.toks) {
			l.head = !d.labelOfNext(i)
			continue
		}
		if d.subtitle(i) {
			l.head = true
			continue
		}
		if d.tabular(*l) && !d.labelled(l.toks) {
			continue
		}
		text := textOf(l.toks)
		switch {
		case d.labelled(l.toks) && (d.labelBehindTitle(*l) || d.takenInRecord(i)):
		case d.labelled(l.toks):
			l.head = true
			if facts, _ := d.scan("", l.toks); hasField(facts, "header.printed_at") && !anyOn(i, d.front.taken) {
				printed = append(printed, i)
			}
		case d.courtesy(l.toks):
			l.head = !d.labelOfNext(i) && !d.noneBelow(i)
		case len(l.toks) >= 3 && hasWay(text) && (houseWay.matches(text) || postal.matches(text)) && !d.hasLabel(l.toks) && len(d.withoutMoments(l.toks)) == len(l.toks) && !(d.isDevice(l.toks[0]) && d.endsInGrade(l.toks)):
			l.head = true // and not TANK 4 OFF-ROAD DSL
		case i > 0 && d.lines[i-1].head && !l.gap && len(l.toks) <= 3 && l.toks[0].col > d.lines[i-1].toks[0].col+0.9 && !d.namesEquipment(l.toks) && !d.hasLabel(l.toks) && d.title(*l).kind == "":
			l.head = d.full(d.lines[i-1])
		}
	}
	d.ownPrintings(printed)
}

// labelBehindTitle reports whether a title stands before the label of a line: SENSORS STATUS
// AT 12:30.
func (d *doc) labelBehindTitle(l line) bool {
	facts, _ := d.scan("", l.toks)
	return len(facts) > 0 && len(facts[0].label) > 0 && facts[0].label[0].at != l.toks[0].at && d.title(l).kind != ""
}

// labelOfNext reports whether a line is a label whose value is all of the next
// line: END above a date ends no slip.
func (d *doc) labelOfNext(i int) bool {
	names := d.names(d.lines[i].toks)
	if len(names) == 0 || names[len(names)-1].used < len(d.lines[i].toks) || names[len(names)-1].bag == "" || i+1 >= len(d.lines) {
		return false
	}
	under := d.lines[i+1].toks
	if r, ok := d.readTime(under, false); ok && r.used == len(under) {
		return true
	}
	return d.valueBelow(i)
}

// noneBelow reports whether a line says that there is no pass yet, below the label of one.
func (d *doc) noneBelow(i int) bool {
	toks := d.lines[i].toks
	if i == 0 || noneYet(toks) != len(toks) {
		return false
	}
	phrases, ok := d.passHeading(d.lines[i-1].toks)
	return ok && len(phrases) > 0 && d.namesPass(phrases[len(phrases)-1].toks)
}

// ownPrintings leaves the times of printing that stand right below other values
// to the records, when the slip says more than once when it was printed.
func (d *doc) ownPrintings(lines []int) {
	d.saysPrinted = len(lines) > 0
	if len(lines) < 2 {
		return
	}
	for _, i := range lines {
		if i > 0 && !d.lines[i-1].head && !d.lines[i-1].rule && d.hasLabel(d.lines[i-1].toks) {
			d.lines[i].head = false
		}
	}
}

// nameLike reports whether a line may be a name: words without a number or a
// full stop, but for a number in brackets behind them or a date alone.
func (d *doc) nameLike(toks []token) bool {
	rest := d.withoutMoments(toks)
	if len(rest) == 0 {
		return true
	}
	for i, t := range rest {
		if i > 0 && d.spelt(t, lexicon.Result) && !d.spelt(t, lexicon.Grade) || d.isDevice(t) && i+1 < len(rest) && rest[i+1].number {
			return false
		}
		if t.number && !(i > 0 && i == len(rest)-1 && bracketedNumber(t)) {
			return false
		}
	}
	return len(rest) == len(toks) && rest[len(rest)-1].stop != '.'
}

// bracketedNumber reports whether a token is a number in brackets, as a site's
// behind its name.
func bracketedNumber(t token) bool {
	return t.number && (t.open && t.shut || strings.HasPrefix(t.text, "(") && strings.HasSuffix(t.text, ")"))
}

// hasLabel reports whether a mark or a unit shows that a line holds values.
func (d *doc) hasLabel(toks []token) bool {
	for i, t := range toks {
		if t.delim != 0 || i > 0 && toks[i-1].number && d.isUnit(t) {
			return true
		}
	}
	return false
}

// labelled reports whether a line is a header field with its label and no
// more.
func (d *doc) labelled(toks []token) bool {
	if !d.namesHeader(toks) {
		return false
	}
	facts, worth := d.scan("", toks)
	if worth <= 0 || len(facts) == 0 {
		return false
	}
	took := 0
	for _, f := range facts {
		if f.field == fieldMoment || d.dateOnly(f.label) || len(f.label) > 0 && f.label[0].norm == "report" && !f.read.hasTime() {
			return false
		}
		took += len(f.label) + len(f.read.toks)
	}
	for _, f := range facts {
		bag, _, _ := d.bag(f.label)
		for _, k := range []string{"number", "location", "name"} {
			if bag == bagOf(k) || bag == bagOf(k, "sensor") {
				return false // may be of a tank or sensor as well
			}
		}
	}
	return took*5 >= len(toks)*4
}

// namesHeader reports whether a label of the header may begin anywhere among the tokens.
func (d *doc) namesHeader(toks []token) bool {
	for i := range toks {
		for _, n := range d.names(toks[i:]) {
			if _, ok := d.field("", n.bag); ok && n.bag != "" {
				return true
			}
		}
	}
	return false
}

// dateOnly reports whether a label says no more than date or time: it may be
// the record's.
func (d *doc) dateOnly(label []token) bool {
	bag, _, _ := d.bag(label)
	return bag == bagOf("date") || bag == bagOf("time") || bag == bagOf("date", "time")
}
