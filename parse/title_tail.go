package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// What stands behind the words of a title and says nothing of what it announces:
//
//	tail = ( "," | far-gap | "-" | "(" ) number plural          SENSOR CHECK, 7 PLACES
//	     | far-gap ( make | page )                            TANK LIMITS      REV 3.1
//	     | far-gap unit { word }                              SET POINTS       GAL UNLESS SHOWN
//	     | ( "read" | "taken" ) "at" time-of-day              STOCKS READ AT 9:58 PM
//	     | "-" words of titles                                SENSORS - STATE OF ALL POINTS

// withoutTail leaves out what stands behind a title and says nothing of its kind.
func (d *doc) withoutTail(toks []token) []token {
	for i := cellEnd(toks, 0); i < len(toks); i = cellEnd(toks, i) {
		if rest := toks[i:]; d.madeAs(rest) || d.pageOnly(rest) || d.unitNote(rest) {
			toks = toks[:i]
			break
		}
	}
	n := len(toks) - 2
	if n < 1 || !plainDigits(toks[n].text, 1, 3) || toks[n].delim != 0 || !d.countedNoun(toks[n+1]) {
		return toks
	}
	switch before := toks[n-1]; {
	case before.blank && n > 1:
		return toks[:n-1]
	case before.stop == ',' || toks[n].open && toks[n+1].shut || starts(toks, n):
		return toks[:n]
	}
	return toks
}

// countedNoun reports whether a word is the plural of what lists are made of.
func (d *doc) countedNoun(t token) bool {
	if !strings.HasSuffix(t.norm, "s") || t.number {
		return false
	}
	switch t.norm {
	case "entries", "items", "records", "places", "points", "positions", "events", "rows", "readings", "messages", "results":
		return true
	}
	return d.isDevice(t) || d.noun(t) && d.spelt(t, lexicon.Topic)
}

// unitNote reports whether words say in which unit amounts are that have none: GAL UNLESS SHOWN,
// ALL IN LITRES.
func (d *doc) unitNote(toks []token) bool {
	units := 0
	for i := 0; i < len(toks); {
		if _, cost, n := d.code(lexicon.Unit, toks[i:]); n > 0 && cost == 0 {
			i += n
			units++
			continue
		}
		switch toks[i].norm {
		case "all", "in", "and", "unless", "otherwise", "shown", "noted", "stated", "marked", "figures", "amounts", "volumes", "volume", "us", "are", "except", "where", "as", "units":
		default:
			return false
		}
		i++
	}
	return units > 0 && len(toks) > 1
}

// withoutClock leaves out a time of day at the end of a title that says when its values were read,
// and the words for that.
func (d *doc) withoutClock(toks []token) []token {
	const most = 3 // words of a time of day
	for i := max(2, len(toks)-most); i < len(toks); i++ {
		if !joint[toks[i-1].norm] {
			continue
		}
		r, ok := d.readTime(toks[i:], true)
		if !ok || !r.hasClock() || i+r.used != len(toks) {
			continue
		}
		if cut := d.withoutTaken(toks[:i], len(toks)); len(cut) < i {
			return cut
		}
	}
	return toks
}

// dashTitle is the title before a dash that words of titles alone stand behind; no kind for none.
func (d *doc) dashTitle(toks []token) titleFinding {
	at := slices.IndexFunc(toks, func(t token) bool { return t.blank && t.text == "-" })
	if at < 1 || at+1 >= len(toks) || hasFigures(toks) || d.saysState(toks[at+1:]) {
		return titleFinding{}
	}
	past := false
	for _, t := range toks[at+1:] {
		if t.delim != 0 || t.blank || !d.spelt(t, lexicon.Topic) || d.spelt(t, lexicon.Result) {
			return titleFinding{}
		}
		past = past || d.past(t)
	}
	t := d.titleAnew(line{toks: toks[:at]})
	if !t.whole || past {
		return titleFinding{}
	}
	return t
}

// ofThing is how many tokens are a title and the mark behind it, where the rest of the line names a
// tank or line and what it holds: FUEL RECEIVED - TANK 02 - GASOIL. 0 for another line.
func (d *doc) ofThing(toks []token) (titleFinding, int) {
	at := slices.IndexFunc(toks, func(t token) bool { return t.blank && (t.text == "-" || t.text == "/") })
	if at < 1 || at+2 >= len(toks) || hasFigures(toks[:at]) || toks[at-1].delim != 0 {
		return titleFinding{}, 0
	}
	rest := toks[at+1:]
	if d.beginsThing(rest) == "" || !d.numbersThing(rest) {
		return titleFinding{}, 0
	}
	t := d.titleAnew(line{toks: toks[:at]})
	if t.kind == "" || !t.whole {
		return titleFinding{}, 0
	}
	facts, _ := d.scan(t.kind, rest)
	for _, f := range facts {
		if f.field != ownName(t.kind) && f.field != "product" && f.field != "" {
			return titleFinding{}, 0
		}
	}
	if !hasField(facts, ownName(t.kind)) || ownName(t.kind) == "" {
		return titleFinding{}, 0
	}
	return t, at + 1
}
