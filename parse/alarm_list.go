package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
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
			if hasField(e.facts, "device") && hasField(e.facts, "state") {
				speak++ // what the alarm says stands on a line of its own
			}
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

// countsAlarms reports whether a line among alarms says how many there are, and holds no word
// but those for a sum, for alarms and for how they stand: TOTAL ACTIVE: 3, ACTIVE 2  CLEARED 1.
func (d *doc) countsAlarms(toks []token) bool {
	const many = 3 // words of one count
	counts, words := 0, 0
	sum, of := false, false
	for i, t := range toks {
		_, state, isState := d.whole(lexicon.AlarmState, toks[i:i+1])
		switch total := d.isTotal(t) || t.norm == "count" || t.norm == "number" || t.norm == "no"; {
		case t.blank:
		case plainDigits(t.text, 1, 3) && !t.ordinal && !t.paren:
			counts++
			sum = sum || i > 0 && toks[i-1].delim != 0
		case total || isState && state == 0 || d.countedNoun(t) || t.norm == "alarm" || t.norm == "event":
			words++
			sum, of = sum || total, of || !total
		case !d.littleWord(t) && t.norm != "now":
			return false
		default:
			words++
		}
	}
	return of && counts > 0 && (toks[0].number || toks[len(toks)-1].number) && words >= counts && (sum || counts > 1 || words >= many)
}

// namedAbove puts what an alarm says, where it has the line below its equipment to itself and the
// time or state of it stands right below both, with the equipment. What the equipment holds is
// no alarm:
//
//	TANK 2 (SUPER UNLEADED)
//	HIGH WATER
//	RAISED 27-05-2018 15:36
func (d *doc) namedAbove(r *reads) {
	if r.kind != record.Alarm {
		return
	}
	for i := 0; i+2 < len(r.entries); i++ {
		head, said, when := &r.entries[i], &r.entries[i+1], r.entries[i+2]
		if head.row || head.head || said.row || said.head || when.row || !namesEquipment(head.facts) || timed(head.facts) || hasField(head.facts, "state") ||
			hasField(said.facts, "device") || timed(said.facts) || !hasField(said.facts, "event") || !timed(when.facts) || hasField(when.facts, "event") || hasField(when.facts, "device") {
			continue
		}
		rows := lineOf(said.facts)
		if lineOf(head.facts)+1 != rows || rows+1 != lineOf(when.facts) {
			continue
		}
		if at := slices.IndexFunc(head.facts, func(f fact) bool { return f.field == "event" }); at >= 0 {
			if f := &head.facts[at]; !d.endsInGrade(f.read.toks) && !d.beginsInGrade(f.read.toks) {
				continue
			} else {
				f.field = ""
			}
		}
		if hasField(when.facts, "state") {
			said.facts = withoutEnding(said.facts, "event")
		}
		head.facts = append(head.facts, said.facts...)
		r.entries = slices.Delete(r.entries, i+1, i+2)
	}
}

// namesEquipment reports whether facts name equipment with its number, or the console.
func namesEquipment(facts []fact) bool {
	return hasField(facts, "device_number") || slices.ContainsFunc(facts, func(f fact) bool { return f.field == "device" && f.read.value == "system" })
}

// lineOf is the line of the first fact, -1 for none.
func lineOf(facts []fact) int {
	if len(facts) == 0 || len(facts[0].read.toks) == 0 {
		return -1
	}
	return facts[0].read.toks[0].line
}
