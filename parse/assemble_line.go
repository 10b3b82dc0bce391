package parse

import (
	"tankroll/record"
)

// wholeAlarm reports whether a line says all of an alarm: it begins a record.
func wholeAlarm(facts []fact) bool {
	return hasField(facts, "at") && hasField(facts, "event") && (hasField(facts, "device") || hasField(facts, "state"))
}

// nameFirst puts the name before what stands on its line before it: a line
// belongs to one record. What several records may share stays before the name of
// the first of them, but for alarms, which share nothing.
func nameFirst(facts []fact, own string, k record.Kind) {
	at, firm := -1, k == record.Alarm || k == record.SensorStatus || k == record.LineSummary
	for i, f := range facts {
		if f.field == own {
			at = i
			break
		}
		firm = firm || !shareable[f.field] && f.field != "product"
	}
	if at <= 0 || !firm || abreast(facts) {
		return
	}
	name := facts[at]
	copy(facts[1:at+1], facts[:at])
	facts[0] = name
}

// namesFirst puts the name before the product on lines that say no more than those:
// REGULAR (TANK 1).
func namesFirst(r reads) {
	for _, e := range r.entries {
		if f := e.facts; len(f) == 2 && f[0].field == "product" && f[1].field == ownName(r.kind) {
			f[0], f[1] = f[1], f[0]
		}
	}
}

// wholeTests counts the lines of a list of tests that say when each ended and
// how, without a name of their own.
func wholeTests(r reads) int {
	n := 0
	if r.kind == record.TankTest || r.kind == record.LineTest {
		for _, e := range r.entries {
			if !e.row && !e.head && wholeTest(e.facts) && !hasField(e.facts, ownName(r.kind)) {
				n++
			}
		}
	}
	return n
}

// wholeTest reports whether a line says when a test was and how it ended.
func wholeTest(facts []fact) bool {
	return hasField(facts, "result") && (hasField(facts, fieldMoment) || hasField(facts, "ended_at"))
}
