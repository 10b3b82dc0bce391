package parse

import (
	"slices"

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
		if t.delim != 0 && i < len(toks)-1 {
			return titleFinding{}
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
