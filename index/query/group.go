package query

import (
	"strings"
	"time"

	"tankroll/record"
)

// groups are what an answer can be given for each of.
var groups = map[string]string{
	"month": "month", "months": "month", "tank": "tank", "tanks": "tank", "line": "line", "lines": "line", "sensor": "sensor", "sensors": "sensor",
	"site": "site", "sites": "site", "store": "site", "stores": "site", "station": "site", "stations": "site", "location": "site", "locations": "site",
	"facility": "site", "facilities": "site",
}

var many = set("months", "tanks", "lines", "sensors", "sites", "stores", "stations", "locations", "facilities")

// each reads "of each month", "per tank" and "by site".
func (p *parser) each(i int) int {
	n := 0
	if has([]string{"for", "of", "in", "at", "on", "to"}, p.w[i]) {
		n = 1
	}
	if n == 0 && p.w[i] == "monthly" && (p.has(i, "total") || p.q.Figure != "") && !p.longerKind(i, 1) && testPhrases[p.from(i, 2)] == "" {
		p.per = "month"
		return 1
	}
	if n == 0 && (p.w[i] == "a" || p.w[i] == "monthly") && p.q.Count && i > 0 && !prepositions[p.w[i-1]] { // how many loads a month
		k := map[string]int{"a": 2, "monthly": 1}[p.w[i]]
		if k == 1 && !p.longerKind(i, 1) && p.class(i) == 0 || k == 2 && p.from(i, 2) == "a month" && p.from(i+2, 1) != "ago" {
			p.per = "month"
			return k
		}
	}
	if n == 0 && i > 0 && p.plural && !p.superl && !p.q.Count && (p.from(i, 2) == "a month" || p.from(i, 2) == "a site" || p.from(i, 2) == "a store" || p.from(i, 2) == "a station" || p.from(i, 2) == "a tank") && p.from(i+2, 1) != "ago" && p.endsKind(i) { // line tests a month
		p.per, p.perBy = groups[p.w[i+1]], true
		return 2
	}
	if i+n+1 >= len(p.w) || !has([]string{"each", "every", "per", "by"}, p.w[i+n]) {
		return 0
	}
	by := p.w[i+n] == "by"
	counted := by || p.w[i+n] == "per"
	p.perAll = p.w[i+n] == "every" || p.w[i+n] == "each"
	of := 0
	for n++; i+n+1 < len(p.w) && has([]string{"of", "the", "our", "my", "your", "these", "its"}, p.w[i+n]); n++ {
		of++
	}
	if !by && p.w[i+n-1-of] != "per" && p.turnAhead(i+n) { // every tank that did not
		return 0
	}
	if p.w[i+n] == "product" && i+n+1 < len(p.w) && devices[p.w[i+n+1]] != "" { // each product line
		n, of = n+1, of+1
	}
	if by && p.measureAt(i+n) { // by product height
		return 0
	}
	if p.from(i+n, 3) == "kind of product" || p.from(i+n, 3) == "type of product" || p.from(i+n, 3) == "type of fuel" || p.from(i+n, 3) == "kind of fuel" {
		p.per, p.perBy = "grade", counted
		return n + 3
	}
	if p.w[i+n] == "week" && !p.dateAt(i+n) {
		p.per, p.perBy = "week", counted
		return n + 1
	}
	if w := p.w[i+n]; w == "product" || w == "products" || w == "grade" || w == "grades" {
		p.byProduct = []int{i + n - 1 - of, i + n} // of one site each tank
		return n + 1
	}
	g := groups[p.w[i+n]]
	if g == "" || p.longerKind(i+n, 1) || by && g != "month" && g != "site" && g != "tank" || i+n+1 < len(p.w) && deviceForm.MatchString(p.w[i+n+1]) && !p.siteAhead(i+n+1) {
		return 0
	}
	if g == "month" && p.perAll && p.yesNo() { // was it tested in every month: those without are wanted
		p.group, p.q.Missing = g, g
		p.assume("those that have none are listed")
		return n + 1
	}
	p.per, p.perBy = g, counted
	if devices[g] != "" {
		p.mentioned[g] = true
	}
	if of > 0 {
		p.perAll = false
	}
	return n + 1
}

// endsKind reports the plural of a kind just before word i.
func (p *parser) endsKind(i int) bool {
	if p.t[i].cut || !strings.HasSuffix(p.w[i-1], "s") {
		return false
	}
	_, kind := p.kindOf(p.w[i-1])
	_, test := testPhrases[p.w[i-1]]
	return kind || test || dropWords[p.w[i-1]]
}

// yesNo reports a question that yes or no would answer.
func (p *parser) yesNo() bool {
	for i := range min(len(p.w), 3) {
		if has([]string{"was", "were", "did", "has", "have", "had", "is", "are", "do", "does"}, p.w[i]) {
			return !p.q.Count && !p.howMuch && !p.superl
		}
		if !filler[p.w[i]] && !small[p.w[i]] || has([]string{"what", "which", "when", "how", "where", "who"}, p.w[i]) {
			return false
		}
	}
	return false
}

// oneByOne reads "tank by tank" and "broken down by site".
func (p *parser) oneByOne(i int) int {
	if g := groups[p.w[i]]; g != "" && i+2 < len(p.w) && p.w[i+1] == "by" && groups[p.w[i+2]] == g {
		p.per, p.perBy, p.all = g, true, false
		if devices[g] != "" {
			p.mentioned[g] = true
		}
		return 3
	}
	if has([]string{"broken", "split", "grouped", "sorted", "itemized", "listed"}, p.w[i]) {
		n := 1
		for i+n < len(p.w) && (p.w[i+n] == "down" || p.w[i+n] == "up" || p.w[i+n] == "out") {
			n++
		}
		if i+n < len(p.w) && p.w[i+n] == "by" {
			if k := p.each(i + n); k > 0 {
				p.perBy, p.perAll = true, false
				return n + k
			}
		}
	}
	return 0
}

// haveAll reads "do all tanks have" and "does every site have": it asks for those
// that have not; after "how many" or "when" it asks for each.
func (p *parser) haveAll(i int) int {
	if !has([]string{"do", "does", "did", "have", "has"}, p.w[i]) || i+1 >= len(p.w) || !has([]string{"all", "every", "each"}, p.w[i+1]) || p.group != "" {
		return 0
	}
	n := 2
	for i+n < len(p.w) && has([]string{"of", "our", "the", "my"}, p.w[i+n]) {
		n++
	}
	for k := 0; k <= 1; k++ { // "do all diesel tanks have"
		j := i + n + k
		if j >= len(p.w) || k == 1 && !p.isGrade(j-1) || groups[p.w[j]] == "" || p.longerKind(j, 1) {
			continue
		}
		if k == 1 {
			p.grade(j - 1)
		}
		n += k + 1
		if p.asksFigure(i) {
			if p.per = groups[p.w[j]]; devices[p.per] != "" {
				p.mentioned[p.per] = true
			}
			return n
		}
		p.group, p.q.Missing = groups[p.w[j]], groups[p.w[j]]
		p.assume("those that have none are listed")
		for i+n < len(p.w) && has([]string{"have", "has", "had", "show", "a", "an"}, p.w[i+n]) {
			n++
		}
		return n
	}
	return 0
}

// missed reads "overdue" and "did we miss", which ask for what there is none of.
func (p *parser) missed(i int) int {
	if p.group == "" && p.q.Missing == "" && has([]string{"gap", "gaps", "holes", "lapses", "lapse"}, p.w[i]) { // gaps in the monthly tests
		p.group, p.q.Missing = "month", "month"
		return 1
	}
	if !has([]string{"overdue", "miss", "missed", "missing", "skipped"}, p.w[i]) || p.group != "" {
		return 0
	}
	if p.measureAt(i) {
		return 0
	}
	n := 1
	if i+1 < len(p.w) && many[p.w[i+1]] && has([]string{"missing", "missed", "skipped"}, p.w[i]) && !p.longerKind(i+1, 1) { // missing months
		p.group = groups[p.w[i+1]]
		p.q.Missing = p.group
		return 2
	}
	p.overdue = true
	for i+n < len(p.w) && has([]string{"for", "any", "a", "an", "on"}, p.w[i+n]) {
		n++
	}
	return n
}

// dueWithin gives what is overdue its time, where none is said: a year for the annual
// test, 30 days for the monthly one.
func (p *parser) dueWithin() {
	q := &p.q
	if q.From+q.To != "" || q.Missing == "month" || !has(p.w, "overdue") {
		return
	}
	unit, n := "month", 12
	switch {
	case q.TestClass == "0.2":
		unit, n = "day", 30
	case q.TestClass != "0.1":
		return
	}
	if day, ok := p.dates.back(n, unit); ok {
		p.put(day, time.Time{})
		p.assume("overdue is taken to mean none since " + q.From)
	}
}

// settleGroup decides what the answer is given for each of.
func (p *parser) settleGroup() {
	q := &p.q
	if q.Figure == Total && p.measures == nil && !p.howMuch && q.Kind != record.Delivery && q.Kind != record.Inventory && q.Kind != record.Reconciliation && (p.test || q.Result != "" || q.Kind == record.Alarm || q.Kind == record.TankTest || q.Kind == record.LineTest) {
		q.Figure, q.Count = "", true // tests together: there is nothing to add up
	}
	if p.overdue && q.TestClass == "0.1" && q.Tank+q.Line != "" && q.From+q.To == "" { // is tank 2 due for its annual: its last one tells
		p.superl = true
	}
	if p.overdue && p.superl && q.Limit <= 1 { // is it overdue? Show me the last one.
		p.overdue = false
	}
	if p.overdue && q.Missing == "" {
		switch {
		case q.Tank+q.Line+q.Sensor != "":
			q.Missing = "month"
		case p.mentioned["line"]:
			q.Missing = "line"
		case p.mentioned["sensor"] || q.Kind == record.SensorStatus:
			q.Missing = "sensor"
		case q.Kind == "" || q.Kind == record.TankTest || q.Kind == record.Inventory:
			q.Missing = "tank"
		case q.Kind == record.LineTest:
			q.Missing = "line"
		default:
			q.Missing = "site"
		}
		p.assume("what is missing is taken to ask for " + q.Missing + "s without one")
	}
	for dev, list := range map[string]string{"tank": q.Tank, "line": q.Line, "sensor": q.Sensor} {
		if p.eachAlone && p.per == "" && strings.Contains(list, ",") {
			p.per, p.all = dev, false
		}
	}
	if p.eachAlone && p.per == "" && p.superl && q.Tank+q.Line+q.Sensor == "" { // lines at Juniper Flats, latest of each
		for _, w := range p.w {
			if g := groups[w]; g != "" && many[w] && g != "month" {
				p.per, p.all = g, false
				break
			}
		}
		if p.per == "" && strings.Contains(q.Site, ",") { // of three sites, the last for each of them
			p.per, p.all = "site", false
		}
	}
	if p.byProduct != nil && p.per == "" && q.Site != "" && !strings.Contains(q.Site, ",") {
		p.per, p.perBy = "tank", true
		p.assume("each product is taken as each tank of the site")
	} else if p.byProduct != nil && p.per == "" && q.Missing == "" {
		p.per, p.perBy = "grade", true
	} else {
		p.lost = append(p.lost, p.byProduct...)
	}
	if q.Missing != "" {
		p.dueWithin()
		if q.Missing == "tank" || q.Missing == "line" || q.Missing == "sensor" {
			p.mentioned[q.Missing] = true
		}
		if q.Kind == "" && !p.test && q.Result == "" && q.TestClass == "" && q.Missing != "site" && (q.Missing != "month" || q.Tank+q.Line+q.Grade != "") && len(p.pending) == 0 && !p.noun {
			p.test = q.Missing != "sensor"
		}
		q.Per, q.Count, q.Limit, q.Rank, p.superl = "", false, 0, "", false
		return
	}
	q.Per = p.per
	if q.Per == "" && (p.whichOf && p.which() || q.Rank != "") {
		q.Per = p.group
	}
	if p.perBy && p.plural && !p.superl && q.Limit == 0 && q.Figure == "" && q.Rank == "" && len(p.measures) == 0 && p.phrase != "delivered" {
		q.Count = true // failed tests by month: how many in each
	}
	if p.perAll && q.Per == "site" && p.plural && !p.superl && !q.Count && q.Limit == 0 && q.Figure == "" && q.Rank == "" && len(p.measures) == 0 && p.phrase != "delivered" {
		q.Per, p.all = "", true // the tests of every site: all of them
	}
	if p.atLeast > 0 && q.Per == "" {
		q.Per = p.group
	}
	switch {
	case p.atLeast > 0 && q.Per != "" && q.Rank == "":
		q.Often, q.Count, q.Limit, p.superl = p.atLeast, true, 0, false
	default:
		p.lost = append(p.lost, p.oftenAt...)
	}
	p.settleRank()
	if q.Per != "" && !p.superl && !q.Count && q.Limit == 0 {
		q.Limit = 1
	}
}

// which reports whether the group is what is asked for, and something is asked
// of it.
func (p *parser) which() bool {
	q := p.q
	return !q.Count && q.Figure == "" && (q.Kind != "" || p.test || q.Result != "" || q.TestClass != "" || q.State != "" || q.Place != "" || len(q.Marks) > 0 || len(p.boundAt) > 0) &&
		q.Kind != record.TankLimits && !p.superl
}
