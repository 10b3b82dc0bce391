package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// alarmCells takes equipment and state out of what alarms say, where a column or label holds
// all of it in one:
//
//	WHEN             WHAT
//	03/14/25 12:30   TANK 2 LOW LEVEL RAISED
func (d *doc) alarmCells(r reads) {
	if r.kind != record.Alarm {
		return
	}
	for i := range r.entries {
		e := &r.entries[i]
		system := slices.ContainsFunc(e.facts, func(f fact) bool { return f.field == "device" && f.read.value == "system" })
		for n := range e.facts {
			if system && e.row && e.facts[n].field == "device_number" {
				e.facts[n].field = "" // the system has none: it counts the rows
			}
		}
		at := slices.IndexFunc(e.facts, func(f fact) bool { return f.field == "event" })
		if at < 0 || !e.facts[at].printed || hasField(e.facts, "device") || hasField(e.facts, "device_number") {
			continue
		}
		toks := e.facts[at].read.toks
		l := &listLine{d: d, toks: toks, taken: make([]bool, len(toks))}
		l.device()
		if !slices.Contains(l.taken, false) || !slices.Contains(l.taken, true) || !l.taken[0] && !l.taken[len(toks)-1] {
			continue
		}
		if !hasField(e.facts, "state") {
			l.state(lexicon.AlarmState, "state")
		}
		var rest []token
		for n, t := range toks {
			if !l.taken[n] {
				rest = append(rest, t)
			}
		}
		if len(rest) == 0 || rest[len(rest)-1].at-rest[0].at != len(rest)-1 {
			continue
		}
		f := e.facts[at]
		f.read.toks, f.read.used, f.read.value = rest, len(rest), textOf(rest)
		e.facts = slices.Concat(e.facts[:at], l.facts, []fact{f}, e.facts[at+1:])
	}
}

// endsAlike takes the last word of what an alarm says for its state where others of the list
// end with the other state, and none has one elsewhere: LOW LEVEL ON, LOW LEVEL OFF. Where
// others have a cell for it, the word is its own that stands in their column.
func (d *doc) endsAlike(r reads) {
	if r.kind != record.Alarm {
		return
	}
	others, apart := false, []token(nil)
	for _, e := range r.entries {
		for _, f := range e.facts {
			if f.field == "state" && !f.ending && !e.row && len(f.read.toks) == 1 && !e.head {
				apart = append(apart, f.read.toks[0])
			}
			others = others || f.field == "state" && (f.read.value != "raised" && f.ending)
		}
	}
	const least = 2 // states that make a column
	for i := range r.entries {
		e := &r.entries[i]
		switch at := slices.IndexFunc(e.facts, func(f fact) bool { return f.field == "event" }); {
		case at < 0 || hasField(e.facts, "state") || len(e.facts[at].read.toks) < 2:
		case len(apart) == 0 && others && hasField(e.facts, "at"):
			d.lastIsState(e, at, "raised")
		case len(apart) >= least && inOneColumn(apart, lastOf(e.facts[at].read.toks)):
			d.lastIsState(e, at, "")
		}
	}
}

// lastOf is the last of some tokens.
func lastOf(toks []token) token { return toks[len(toks)-1] }

// inOneColumn reports whether a token ends where each of the others does, or begins where each
// of them does.
func inOneColumn(others []token, t token) bool {
	ends, begins := true, true
	for _, o := range others {
		ends = ends && math.Abs(o.end-t.end) <= stateSlack
		begins = begins && math.Abs(o.col-t.col) <= stateSlack
	}
	return ends || begins
}

// lastIsState takes the last word of what an alarm says, which is a fact of its entry, for its
// state, where it is the wanted one, "" for any.
func (d *doc) lastIsState(e *entry, at int, want string) {
	f := &e.facts[at]
	last := len(f.read.toks) - 1
	code, cost, ok := d.whole(lexicon.AlarmState, f.read.toks[last:])
	if !ok || cost > 0 || want != "" && code != want || f.read.toks[last].at != f.read.toks[last-1].at+1 {
		return
	}
	state := fact{field: "state", read: reading{used: 1, toks: f.read.toks[last:], value: code}, ending: true}
	f.read.toks = f.read.toks[:last:last]
	f.read.used, f.read.value = last, textOf(f.read.toks)
	e.facts = append(e.facts[:len(e.facts):len(e.facts)], state)
}

// stateByTime gives the last word of what an alarm says, which was taken for its state, back to
// it where the line above has a time and the state beside it:
//
//	03/13/25 10:47   CLEARED
//	  SYSTEM  PAPER OUT
func stateByTime(r reads) {
	if r.kind != record.Alarm {
		return
	}
	pairs := 0
	for _, back := range []bool{false, true} {
		for i := 1; i < len(r.entries); i++ {
			above, e := r.entries[i-1], &r.entries[i]
			stated := slices.ContainsFunc(above.facts, func(f fact) bool { return f.field == "state" && !f.ending })
			if !stated || hasField(above.facts, "event") || !timed(above.facts) || timed(e.facts) || !hasField(e.facts, "event") {
				continue
			}
			if pairs++; back {
				e.facts = withoutEnding(e.facts, "event")
			}
		}
		if pairs < 2 {
			return
		}
	}
}

// timed reports whether a time is among facts.
func timed(facts []fact) bool { return hasField(facts, "at") || hasField(facts, fieldMoment) }

// soleAlarm gives the one alarm of a section the date and time that stand with labels among
// what is said of it, where it has no other.
func soleAlarm(r *reads) {
	if r.kind != record.Alarm {
		return
	}
	events := 0
	var when []fact
	for _, e := range r.entries {
		for _, f := range e.facts {
			switch {
			case f.field == "event":
				events++
			case f.field == "at" || f.field == fieldMoment && f.read.hasClock() || e.row:
				return
			case f.field == "header.printed_at" && len(f.label) > 0 && f.read.hasTime():
				when = append(when, f)
			}
		}
	}
	if events != 1 || len(when) == 0 {
		return
	}
	f := when[0]
	if len(when) == 2 {
		f.read, _ = joinMoments(f.read, when[1].read)
	}
	if !f.read.hasDate() || !f.read.hasClock() || len(when) > 2 {
		return
	}
	f.field, f.guess = "at", "the slip shows no other time; it may be that of printing"
	for i := range r.entries {
		if e := &r.entries[i]; hasField(e.facts, "event") {
			e.facts = append(e.facts, f)
		}
	}
}

// raisedLabels gives alarms whose time has the label RAISED that state, in lists that say
// no state elsewhere than right beside a time: RAISED: 03/14/25 12:30.
func (d *doc) raisedLabels(r reads) {
	if r.kind != record.Alarm {
		return
	}
	for _, e := range r.entries {
		if hasField(e.facts, "state") && !stateSince(e) {
			return
		}
	}
	for i := range r.entries {
		e := &r.entries[i]
		for _, f := range e.facts {
			if f.field != "at" || len(f.label) == 0 || e.row || hasField(e.facts, "state") {
				continue
			}
			if st, ok := d.stateAlone(lexicon.AlarmState, "state", f.label); ok && st.read.value == "raised" {
				e.facts = append(e.facts, st)
			}
		}
	}
}

// riseAndFall gives the lines that say when an alarm was raised and when it was cleared what
// stands above both, which makes an alarm of each:
//
//	TANK 2 LOW LEVEL
//	 RAISED  03/14/25 12:30
//	 CLEARED 03/14/25 13:05
func (d *doc) riseAndFall(r *reads) {
	if r.kind != record.Alarm {
		return
	}
	if first := slices.IndexFunc(r.entries, speaks); first < 0 || stateSince(r.entries[first]) {
		return // the state and its time stand above what they are of
	}
	single := 0 // alarms that say one state
	var merged []int
	for i := 0; i < len(r.entries); i++ {
		head := r.entries[i].facts
		if r.entries[i].row || !hasField(head, "event") || !hasField(head, "device") || hasField(head, "state") || hasField(head, "at") || hasField(head, fieldMoment) {
			continue
		}
		j := i + 1
		states := map[any]bool{}
		for j < len(r.entries) && stateSince(r.entries[j]) {
			at := slices.IndexFunc(r.entries[j].facts, func(f fact) bool { return f.field == "state" })
			if s := r.entries[j].facts[at].read.value; states[s] {
				j = i // the second of one state: a name between them may be missed
				break
			} else {
				states[s] = true
			}
			j++
		}
		if j == i+2 {
			single++
		}
		if j < i+3 || !d.laterOnes(r.entries[i+1:j]) {
			continue
		}
		merged = append(merged, i)
		for n := i + 1; n < j; n++ {
			r.entries[n].facts = slices.Concat(head, r.entries[n].facts)
		}
		r.entries = slices.Delete(r.entries, i, i+1)
		i = j - 2
	}
	if single < 2 || len(merged) != 1 {
		return
	}
	for n := merged[0]; n < len(r.entries) && n < merged[0]+2; n++ {
		for f := range r.entries[n].facts {
			r.entries[n].facts[f].guess = unevenWhy // the name of the second may have been missed
		}
	}
}

// laterOnes reports whether none of the entries is earlier than the one before it.
func (d *doc) laterOnes(entries []entry) bool {
	before := ""
	for _, e := range entries {
		for _, f := range e.facts {
			if !f.read.hasTime() {
				continue
			}
			t, ok := d.timeText(f.read.moment())
			if !ok || t < before {
				return false
			}
			before = t
		}
	}
	return true
}

// stateSince reports whether an entry is how an alarm stands and since when, and no more.
func stateSince(e entry) bool {
	return !e.row && !e.head && len(e.facts) == 2 && hasField(e.facts, "state") && (hasField(e.facts, "at") || hasField(e.facts, fieldMoment))
}

// statesAlarm reports whether one of the words says how an alarm stands and little else.
func statesAlarm(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool {
		switch t.norm {
		case "raised", "cleared", "acknowledged", "acked", "restored", "activated", "deactivated":
			return true
		}
		return false
	})
}

// leadsAlarm reports whether the first of some entries is an alarm without a time of its own.
func leadsAlarm(entries []entry) bool {
	return len(entries) > 0 && !entries[0].row && hasField(entries[0].facts, "event") && !timed(entries[0].facts)
}
