package query

import (
	"strings"
	"time"

	"tankroll/record"
)

// settleEquipment takes "how many tanks are there" and "how many sites do we have
// records for" to ask for tanks and sites, where nothing is asked of their records.
func (p *parser) settleEquipment() {
	q := &p.q
	of := p.counted
	if of == "" && p.group == "site" && !q.Count && len(p.w) > 1 && p.w[0] == "how" && p.w[1] == "many" {
		of = "site"
	}
	if of == "" || p.per != "" || q.Missing != "" || p.test || p.event || p.wentOff || q.Result+q.State+q.TestClass+q.Method+q.Measure != "" || len(q.Marks)+len(p.measures)+len(p.boundAt)+len(p.pending) > 0 ||
		q.Kind != "" && !(of == "sensor" && q.Kind == record.SensorStatus) {
		return
	}
	p.per, p.whichOf, q.Count, p.superl = of, false, true, false
	p.mentioned[of] = p.mentioned[of] || devices[of] != ""
	p.assume(of + "s are counted by the records that name them")
}

// longSince reads "more than 30 days since their last passing test", "not tested in over
// a month" and "older than 30 days" of what is asked for each: it asks for those that
// have none in that time.
func (p *parser) longSince(i int) int {
	if p.group == "" || p.group == "month" || p.q.From+p.q.To != "" {
		return 0
	}
	n, lead := 0, 0
	if p.q.Missing != "" { // no test in over 45 days
		if !has([]string{"in", "for", "within"}, p.w[i]) {
			return 0
		}
		lead = 1
	}
	i += lead
	for _, s := range []string{"more than", "over", "longer than", "older than", "greater than", "at least"} {
		if k := 1 + strings.Count(s, " "); p.from(i, k) == s {
			n = k
			break
		}
	}
	if n == 0 || i+n >= len(p.w) {
		return 0
	}
	c, used := count(p.w[i+n:])
	if used == 0 || !p.unitAt(i+n+used) || p.quantityAt(i+n+used) {
		return 0
	}
	day, ok := p.dates.back(c, p.w[i+n+used])
	end := i + n + used + 1
	since := has([]string{"since", "after", "from"}, p.from(end, 1))
	if !ok || !since && lead == 0 && !p.agedTest(i, end) {
		return 0
	}
	if since {
		end++
		for end < len(p.w) && has([]string{"the", "its", "their", "a", "last", "latest", "most", "recent"}, p.w[end]) {
			end++
		}
	} else if p.from(end, 1) == "old" || p.from(end, 1) == "ago" {
		end++
	}
	p.q.Missing, p.superl = p.group, false
	p.put(day, time.Time{})
	return end - i + lead
}

// agedTest reports that the newest record was spoken of before an age: whose last test
// is over 30 days old.
func (p *parser) agedTest(i, end int) bool {
	for j := i - 1; j >= 0; j-- {
		if superlatives[p.w[j]] == Latest {
			return p.from(i, 2) == "older than" || has([]string{"old", "ago"}, p.from(end, 1))
		}
	}
	return false
}
