package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// Titles that go on behind their words:
//
//	title = words [ "," ] span                    ALARMS, LAST 24 HOURS
//	      | ( title "," | "lines" "," ) tests     LINES, 3.0 GPH TESTS PASSED
//	span  = [ "of" | "in" | "for" ] [ "the" ] ( "last" [ number ] | "this" ) unit-of-time | "today"

// spanTitle is the title that a line is without how far back it goes; no kind for none. Tests and
// their summaries count by such spans, and are left out.
func (d *doc) spanTitle(toks []token) titleFinding {
	n := spanBehind(toks)
	if n == 0 || n == len(toks) || toks[len(toks)-n-1].delim != 0 {
		return titleFinding{}
	}
	t := d.titleAnew(line{toks: toks[:len(toks)-n]})
	switch t.kind {
	case record.Alarm, record.Delivery, record.Inventory, record.Reconciliation, record.SensorStatus:
		if t.whole {
			return t
		}
	}
	return titleFinding{}
}

// spanBehind is how many tokens at the end of some say how far back a list goes; 0 for none.
func spanBehind(toks []token) int {
	i := len(toks) - 1
	if i < 1 {
		return 0
	}
	if toks[i].open && toks[i].shut && hasDigit(toks[i].text) && i > 1 {
		i-- // TODAY (14/03)
	}
	switch unit := toks[i].norm; unit {
	case "today", "yesterday":
	case "midnight", "print", "printout", "report", "reset", "reading", "clearing", "close", "opening":
		// SINCE MIDNIGHT, SINCE LAST PRINT
		if i--; i > 1 && (toks[i].norm == "last" || toks[i].norm == "previous" || toks[i].norm == "the") {
			i--
		}
		if i < 1 || toks[i].norm != "since" {
			return 0
		}
	case "h", "hr", "hrs", "hour", "hours", "day", "days", "week", "weeks", "month", "months", "year", "shift", "period":
		i--
		if i > 0 && plainDigits(toks[i].text, 1, 3) {
			i--
		}
		if unit == "shift" && i > 0 && (toks[i].norm == "in" || toks[i].norm == "of" || toks[i].norm == "during" || toks[i].norm == "on") {
			return len(toks) - i // ALARMS IN SHIFT
		}
		if unit == "shift" && i > 1 && toks[i].norm == "the" && (toks[i-1].norm == "in" || toks[i-1].norm == "of" || toks[i-1].norm == "during") {
			return len(toks) - i + 1
		}
		if !slices.Contains([]string{"last", "past", "previous", "preceding", "prior", "this", "latest", "recent", "current"}, toks[i].norm) {
			return 0
		}
	case "24h", "48h", "24hrs":
		if i--; i < 1 || toks[i].norm != "last" && toks[i].norm != "past" {
			return 0
		}
	default:
		return 0
	}
	for i > 1 && slices.Contains([]string{"the", "of", "in", "for", "from", "over", "during", "within"}, toks[i-1].norm) {
		i--
	}
	return len(toks) - i
}

// commaTitle is the title of a summary whose tests are told behind a comma; no kind for none.
func (d *doc) commaTitle(toks []token) titleFinding {
	head := toComma(toks)
	if len(head) == len(toks) || toks[len(head)-1].stop != ',' || !d.headsGroup(toks[len(head):]) || !slices.ContainsFunc(toks[len(head):], d.past) {
		return titleFinding{}
	}
	if len(head) == 1 && strings.HasSuffix(head[0].norm, "s") && d.isDevice(head[0]) && identPrefixes[strings.TrimSuffix(head[0].norm, "s")] == "line" {
		return titleFinding{kind: record.LineSummary, phrase: phraseOf(toks), whole: true}
	}
	if t := d.titleAnew(line{toks: head}); t.whole && (t.kind == record.LineSummary || t.kind == record.LineTest) {
		t.kind, t.phrase = record.LineSummary, phraseOf(toks)
		return t
	}
	return titleFinding{}
}
