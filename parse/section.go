package parse

import (
	"math"
	"slices"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// section is a run of lines under one title.
type section struct {
	from, to int // lines, to is behind the last
	title    titleFinding
	card     []token // the heading over it and other sections that names their tank or line
	things   string  // "tank" or "line" where what it names says that it is of those alone
}

// sections reads the slip section by section. It returns the drafts of records
// and the lines that no structure took.
func (d *doc) sections() ([]*draft, []int) {
	var out []*draft
	var left []int
	parts := d.cards(d.split())
	for _, s := range parts {
		part := []section{s}
		if s.title.kind == "" && len(parts) > 1 {
			part = d.splitAt(s.from, s.to, d.ownWordsTitle())
		}
		for _, p := range part {
			for _, c := range d.cut(p) {
				drafts, rest := d.bestKind(c)
				d.onCard(s, drafts)
				out = append(out, drafts...)
				left = append(left, rest...)
			}
		}
	}
	return out, left
}

// split cuts the slip at its titles. What stands before the first title is a
// section without one.
func (d *doc) split() []section {
	d.namesBelowTitles()
	var kind record.Kind // of the title above
	var phrase string    // its words
	open := false        // which speaks of tests alone
	both := false        // which announces two kinds
	out := d.splitAt(0, len(d.lines), func(i int) titleFinding {
		if d.valueBelow(i) && !d.classBelow(i) || d.labelInBrackets(i) || d.headsTimes(i) || d.headsFigures(i) || d.withinHeading(i) {
			return titleFinding{} // a label above or below its value
		}
		if d.endsCellAbove(i) {
			return titleFinding{} // the rest of where a sensor sits
		}
		if d.endsPhraseAbove(i) {
			return titleFinding{} // WITHIN, below it LIMITS
		}
		t := d.title(d.lines[i])
		if t.kind == "" && both {
			if sub := d.topicTitle(d.lines[i]); sub.kind == record.Alarm || sub.kind == record.SensorStatus {
				t = sub // below SENSORS AND ALARMS
			}
		}
		if _, ok := d.bareAlarmWord(d.lines[i].toks); ok {
			return titleFinding{} // how the alarm above it stands
		}
		if t.open && d.underName(i) {
			return titleFinding{}
		}
		if _, cost, ok := d.whole(lexicon.Result, d.lines[i].toks); ok && cost == 0 && (kind == record.TankTest || kind == record.LineTest) {
			return titleFinding{} // LINE PASSED below a test
		}
		if t.kind != "" && (kind == record.LineSummary || open) && d.headsGroup(d.lines[i].toks) {
			return titleFinding{}
		}
		if t.kind != "" && t.kind == kind && !d.lines[i].gap && i > 0 && !d.lines[i-1].rule && (d.thingAlone(d.lines[i-1]) || t.phrase != phrase) && hasMoment(d, d.lines[i].toks) {
			return titleFinding{} // TANK 5 DIESEL, below it TANKER DELIVERY and its time
		}
		if t.kind != "" && t.kind == kind && d.underOwnName(i, kind) {
			return titleFinding{} // LINE 1 REGULAR, below it HOURLY TEST and the test: its record began above
		}
		if t.kind != "" && !d.lines[i].head && (kind != "" && d.holdsField(kind, i, true) || kind != t.kind && d.holdsField(t.kind, i, false)) {
			return titleFinding{}
		}
		if t.kind != "" && kind != "" && !d.lines[i].head {
			if _, ok := d.headOver(kind, d.lines, i); ok {
				return titleFinding{} // a label over those that it completes
			}
		}
		if t.kind != "" {
			kind, phrase, open, both = t.kind, t.phrase, t.open, both && t.also == "" || t.also != ""
		}
		return t
	})
	if len(out) == 1 && out[0].title.kind == "" {
		return d.splitAt(0, len(d.lines), d.ownWordsTitle())
	}
	return out
}

// ownWordsTitle finds the first line that speaks of a kind in words of its own, for
// lines that hold no other title.
func (d *doc) ownWordsTitle() func(i int) titleFinding {
	done := false   // the first line that speaks of a kind at all
	spoken := false // a line above names equipment or holds a value: no title stands below
	return func(i int) titleFinding {
		if done {
			return titleFinding{}
		}
		l := d.lines[i]
		t := titleFinding{}
		if rest := d.withoutMoments(l.toks); !spoken && len(rest) > 0 && (len(rest) == len(l.toks) || len(rest) > 1 && rest[0].at == l.toks[0].at) && fullStops(l.toks) <= 1 {
			t = d.topicTitle(l)
		}
		if t.kind == "" {
			t = d.looseTitle(l)
		}
		if t.kind != "" && (d.holdsField(t.kind, i, false) || (t.open || d.saysResult(l.toks)) && d.underName(i)) {
			t = titleFinding{}
		}
		done = t.kind != ""
		if i > 0 && !l.head && len(l.toks) > 0 {
			spoken = spoken || d.hasValue(d.withoutMoments(l.toks))
		}
		return t
	}
}

// underName reports whether the name of a thing stands right above a line: LINE 1 REGULAR, below it
// 3.0 GPH TEST.
func (d *doc) underName(i int) bool {
	return i > 0 && !d.lines[i].gap && d.numbersThing(d.lines[i-1].toks)
}

// underOwnName reports whether right above a line stands the name of a thing of a kind, and no more, without
// an empty line between them.
func (d *doc) underOwnName(i int, k record.Kind) bool {
	return d.underName(i) && d.beginsThing(d.lines[i-1].toks) == ownName(k) && d.thingAlone(d.lines[i-1])
}

// saysResult reports whether a word of a line says how a test ended.
func (d *doc) saysResult(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool { return d.spelt(t, lexicon.Result) })
}

// holdsField reports whether a line that looks like a title is a field of the kind that
// is being read: a label with its value behind it or
// on the next line, which may be free text where text says so.
func (d *doc) holdsField(k record.Kind, i int, text bool) bool {
	holds := func(f fact) bool {
		spec, _ := specOf(k, f.field)
		return len(f.label) > 0 && !isHeader(f.field) && f.field != ownName(k) && spec.Type != record.Label && f.read.class == ""
	}
	if s, ok := d.labelAbove(k, d.lines, i); ok && s.worth > 0 && (text || slices.ContainsFunc(s.entries[0].facts, holds)) {
		return true
	}
	toks := d.lines[i].toks
	facts, worth := d.scan(k, toks)
	return worth > 0 && d.complete(facts, toks) && slices.ContainsFunc(facts, holds)
}

// valueBelow reports whether the next line is no more than a number and its
// unit.
func (d *doc) valueBelow(i int) bool {
	if i+1 >= len(d.lines) {
		return false
	}
	toks := d.lines[i+1].toks
	if len(toks) == 0 || len(toks) > 2 || !toks[0].number {
		return false
	}
	return len(toks) == 1 || d.isUnit(toks[1])
}

// classBelow reports whether a line is a title of tests and the next one the rate that they were
// for, no value of it: TANK LEAK TEST, below it 0.2 GAL/HR.
func (d *doc) classBelow(i int) bool {
	k := d.title(d.lines[i])
	if !k.whole || k.kind != record.TankTest && k.kind != record.LineTest {
		return false
	}
	toks := d.lines[i+1].toks
	r, ok := d.readClass(k.kind, toks, "")
	return ok && r.class != "" && r.cost == 0 && len(toks) == 2 && r.used == 2
}

// endsPhraseAbove reports whether a line is the rest of a verdict or state that found no room in
// the line above.
func (d *doc) endsPhraseAbove(i int) bool {
	const most = 2 // words
	if i == 0 || d.lines[i].gap || len(d.lines[i].toks) == 0 || len(d.lines[i].toks) > most || len(d.lines[i-1].toks) < 2 {
		return false
	}
	above, toks := d.lines[i-1].toks, d.lines[i].toks
	for n := 1; n <= most && n < len(above); n++ {
		if above[len(above)-n].number {
			return false
		}
		both := slices.Concat(above[len(above)-n:], toks)
		for _, sense := range []lexicon.Sense{lexicon.Result, lexicon.SensorState, lexicon.AlarmState} {
			if _, cost, ok := d.whole(sense, both); ok && cost == 0 {
				return true
			}
		}
	}
	return false
}

// endsCellAbove reports whether a line is one cell, set in below a cell within a numbered row, and
// another row follows or the slip ends: the cell goes on there.
//
//	1  DIESEL TANK        NORMAL
//	   ANNULAR SPACE
//	2  UNLEADED TANK      WATER
func (d *doc) endsCellAbove(i int) bool {
	if i == 0 || d.lines[i].gap || d.lines[i].far || len(d.lines[i].toks) == 0 {
		return false
	}
	above, toks := d.lines[i-1].toks, d.lines[i].toks
	if len(above) < 3 || !plainDigits(above[0].text, 1, 3) || cellEnd(toks, 0) != len(toks) || toks[0].col < above[0].col+0.9 || hasFigures(toks[:1]) {
		return false
	}
	for j := 1; j < len(above); j++ {
		if math.Abs(above[j].col-toks[0].col) > rowSlack || cellEnd(above, j) == len(above) || j > 1 && !starts(above, j) {
			continue
		}
		if i+1 >= len(d.lines) || d.lines[i+1].rule || len(d.lines[i+1].toks) == 0 {
			return true
		}
		next := d.lines[i+1].toks[0]
		return plainDigits(next.text, 1, 3) && next.col < toks[0].col-0.9
	}
	return false
}

// labelInBrackets reports whether a line in brackets is set in below figures: it says what
// those are, and is no title.
func (d *doc) labelInBrackets(i int) bool {
	if i == 0 || len(d.lines[i].toks) == 0 || len(d.lines[i-1].toks) == 0 || d.lines[i].gap {
		return false
	}
	toks, above := d.lines[i].toks, d.lines[i-1].toks
	return toks[0].open && toks[len(toks)-1].shut && toks[0].col > above[0].col+0.9 && hasFigures(above)
}

// splitAt cuts lines at those that title finds.
func (d *doc) splitAt(from, to int, title func(i int) titleFinding) []section {
	var out []section
	cur := section{from: from}
	for i := from; i < to; i++ {
		t := title(i)
		if t.kind == "" || d.lines[i].head {
			continue
		}
		cur.to = i
		if cur.to > cur.from {
			out = append(out, cur)
		}
		cur = section{from: i, title: t}
	}
	cur.to = to
	if cur.to > cur.from {
		out = append(out, cur)
	}
	return out
}
