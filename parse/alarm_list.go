package parse

import (
	"slices"

	"tankroll/parse/lexicon"
)

// speaksOfAlarms reports whether most entries of a list name equipment, a state or
// what goes wrong with equipment: dated lines of any other words are no alarms.
func (d *doc) speaksOfAlarms(r reads) bool {
	if !slices.ContainsFunc(r.entries, func(e entry) bool { return hasField(e.facts, "at") || hasField(e.facts, fieldMoment) }) {
		return false // alarms have times
	}
	alarms, speak := 0, 0
	for _, e := range r.entries {
		if !hasField(e.facts, "event") {
			continue
		}
		alarms++
		if hasField(e.facts, "device") || hasField(e.facts, "state") || hasField(e.facts, "tank") {
			speak++
			continue
		}
		for _, f := range e.facts {
			if f.field == "event" && d.equipmentWord(f.read.toks) {
				speak++
				break
			}
		}
	}
	return speak*2 >= alarms
}

// equipmentWord reports whether one of the words names equipment or its state.
func (d *doc) equipmentWord(toks []token) bool {
	for i := range toks {
		for _, h := range d.find(toks[i : i+1]) {
			if h.Cost == 0 && (h.Sense == lexicon.Device || h.Sense == lexicon.SensorState || h.Sense == lexicon.Part && (h.Code == "leak" || h.Code == "event")) {
				return true
			}
		}
	}
	return false
}
