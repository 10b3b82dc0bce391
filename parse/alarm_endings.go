package parse

import "tankroll/record"

// statesApart gives the last words of what alarms say back to them, which were taken for states,
// where the list prints the state with the time on a line of its own for each:
//
//	10/24/24 18:14     ACTIVE
//	TANK 2: PROBE OUT
func statesApart(r reads) {
	if r.kind != record.Alarm {
		return
	}
	stated, saying := 0, 0
	for _, e := range r.entries {
		timed := hasField(e.facts, "at") || hasField(e.facts, fieldMoment)
		switch event := hasField(e.facts, "event") || hasField(e.facts, "device"); {
		case e.head || e.row || timed == event:
			if len(e.facts) > 0 {
				return
			}
		case event:
			saying++
		case ownStateOf(e.facts):
			stated++
		default:
			return
		}
	}
	if stated != saying {
		return
	}
	for i := range r.entries {
		e := &r.entries[i]
		e.facts = withoutEnding(e.facts, "event")
		if !hasField(e.facts, "device") || hasField(e.facts, "event") {
			continue
		}
		for k := range e.facts {
			if f := &e.facts[k]; f.field == "state" && len(f.read.toks) > 1 {
				f.field, f.read.value = "event", textOf(f.read.toks) // (T2) SENSOR OUT
			}
		}
	}
}

// ownStateOf reports whether a state among facts is not the last words of a text.
func ownStateOf(facts []fact) bool {
	for _, f := range facts {
		if f.field == "state" && !f.ending {
			return true
		}
	}
	return false
}
