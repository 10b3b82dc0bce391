package query

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// alarmEvents are what alarms say, as two words or one; speech.txt leads to them.
var alarmEvents = set("leak test failed", "high water", "low product", "overfill", "probe out", "line leak", "pressure low")

// happened reads what an alarm is about: without any kind named it asks for that alarm
// going off.
func (p *parser) happened(i int) int {
	for n := 3; n >= 1; n-- {
		if n == 3 && !p.alarmed() {
			continue
		}
		if s := p.from(i, n); !alarmEvents[s] || p.cutInside(i, n) || p.limitAhead(i+n) || p.longerKind(i, n) {
			continue
		}
		p.event = true
		for j := i; j < i+n; j++ {
			p.pending = append(p.pending, j)
		}
		return n
	}
	return 0
}

// limitAhead reports what an alarm is set to within the next words.
func (p *parser) limitAhead(i int) bool {
	if i < len(p.w) && has([]string{"rate", "rates", "test", "tests", "testing", "check", "checks", "detection", "detector"}, p.w[i]) { // worst line leak rate
		return true
	}
	for j := i; j < min(i+3, len(p.w)); j++ {
		if has([]string{"limit", "limits", "setting", "settings", "level", "mark", "setpoint", "setpoints", "point", "threshold", "set", "programmed"}, p.w[j]) {
			return true
		}
	}
	return false
}

// alarmed reports a word that only alarms have.
func (p *parser) alarmed() bool {
	for _, w := range []string{"alarm", "alarms", "raised", "cleared"} {
		if has(p.w, w) {
			return true
		}
	}
	return false
}

// settleAlarm takes what happened for an alarm where nothing else is asked for.
func (p *parser) settleAlarm() {
	q := &p.q
	defer p.earlyState()
	switch {
	case q.Kind == record.Alarm && (p.wentOff || p.times) && q.State == "":
		q.State = "raised"
	case q.Kind == record.Alarm && p.event && q.Rank != "" && q.State == "": // the worst station for line leak alarms
		q.State = "raised"
	case p.event && p.now && q.State == "" && (q.Kind == "" || q.Kind == record.Alarm) && !p.test:
		q.Kind, q.State, p.plural = record.Alarm, "raised", true
	case p.event && q.Count && q.Kind == record.Alarm && q.State == "" && p.phrase == "":
		q.State = "raised"
	case q.Kind == "" && !p.test && q.Result == "" && (has(p.w, "raised") || has(p.w, "cleared") && p.spokeOfAlarm()):
		q.Kind, p.plural = record.Alarm, p.plural || !p.superl
		p.assume("raised and cleared are taken to ask for alarms")
	case q.Kind == "" && !p.test && (p.event || p.wentOff && len(p.measures) == 0 && (has(p.w, "what") || has(p.w, "anything")) || p.wentOff && p.spokeOfAlarm()) && q.Result == "" && q.TestClass == "":
		q.Kind, p.plural = record.Alarm, p.plural || !p.superl
		if q.State == "" && (p.wentOff || p.times || q.Count) {
			q.State = "raised"
		}
		p.assume("what happened is taken to ask for alarms")
	}
}

// earlyState takes the state that an alarm or a sensor is asked for in, on which
// depends what else the question means.
func (p *parser) earlyState() {
	q := &p.q
	sensors := q.Kind == record.SensorStatus || q.Kind == "" && !p.test && (p.mentioned["sensor"] || q.Place != "")
	sensors = sensors && !slices.ContainsFunc(p.soft, func(i int) bool { return p.w[i] == "fuel" }) // it is settled with what stands beside it
	p.pending = slices.DeleteFunc(p.pending, func(i int) bool {
		if q.Kind == record.Alarm {
			if p.w[i] != "raised" || q.State != "" && q.State != "raised" {
				return false
			}
			q.State = "raised"
			return true
		}
		code, ok := p.exact(lexicon.SensorState, p.w[i])
		if !sensors || !ok || q.State == NotNormal {
			return false
		}
		if q.State == "" {
			q.State = code
			return true
		}
		return p.joined(i, &q.State, code)
	})
}

// spokeOfAlarm reports a place or a thing that can go off.
func (p *parser) spokeOfAlarm() bool {
	return p.mentioned["sensor"] || p.mentioned["tank"] || p.mentioned["line"] || p.q.Place != ""
}

// logWords are what the console prints about alarms, line by line, their clearing
// included.
var logWords = set("log", "logs", "history", "histories", "entry", "entries", "printout", "printouts", "paper", "report", "reports", "record", "records", "slip", "slips", "tape")

// settleRaised takes alarms for those that were raised where no state was asked for:
// what says cleared is the end of an alarm that was raised before, and no other alarm.
func (p *parser) settleRaised() {
	q := &p.q
	if q.Kind != record.Alarm || q.OrKind != "" || q.State != "" {
		return
	}
	if p.anyState || p.asksLog() {
		p.alternative("only alarms that were raised", func(q *Query) { q.State = "raised" })
		return
	}
	q.State = "raised"
	p.assume("an alarm is taken to be one that was raised; its clearing is not counted as another")
	p.alternative("all that was printed of alarms, cleared ones too", func(q *Query) { q.State = "" })
}

// asksLog reports an alarm log, alarm entries or a history of alarms.
func (p *parser) asksLog() bool {
	for i, w := range p.w {
		if strings.HasPrefix(w, "alarm") && i+1 < len(p.w) && logWords[p.w[i+1]] && !p.t[i+1].cut ||
			has([]string{"log of", "history of", "entries of"}, p.from(i, 2)) && (strings.HasPrefix(p.from(i+2, 1), "alarm") || p.from(i+2, 1) == "the" && strings.HasPrefix(p.from(i+3, 1), "alarm")) {
			return true
		}
	}
	return strings.Contains(p.phrase, "log") || strings.Contains(p.phrase, "history")
}
