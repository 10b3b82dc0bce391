package parse

import (
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// alarmBlock reads what is set in below the name of equipment, or below what an alarm says,
// in lists of alarms:
//
//	block = thing newline { event moment newline { stage } }
//	      | [ thing ] event newline stage { newline stage }
//	      | label ":" value { newline label ":" value } newline stage { newline stage }
//	thing = device [ number ] [ "-" ] [ product | place ] [ ":" ]
//	stage = state [ ":" ] ( moment | "not yet" )
//
// Each time is an alarm of its own: raised, acknowledged and cleared.
func (d *doc) alarmBlock(k record.Kind, lines []line, i int) (structure, bool) {
	if k != record.Alarm || i+1 >= len(lines) || cellCount(lines[i].toks) > 3 || hasMoment(d, lines[i].toks) {
		return structure{}, false
	}
	b := &blockReader{d: d, lines: lines, at: i + 1, in: lines[i].toks[0].col + 0.9}
	said, saidWorth, n := d.labelledAlarm(lines[i:])
	if n > 0 {
		b.at, b.in = i+n, lines[i].toks[0].col-0.9
	}
	first, ok := b.next()
	if !ok || len(first.when) == 0 && !(first.stage && first.none) {
		return structure{}, false
	}
	head, event, worth, ok := said, []fact{}, saidWorth, first.stage
	if n == 0 {
		n = 1
		head, event, worth, ok = d.blockHead(lines[i].toks, first.stage)
	}
	if !ok {
		return structure{}, false
	}
	s := structure{worth: worth, lines: n}
	seen := map[any]bool{}
	last := ""
	for ; ok; first, ok = b.next() {
		if first.stage && event == nil || !first.stage && (len(first.when) == 0 || said != nil) {
			break
		}
		if !first.stage {
			event, last = first.event, ""
			clear(seen)
		}
		for _, f := range first.state {
			if seen[f.read.value] {
				ok = false // the second of one state: a name between them may be missed
			}
			seen[f.read.value] = true
		}
		if !ok {
			break
		}
		s.lines++
		s.worth += first.worth + blockWorth
		if first.none {
			continue
		}
		facts := slices.Concat(head, event, first.when, first.state)
		if t, ok := d.timeText(first.when[0].read.moment()); !ok || t < last {
			for n := range facts {
				facts[n].guess = "the times here are not in their order; a name between them may have been missed"
			}
		} else {
			last = t
		}
		s.entries = append(s.entries, entry{facts: facts, row: true})
	}
	if said != nil && (s.lines < n+2 || !d.endsBlock(lines, i+s.lines)) {
		return structure{}, false
	}
	return s, len(s.entries) > 0
}

// endsBlock reports whether nothing that may be of the block above stands on a line: it is
// apart from it, or begins with the labels of the next.
func (d *doc) endsBlock(lines []line, i int) bool {
	if i >= len(lines) || lines[i].rule || lines[i].gap || lines[i].head || len(lines[i].toks) == 0 {
		return true
	}
	_, _, n := d.labelledAlarm(lines[i:])
	return n > 0
}

// blockWorth speaks for a line below the head of its block, on the scale of fact.go.
const blockWorth = 1.0

// hasMoment reports whether a date or a time of day stands among tokens.
func hasMoment(d *doc, toks []token) bool {
	return len(d.withoutMoments(toks)) < len(toks)
}

// blockHead reads the line above a block: the equipment and, where states stand below, what
// the alarm says.
func (d *doc) blockHead(toks []token, stages bool) (head, event []fact, worth float64, ok bool) {
	l := &listLine{d: d, toks: toks, taken: make([]bool, len(toks))}
	l.device()
	named := len(l.facts) > 0 && l.first() != 0
	if len(l.facts) > 0 && !named || !named && (!stages || d.saysState(toks) || d.isHeading(toks)) {
		return nil, nil, 0, false
	}
	if stages {
		if !l.rest("event") {
			return nil, nil, 0, false
		}
		n := len(l.facts) - 1
		return l.facts[:n:n], l.facts[n:], l.worth, true
	}
	about := l.left() // what the equipment holds, or where it is
	l.worth += float64(len(about)) * textWorth
	if len(about) > 0 && d.endsInGrade(about) {
		l.facts = append(l.facts, fact{read: reading{used: len(about), toks: about}})
	}
	return l.facts, nil, l.worth, true
}

// labelledAlarm reads the lines of labels with their values that say of which equipment an
// alarm is and what it says, in whatever order. It returns how many there are, 0 for none.
func (d *doc) labelledAlarm(lines []line) (said []fact, worth float64, n int) {
	const most = 3 // equipment, its number, what the alarm says
	for n < len(lines) && n < most {
		l := lines[n]
		if l.rule || l.head || len(l.toks) < 2 || n > 0 && l.gap {
			break
		}
		facts, w := d.scan(record.Alarm, l.toks)
		if w <= 0 || len(facts) == 0 || !d.complete(facts, l.toks) || slices.ContainsFunc(facts, func(f fact) bool {
			return !f.printed || f.field != "event" && f.field != "device" && f.field != "device_number" || hasField(said, f.field)
		}) {
			break
		}
		said, worth, n = append(said, facts...), worth+w, n+1
	}
	if !hasField(said, "event") {
		return nil, 0, 0
	}
	return said, worth, n
}

// blockReader reads the lines below the head of a block.
type blockReader struct {
	d     *doc
	lines []line
	at    int
	in    float64 // where such lines begin at least
}

// blockLine is one line of a block.
type blockLine struct {
	stage bool // it says a state and its time, nothing else
	none  bool // that state has not come yet
	when  []fact
	state []fact
	event []fact
	worth float64
}

// next reads the next line, false where the block ends.
func (b *blockReader) next() (blockLine, bool) {
	d := b.d
	if b.at >= len(b.lines) {
		return blockLine{}, false
	}
	l := b.lines[b.at]
	if l.rule || l.gap || l.head || len(l.toks) < 2 || l.toks[0].col < b.in || l.toks[0].ordinal {
		return blockLine{}, false
	}
	b.at++
	if n := d.notYet(l.toks); n > 0 {
		if st, ok := d.stateAlone(lexicon.AlarmState, "state", l.toks[:n]); ok {
			return blockLine{stage: true, none: true, state: []fact{st}, worth: float64(len(l.toks)) * freeWorth}, true
		}
	}
	line := &listLine{d: d, toks: l.toks, taken: make([]bool, len(l.toks))}
	line.moments("at")
	if len(line.facts) != 1 || !line.facts[0].read.hasClock() || !line.facts[0].read.hasDate() {
		return blockLine{}, false
	}
	out := blockLine{when: line.facts[:1:1], worth: line.worth}
	rest := line.left()
	for len(rest) > 1 && timeWord(rest[len(rest)-1]) {
		out.when[0].label = append([]token{rest[len(rest)-1]}, out.when[0].label...)
		rest = rest[:len(rest)-1]
		line.worth += wordWorth
		out.worth += wordWorth
	}
	if len(rest) == 0 || rest[len(rest)-1].at-rest[0].at != len(rest)-1 {
		return blockLine{}, false
	}
	if st, ok := d.stateAlone(lexicon.AlarmState, "state", rest); ok {
		out.stage, out.state = true, []fact{st}
		out.worth += float64(len(rest))*freeWorth + 1
		return out, true
	}
	line.device()
	if len(line.facts) > 1 {
		return blockLine{}, false // it names equipment of its own
	}
	line.state(lexicon.AlarmState, "state")
	out.state = slices.Clone(line.facts[1:])
	n := len(line.facts)
	if !line.rest("event") {
		return blockLine{}, false
	}
	out.event, out.worth = line.facts[n:], line.worth
	return out, true
}

// timeWord reports whether a word only leads over to a time.
func timeWord(t token) bool {
	switch t.norm {
	case "since", "at", "on", "by", "from", "time", "date":
		return true
	}
	return false
}

// notYet reports behind how many tokens a line says that a time has not come: CLEARED : NOT
// YET. It is 0 when the line says no such thing.
func (d *doc) notYet(toks []token) int {
	for n := 1; n < len(toks) && n <= maxPhraseWords; n++ {
		rest := toks[n:]
		word := rest[0].norm
		if toks[n-1].delim == 0 && !starts(toks, n) && !noYet(rest) && !(len(rest) == 1 && word == "pending") {
			continue
		}
		if !slices.ContainsFunc(rest, func(t token) bool { return !t.blank }) || noYet(rest) || len(rest) == 1 && (noValue(rest[0]) || word == "no" || word == "pending" || word == "open") {
			return n
		}
	}
	return 0
}

// noYet reports whether words say NOT YET and no more: NOT YET CLEARED.
func noYet(toks []token) bool {
	return len(toks) > 1 && len(toks) <= 3 && (toks[0].norm == "not" || toks[0].norm == "none") && toks[1].norm == "yet"
}
