package query

import (
	"slices"
	"sort"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// settleKind decides what kind of record is asked for when no title was named.
func (p *parser) settleKind() {
	q := &p.q
	if q.Order == "" {
		q.Order = Latest
	}
	tank, line, sensor := p.mentioned["tank"], p.mentioned["line"], p.mentioned["sensor"]
	if q.Kind == record.Alarm {
		if q.Device == "" && q.Tank == "" && q.Line == "" && q.Sensor == "" {
			for _, dev := range []string{"tank", "line", "sensor"} {
				if p.mentioned[dev] {
					q.Device = dev
				}
			}
		}
		return
	}
	if q.Kind != "" {
		return
	}
	if q.Method != "" {
		q.Kind = record.TankTest
		return
	}
	about := p.test || q.TestClass != "" || q.Result != ""
	switch {
	case about && tank && !line:
		q.Kind = record.TankTest
	case about && line && !tank:
		q.Kind = record.LineTest
	case about && sensor && !p.test:
		q.Kind = record.SensorStatus
	case about && q.TestClass == "3.0":
		q.Kind = record.LineTest
		p.assume("a 3.0 gal/h test is taken to be a line test")
	case about && q.TestClass != "":
		q.Kind = record.TankTest
		p.assume("a " + q.TestClass + " test is taken to be a tank test; ask for a line test to see those")
	case p.test:
		q.AnyTest = true
	case (sensor || q.Place != "" || q.State != "" && q.State != "raised") && !tank && !line:
		q.Kind = record.SensorStatus
	}
}

// settleWords finds a use for the words that no rule took, and returns those
// that have none.
func (p *parser) settleWords() []int {
	all := append(slices.Clone(p.pending), p.soft...)
	sort.Ints(all)
	var unknown []int
	if p.q.Anything() && len(p.pending) > 0 && !p.turned() {
		// Nothing but unknown words: look for them on the slips.
		for _, i := range p.pending {
			p.q.Words = append(p.q.Words, p.t[i].raw)
		}
		return p.pending
	}
	for _, i := range all {
		if !p.useWord(i) && !slices.Contains(p.soft, i) {
			unknown = append(unknown, i)
		}
	}
	rest := append(slices.Clone(unknown), p.lost...)
	sort.Ints(rest)
	for _, i := range rest {
		p.q.NotUnderstood = append(p.q.NotUnderstood, p.t[i].raw)
	}
	return unknown
}

// turned reports a word that turns the meaning round.
func (p *parser) turned() bool {
	return slices.ContainsFunc(p.pending, func(i int) bool { return turners[p.w[i]] })
}

// useWord takes a word beside an alarm or a sensor: its state, or a word of its
// text.
func (p *parser) useWord(i int) bool {
	w := p.w[i]
	if turners[w] || w == "status" || w == "#" {
		return false
	}
	switch p.q.Kind {
	case record.Alarm:
		if code, ok := p.exact(lexicon.AlarmState, w); ok && p.q.State == "" && alarmStateWords[w] {
			p.q.State = code
			return true
		}
		p.q.Words = append(p.q.Words, p.t[i].raw)
		return true
	case record.SensorStatus:
		if code, ok := p.exact(lexicon.SensorState, w); ok && p.q.State == "" {
			p.q.State = code
			return true
		}
		if w == "level" || w == "levels" {
			return false
		}
		p.q.Words = append(p.q.Words, p.t[i].raw)
		return true
	}
	return false
}

// alarmStateWords are state words that are not also part of alarm texts.
var alarmStateWords = set("raised", "active", "cleared", "clear", "acknowledged", "acked", "silenced", "resolved", "ended", "standing", "tripped", "open")

// settleLimit decides how many records are asked for.
func (p *parser) settleLimit() {
	q := &p.q
	switch {
	case q.Count:
		q.Limit, q.Order = 0, Latest
	case q.Figure != "":
		q.Limit, q.Order = 0, Latest
	case q.Missing != "":
		q.Order = Latest
	case q.Limit > 0 || !p.superl || p.all:
	case q.Per != "":
		q.Limit = 1
	case p.plural:
		q.Limit = manyLimit
		p.assume("the number was not said, so up to 10 are shown")
	default:
		q.Limit = 1
	}
}
