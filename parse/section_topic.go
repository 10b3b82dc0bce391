package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// topicTitle finds the kind that a line announces in words of its own: every
// word speaks of something that titles speak of, and together they make a kind.
// Only a line that the printer has set apart may be such a title, or the first
// of a slip that has no other.
func (d *doc) topicTitle(l line) titleFinding {
	const most = 7 // words
	toks := d.withoutMoments(l.toks)
	if len(toks) == 0 || len(toks) > most || d.tabular(line{toks: toks}) {
		return titleFinding{}
	}
	topics := map[string]bool{}
	classed := false // a rate of a test is among the words
	for i := 0; i < len(toks); {
		t := toks[i]
		if t.blank {
			i++
			continue
		}
		if t.delim != 0 && i < len(toks)-1 && !(t.delim == ':' && listWord(toks[len(toks)-1])) {
			return titleFinding{} // but LINE LEAK DETECTOR: TODAY'S TESTS
		}
		topic := ""
		for _, h := range d.lookup(t.norm) {
			if h.Sense == lexicon.Topic && h.Cost == 0 {
				topic = h.Code
				break
			}
		}
		if topic == "" && i > 0 && plainDigits(t.text, 1, 2) && t.delim == 0 && t.stop == 0 && (toks[i-1].norm == "last" || toks[i-1].norm == "latest" || toks[i-1].norm == "recent" || toks[i-1].norm == "past") {
			i++ // LAST 4 ALARMS
			continue
		}
		if topic == "" {
			r, ok := d.readClass(record.TankTest, toks[i:], "")
			if !ok || !t.number || r.num.Decimals == 0 && r.unitFrom != unitBeside {
				return titleFinding{}
			}
			classed = true
			i += r.used
			continue
		}
		topics[topic] = true
		i++
	}
	k := topicKind(topics)
	if k == "" {
		return titleFinding{}
	}
	open := k == record.TankTest && !topics["tank"]
	if open && topics["past"] && classed {
		k, open = record.LineSummary, false // PASSES OF THE 3.0 GPH TEST
	}
	return titleFinding{kind: k, phrase: phraseOf(toks), whole: true, topics: len(topics) - plainTopic(topics), also: alsoKind(k, topics, toks), open: open}
}

// alsoKind is the second kind of a title that joins two: SENSORS AND ALARMS.
func alsoKind(k record.Kind, topics map[string]bool, toks []token) record.Kind {
	and := slices.ContainsFunc(toks, func(t token) bool { return t.norm == "and" || t.norm == "&" || t.norm == "/" })
	if k == record.Alarm && topics["sensor"] && and {
		return record.SensorStatus
	}
	return ""
}

// plainTopic counts the topics that name no kind.
func plainTopic(has map[string]bool) int {
	if has["plain"] {
		return 1
	}
	return 0
}

// topicKind is the kind that is made of topics, "" for none.
func topicKind(has map[string]bool) record.Kind {
	switch {
	case has["account"] && !has["alarm"]: // ALARM BOOK
		return record.Reconciliation
	case has["limits"]:
		return record.TankLimits
	case has["alarm"]:
		return record.Alarm
	case has["sensor"]:
		return record.SensorStatus
	case has["delivery"]:
		return record.Delivery
	case has["line"] && has["past"]:
		return record.LineSummary
	case has["line"] && has["test"]:
		return record.LineTest
	case has["test"]:
		return record.TankTest
	case has["stock"]:
		return record.Inventory
	}
	return ""
}

// wayTitle is a title that names a test by the way it is made alone, and the tank behind it: STATIC
// TEST, TANK 1 (UNLEADED). No kind for one with a verdict, and none without a tank: that may be
// part of a test.
func (d *doc) wayTitle(toks []token) titleFinding {
	_, cost, n := d.code(lexicon.Method, toks)
	if n == 0 || cost > 0 || n >= len(toks) || toks[n].norm != "test" && toks[n].norm != "tests" && toks[n-1].norm != "test" {
		return titleFinding{}
	}
	rest := toks[n:]
	for len(rest) > 0 && (rest[0].norm == "test" || rest[0].norm == "tests" || rest[0].norm == "of" || rest[0].blank) {
		rest = rest[1:]
	}
	if len(rest) < 2 || strings.TrimSuffix(identPrefixes[rest[0].norm], "s") != "tank" || !d.numbersThing(rest[:2]) || d.saysState(toks) || slices.ContainsFunc(toks, func(t token) bool { return d.spelt(t, lexicon.Result) }) {
		return titleFinding{}
	}
	return titleFinding{kind: record.TankTest, phrase: phraseOf(toks), whole: true}
}

// ratedTitle is a title that names what was tested with the rate and the way alone, below an empty
// line or a rule: TANKS (0.2 GPH STATIC), LINES - 0.1 GPH.
func (d *doc) ratedTitle(l line) titleFinding {
	const most = 7 // tokens
	toks := l.toks
	at := toks[0].line
	if len(toks) < 3 || len(toks) > most || !l.gap && (at == 0 || at >= len(d.lines) || !d.lines[at-1].rule) {
		return titleFinding{}
	}
	code, cost, n := d.code(lexicon.Device, toks)
	if n != 1 || cost > 0 || code != "tank" && code != "line" || !strings.HasSuffix(toks[0].norm, "s") && toks[0].norm != "piping" {
		return titleFinding{}
	}
	rate := false
	for i := 1; i < len(toks); {
		if toks[i].blank {
			i++
			continue
		}
		if toks[i].number {
			r, ok := d.readClass(record.TankTest, toks[i:], "")
			if !ok || rate || r.unitFrom != unitBeside {
				return titleFinding{}
			}
			rate = true
			i += r.used
			continue
		}
		_, cost, used := d.code(lexicon.Method, toks[i:])
		if used == 0 || cost > 0 {
			return titleFinding{}
		}
		i += used
	}
	if !rate {
		return titleFinding{}
	}
	return titleFinding{kind: map[string]record.Kind{"tank": record.TankTest, "line": record.LineTest}[code], phrase: phraseOf(toks), whole: true, topics: 1}
}

// rateInTitle is the rate in a title that names what was tested and no test.
func (d *doc) rateInTitle(k record.Kind, l line) (reading, bool) {
	if k != record.TankTest && k != record.LineTest || d.ratedTitle(l).kind != k {
		return reading{}, false
	}
	for i, t := range l.toks {
		if t.number {
			return d.readClass(k, l.toks[i:], "")
		}
	}
	return reading{}, false
}

// apartTitle is topicTitle for lines that are set apart: wide or inverse print,
// or with a rule right above or below.
func (d *doc) apartTitle(i int) titleFinding {
	l := d.lines[i]
	ruled := i > 0 && d.lines[i-1].rule || i+1 < len(d.lines) && d.lines[i+1].rule
	if !l.wide && !l.far && !ruled {
		return titleFinding{}
	}
	if l.wide || l.far {
		l.toks = slices.Clone(l.toks)
		for k := range l.toks {
			l.toks[k].delim = 0 // LINE TESTS: PASSES
		}
	}
	t := d.topicTitle(l)
	if l.wide || l.far || t.topics > 1 {
		return t
	}
	return titleFinding{}
}

// listWord reports whether a word at the end of a title says that several things follow, and is no
// state or verdict.
func listWord(t token) bool {
	switch t.norm {
	case "tests", "alarms", "warnings", "events", "faults", "deliveries", "drops", "readings", "levels", "limits", "settings", "sensors", "results", "volumes", "stocks", "history", "summary":
		return true
	}
	return false
}
