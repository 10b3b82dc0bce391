package parse

import (
	"slices"

	"tankroll/record"
)

// alarmFields are what the alarms of a list say, all of them or none.
var alarmFields = []string{"at", "event", "state", "device"}

const unevenWhy = "the alarms of this list do not all say the same things; a time or a name may belong to another"

// unevenAlarms doubts the alarms of a list that do not all say the same things. One that
// lacks a time or a name may have lost it to its neighbour, or never was an alarm; what
// stands alone on its line, in any of them, may then belong to the alarm above or below
// it. What shares its line with the name stays where it is. A state that is lacking may
// stand at the end of what the alarm says.
func unevenAlarms(drafts []*draft) {
	var list []*draft
	for _, dr := range drafts {
		if dr.kind != record.Alarm {
			return
		}
		if len(dr.facts) == 1 && !dr.facts[0].read.hasDate() {
			continue // when the one above was cleared
		}
		list = append(list, dr)
	}
	for len(list) > 0 && bareAlarm(list[len(list)-1]) && !ownState(list[len(list)-1]) {
		list = list[:len(list)-1] // words below the last
	}
	for _, field := range alarmFields {
		lacks := func(dr *draft) bool { return !dr.saysItself(field) }
		if len(list) == 0 || !slices.ContainsFunc(list, lacks) || !slices.ContainsFunc(list, func(dr *draft) bool { return !lacks(dr) }) {
			continue
		}
		for i, dr := range list {
			beside := i > 0 && lacks(list[i-1]) || i+1 < len(list) && lacks(list[i+1])
			unevenAlarm(dr, field, lacks(dr), beside)
			if field != "state" && (lacks(list[0]) || lacks(list[len(list)-1])) {
				dr.apartFromName()
			}
		}
	}
}

// unevenAlarm doubts one alarm of a list of which some lack a field: it itself or the one
// beside it may.
func unevenAlarm(dr *draft, field string, lacks, beside bool) {
	if field != "state" && (lacks || beside && !dr.oneLine()) && dr.doubt == "" {
		dr.doubt = unevenWhy
	}
	for i := range dr.facts {
		f := &dr.facts[i]
		switch {
		case f.danger != "" || len(f.read.toks) == 0:
		case lacks && field == "state" && f.field == "event":
			f.danger = "its alarm has no state as others have; it may end with one"
		case (f.field == field || field != "state") && dr.aloneOnLine(i):
			f.danger = unevenWhy
		}
	}
}

// oneLine reports whether all that a draft says itself stands on one line.
func (dr *draft) oneLine() bool {
	row := -1
	for _, f := range dr.facts {
		if f.inherited || f.field == "" || len(f.read.toks) == 0 {
			continue
		}
		if at := f.read.toks[0].line; row >= 0 && at != row {
			return false
		} else {
			row = at
		}
	}
	return true
}

// aloneOnLine reports whether no other fact of the draft stands on the line of fact i.
func (dr *draft) aloneOnLine(i int) bool {
	row := dr.facts[i].read.toks[0].line
	for k, f := range dr.facts {
		if k != i && !f.inherited && f.field != "" && slices.ContainsFunc(f.read.toks, func(t token) bool { return t.line == row }) {
			return false
		}
	}
	return true
}

// bareAlarm reports whether an alarm has no time and names no equipment of its own.
func bareAlarm(dr *draft) bool {
	return !slices.ContainsFunc(dr.facts, func(f fact) bool {
		return !f.inherited && (f.field == "at" || f.field == fieldMoment || f.field == "device")
	})
}

// ownState reports whether an alarm has a state that does not stand above it.
func ownState(dr *draft) bool {
	return slices.ContainsFunc(dr.facts, func(f fact) bool { return f.field == "state" && !f.inherited })
}

// apartFromName doubts what an alarm says on other lines than that which names its
// equipment: the first or the last of the list lacks something, so all may be shifted.
func (dr *draft) apartFromName() {
	row := -1
	for _, f := range dr.facts {
		if f.field == "device" && !f.inherited && len(f.read.toks) > 0 {
			row = f.read.toks[0].line
		}
	}
	for i := range dr.facts {
		if f := &dr.facts[i]; row >= 0 && !f.inherited && len(f.read.toks) > 0 && f.read.toks[0].line != row && f.danger == "" {
			f.danger = unevenWhy
		}
	}
}

// saysItself reports whether an alarm has a field; a time must be its own, a state or name
// may stand above several.
func (dr *draft) saysItself(field string) bool {
	return slices.ContainsFunc(dr.facts, func(f fact) bool {
		return f.field == field && !(field == "at" && f.inherited) || field == "at" && f.field == fieldMoment
	})
}
