package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// scanner reads a run of tokens from left to right for one kind of record:
//
//	run     = { pair | thing | verdict | class | moment | product | word }
//	pair    = label [ ":" | "=" | leaders | gap | filler ] value [ unit ]
//	thing   = ( "tank" | "line" | "sensor" ) [ "no" ] number [ product ]
//	verdict = a result word, alone
//	class   = rate [ unit ] "test"  |  "test" rate [ unit ]
//	product = a phrase that names a grade
//
// Every way to cut the run is weighed; the best one stands. The ways are in the
// files scan_*.go: a pair may also stand the other way round, as in 25 % FULL
// (scan_behind.go), or lack its label (scan_loose.go).
type scanner struct {
	d      *doc
	kind   record.Kind
	has    hasFields
	toks   []token
	best   []step
	room   []fact // for those of the best steps
	side   string // the start or end that labels behind its time go with: START 12:30 VOLUME 13
	answer int    // where a yes or a no stands in the run, -1 for nowhere
	stroke bool   // a stroke stands in the run, of a summary
	lead   string // the parts of a label at the beginning that its own labels follow: VOLUME START 12 END 13
}

// step is the best way to read the tokens from one on.
type step struct {
	worth float64
	used  int
	facts []fact
}

// scan reads tokens as pairs and lone values. The worth is what it explains
// less what it leaves over. The facts are remembered: the caller must not change
// them.
func (d *doc) scan(k record.Kind, toks []token) ([]fact, float64) {
	if len(toks) == 0 {
		return nil, 0
	}
	key, ok := run(toks)
	m := d.memory(key.at)
	if ok && m != nil {
		for a := m.scans; a != nil; a = a.before {
			if a.is.key == key && a.is.kind == k && a.is.qualifier == d.qualifier {
				return a.is.facts, a.is.worth
			}
		}
	}
	facts, worth := d.scanAnew(k, toks)
	if ok && m != nil {
		d.kept.scans.keep(&m.scans, scanAnswer{key, k, d.qualifier, facts, worth})
	}
	return facts, worth
}

// scanAnew is scan without a memory.
func (d *doc) scanAnew(k record.Kind, toks []token) ([]fact, float64) {
	s := d.scanner
	if s == nil {
		s = &scanner{}
	}
	d.scanner = nil // until it is done: one scan may ask for another
	*s = scanner{d: d, kind: k, has: fieldsOf[k], toks: toks, best: d.takeSteps(len(toks) + 1), room: d.factRoom[:0]}
	d.factRoom = nil
	s.stroke = k == record.LineSummary && slices.ContainsFunc(toks, func(t token) bool { return strings.Contains(t.text, "/") })
	s.lead = d.leadLabel(toks)
	s.answer = s.answerAt()
	s.side = d.sideLabel(toks)
	for i := len(toks) - 1; i >= 0; i-- {
		s.best[i] = s.at(i)
	}
	out := s.facts()
	sideAmounts(k, out, d.qualifier)
	out = clocksBeside(out)
	worth := s.best[0].worth
	d.steps, d.factRoom, d.scanner = s.best, s.room, s
	return out, worth
}

// takeSteps gives so many empty steps. Those of the last scan are used again, once that
// is over.
func (d *doc) takeSteps(n int) []step {
	steps := slices.Grow(d.steps[:0], n)[:n]
	d.steps = nil
	clear(steps)
	return steps
}

// facts are those of the best way through the run, in a slice without room for more.
func (s *scanner) facts() []fact {
	n := 0
	for i := 0; i < len(s.toks); i += s.best[i].used {
		n += len(s.best[i].facts)
	}
	if n == 0 {
		return nil
	}
	out := make([]fact, 0, n)
	for i := 0; i < len(s.toks); i += s.best[i].used {
		out = append(out, s.best[i].facts...)
	}
	return out
}

// at finds the best way to go on from token i.
func (s *scanner) at(i int) step {
	try := &ways{s: s, from: i, best: step{worth: s.best[i+1].worth - s.leftOver(i), used: 1}}
	s.pairs(i, try)
	s.sides(i, try)
	s.rated(i, try)
	s.things(i, try)
	s.verdicts(i, try)
	s.answered(i, try)
	s.classes(i, try)
	s.moments(i, try)
	s.products(i, try)
	s.amountsOf(i, try)
	s.wholes(i, try)
	s.arrows(i, try)
	s.bareNames(i, try)
	s.markedNames(i, try)
	s.led(i, try)
	s.both(i, try)
	s.flows(i, try)
	s.behind(i, try)
	s.countedTests(i, try)
	s.valueFirst(i, try)
	s.loose(i, try)
	s.quantities(i, try)
	s.signs(i, try)
	s.methods(i, try)
	s.strokes(i, try)
	s.remarks(i, try)
	return try.best
}

// leftOver is the cost of a token that has no place.
func (s *scanner) leftOver(i int) float64 {
	t := s.toks[i]
	switch {
	case t.blank, t.ordinal:
		return fillerCost
	case t.number:
		return numberCost
	}
	for _, h := range s.d.find(s.toks[i : i+1]) {
		switch h.Sense {
		case lexicon.Filler:
			return fillerCost
		case lexicon.Part:
			return labelCost
		}
	}
	return unknownCost
}

// ways are those to go on from a token, of which the best is kept.
type ways struct {
	s    *scanner
	from int
	best step

	field   string  // that is completed by a label above, "" for none
	above   []token // that label
	offered bool    // a way was offered
}

// with offers one way to go on: how many tokens it takes, what they are worth
// and the facts in them, which are copied if it is the best so far.
func (w *ways) with(used int, worth float64, facts ...fact) {
	w.offered = true
	worth += w.s.best[w.from+used].worth
	if used <= 0 || worth <= w.best.worth {
		return
	}
	w.best = step{worth: worth, used: used}
	if len(facts) > 0 {
		n := len(w.s.room)
		w.s.room = append(w.s.room, facts...)
		w.best.facts = w.s.room[n:len(w.s.room):len(w.s.room)]
		for k := range w.best.facts {
			if f := &w.best.facts[k]; w.field != "" && f.field == w.field {
				f.above = w.above
			}
		}
	}
}

// remarks passes over labelled remarks: they may hold any words.
func (s *scanner) remarks(i int, try *ways) {
	_, cost, n := s.d.code(lexicon.Skip, s.toks[i:])
	if n == 0 || cost > 0 || i+n >= len(s.toks) || s.toks[i+n-1].delim == 0 && !starts(s.toks, i+n) {
		return
	}
	end := cellEnd(s.toks, i+n)
	for j := i + n; j < end; j++ { // CHECKED BY ____ 03/14/2025
		if r, ok := s.d.readTime(s.toks[j:], false); ok && r.hasDate() && r.hasClock() {
			end = j
		}
	}
	try.with(end-i, float64(end-i)*textWorth)
}

// moments tries dates and times without a label.
func (s *scanner) moments(i int, try *ways) {
	t := s.toks[i]
	if len(t.text) == 0 || t.blank {
		return
	}
	if s.kind == record.Reconciliation {
		if r, ok := s.d.readPeriod(s.toks[i:]); ok && r.hasDate() && r.until.hasDate() {
			worth := float64(r.used)*freeWorth + 0.1
			if i == 0 && r.used == len(s.toks) && len(r.toks)+len(r.until.toks) < r.used && s.d.headsSection(s.toks[0].line) {
				worth = float64(r.used)*wordWorth + factWorth // FEB 1 TO FEB 28
			}
			try.with(r.used, worth, fact{field: fieldPeriod, read: r, weak: true})
		}
	}
	r, ok := s.d.readTime(s.toks[i:], false)
	if !ok || r.hasDate() && !r.hasYear() && !r.hasClock() {
		return
	}
	field := fieldMoment
	if i > 0 && saysDue(s.toks[:i]) {
		field = "" // NEXT TEST DUE 12/01/88
	}
	try.with(r.used, float64(r.used)*freeWorth-0.1, fact{field: field, read: r, weak: true})
}

// clocksBeside puts a time of day without a label with the labelled date right before it on
// the line, however far apart the two stand.
func clocksBeside(facts []fact) []fact {
	for i := 1; i < len(facts); i++ {
		a, b := facts[i-1], facts[i]
		if b.field != fieldMoment || b.read.hasDate() || !a.read.hasTime() || !a.printed || a.field == fieldMoment || len(a.read.toks) == 0 || len(b.read.toks) == 0 {
			continue
		}
		if last := a.read.toks[len(a.read.toks)-1]; last.at+1 != b.read.toks[0].at || last.line != b.read.toks[0].line {
			continue
		}
		if m, ok := joinMoments(a.read, b.read); ok {
			facts[i-1].read = m
			return append(facts[:i:i], facts[i+1:]...)
		}
	}
	return facts
}

// headsSection reports whether a line stands right below a title, a rule or the slip's edge.
func (d *doc) headsSection(line int) bool {
	if line <= 0 || line >= len(d.lines) {
		return line == 0
	}
	above := d.lines[line-1]
	return above.rule || len(above.toks) == 0 || d.title(above).kind != ""
}
