package query

import (
	"strings"

	"tankroll/record"
)

// alternative is another meaning of the question, told by what it changes.
type alternative struct {
	say    string
	change func(*Query)
}

// maxReadings bounds the meanings that are shown.
const maxReadings = 6

func (p *parser) alternative(say string, change func(*Query)) {
	p.alts = append(p.alts, alternative{say, change})
}

// otherForms are the readings in which the same records are wanted in another form: all
// of them or the newest of each, counted by themselves or by tank.
func (p *parser) otherForms() {
	q := &p.q
	if q.Missing != "" {
		return
	}
	byTime := q.Order == Latest || q.Order == First
	switch {
	case q.Count && q.Per == "" && p.counted != "":
		per := p.counted
		p.alternative("each "+per+" counted once", func(q *Query) { q.Per = per })
	case (q.Count || q.Figure != "") && q.Per == "" && strings.Contains(q.Site, ","):
		p.alternative("each site by itself", func(q *Query) { q.Per = "site" })
	case q.Count || q.Figure != "" || !byTime:
	case q.Per != "" && q.Limit == 1 && !p.superl && !q.Current:
		p.alternative("all of these, not the newest of each "+q.Per+" alone", func(q *Query) { q.Per, q.Limit = "", 0 })
	case q.Per == "" && q.Limit == 0 && p.perAll && p.per == "site":
		p.alternative("the newest of each site", func(q *Query) { q.Per, q.Limit = "site", 1 })
	case q.Per == "" && q.Limit == manyLimit && p.unsaidLimit:
		if per := eachHas[q.Kind]; per != "" && p.mentioned[per] && q.Tank+q.Line+q.Sensor == "" {
			p.alternative("the newest of each "+per, func(q *Query) { q.Per, q.Limit = per, 1 })
			return
		}
		p.alternative("the newest alone", func(q *Query) { q.Limit = 1 })
	case q.Per == "" && q.Limit == 1 && q.Order == Latest && q.Site != "" && q.Tank+q.Line+q.Sensor+q.Grade+q.Measure == "" && eachHas[q.Kind] != "" && len(q.Words) == 0:
		per := eachHas[q.Kind]
		p.alternative("the newest of each "+per, func(q *Query) { q.Per = per })
	}
	if q.Result != "" && q.Kind == "" && !q.AnyTest && q.Measure == "" {
		p.alternative("tests alone, no reconciliations", func(q *Query) { q.AnyTest = true })
	}
	if q.Result == NotPass {
		p.alternative("only those that failed", func(q *Query) { q.Result = "fail" })
	}
}

// eachHas is the equipment of which each has its own newest record of a kind.
var eachHas = map[record.Kind]string{record.TankTest: "tank", record.LineTest: "line", record.SensorStatus: "sensor", record.Inventory: "tank"}

// readings are the question's other meanings, each as a question that means it.
func (p *parser) readings() []Reading {
	base := p.q
	base.Assumed, base.NotUnderstood = nil, nil
	seen := map[string]bool{base.String(): true}
	var out []Reading
	for _, a := range append(p.alts, p.dates.alts...) {
		q := base
		a.change(&q)
		if q.From != "" && q.To != "" && q.From > q.To {
			continue
		}
		if ask := q.String(); !seen[ask] && len(out) < maxReadings {
			seen[ask] = true
			out = append(out, Reading{a.say, ask})
		}
	}
	return out
}
