package query

import (
	"strings"

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
	if n == 0 && (p.w[i] == "a" || p.w[i] == "monthly") && p.q.Count && i > 0 && !prepositions[p.w[i-1]] { // how many loads a month
		k := map[string]int{"a": 2, "monthly": 1}[p.w[i]]
		if k == 1 && !p.longerKind(i, 1) && p.class(i) == 0 || k == 2 && p.from(i, 2) == "a month" && p.from(i+2, 1) != "ago" {
			p.per = "month"
			return k
		}
	}
	if i+n+1 >= len(p.w) || !has([]string{"each", "every", "per", "by"}, p.w[i+n]) {
		return 0
	}
	by := p.w[i+n] == "by"
	p.perAll = p.w[i+n] == "every" || p.w[i+n] == "each"
	n++
	if w := p.w[i+n]; w == "product" || w == "products" || w == "grade" || w == "grades" {
		p.lost = append(p.lost, i+n-1, i+n) // an answer is not given for each product
		return n + 1
	}
	g := groups[p.w[i+n]]
	if g == "" || p.longerKind(i+n, 1) || by && g != "month" && g != "site" && g != "tank" || i+n+1 < len(p.w) && deviceForm.MatchString(p.w[i+n+1]) {
		return 0
	}
	p.per, p.perBy = g, by
	return n + 1
}

// asksWhich reads "which tanks", "what months" and "which of our sites", and
// tanks, sites or months that begin the question: something is asked of each.
func (p *parser) asksWhich(i int) int {
	n := 0
	which := p.w[i] == "which" || p.w[i] == "what"
	if p.manySites(i) {
		which = true
		n++
	}
	if which {
		n++
		for i+n < len(p.w) && has([]string{"of", "our", "the", "my", "all"}, p.w[i+n]) {
			n++
		}
	}
	if i+n >= len(p.w) || p.longerKind(i+n, 1) {
		return 0
	}
	g := groups[p.w[i+n]]
	plural := many[p.w[i+n]]
	ranked := p.rankAhead(i + n + 1)
	if g == "" || !plural && !ranked && !(which || i > 0 && p.w[i-1] == "any" && p.turnAhead(i)) || i+n+1 < len(p.w) && deviceForm.MatchString(p.w[i+n+1]) {
		return 0
	}
	adjective := i + n - 1 // "diesel sites", "premium tanks"
	begins := i == 0 || i == 1 && (has([]string{"all", "any", "list", "show", "our"}, p.w[0]) || p.isGrade(adjective)) || i == 2 && p.isGrade(adjective)
	if !which && !begins && !ranked && !p.turnAhead(i) {
		return 0
	}
	if p.group == "" {
		p.group = g
		p.whichOf = which || g != "sensor" && i+n+1 < len(p.w) && has([]string{"with", "that", "having", "where", "whose"}, p.w[i+n+1])
	}
	if d := devices[p.w[i+n]]; d != "" {
		p.mentioned[d] = true
	}
	return n + 1
}

// manySites reports "how many stations", which asks for stations and not for records.
func (p *parser) manySites(i int) bool {
	j := i + 2
	for j < len(p.w) && has([]string{"of", "our", "the", "my"}, p.w[j]) {
		j++
	}
	return p.from(i, 2) == "how many" && j+1 < len(p.w) && groups[p.w[j]] == "site" && many[p.w[j]] && (helpers[p.w[j+1]] || has([]string{"with", "that", "show"}, p.w[j+1]))
}

func (p *parser) isGrade(i int) bool {
	if i < 0 {
		return false
	}
	_, ok := p.grades(p.w[i])
	return ok
}

// turnAhead reports "without" or "have no" within the next words.
func (p *parser) turnAhead(i int) bool {
	for j := i + 1; j < min(i+5, len(p.w)); j++ {
		if absent[p.w[j]] || p.w[j] == "not" {
			return true
		}
	}
	return false
}

// absent are the words that ask for what there is none of.
var absent = set("overdue", "no", "without", "never", "havent", "hasnt", "didnt", "missing", "lack", "lacking", "lacks", "hadnt", "dont", "doesnt", "wasnt", "werent")

// lacks reads "have no", "haven't had a" and "went without" after what it is
// asked of: the tanks, sites or months that show no such record.
func (p *parser) lacks(i int) int {
	if p.group == "" || p.q.Missing != "" {
		return 0
	}
	n := 0
	for i+n < len(p.w) && (helpers[p.w[i+n]] || has([]string{"that", "with", "go", "went", "going", "are", "there", "is"}, p.w[i+n])) {
		n++
	}
	if i+n >= len(p.w) || !absent[p.w[i+n]] && p.w[i+n] != "not" || i+n+1 < len(p.w) && p.w[i+n+1] == "normal" {
		return 0
	}
	if code, ok := p.resultAt(i + n + 1); ok && code == "pass" && (p.w[i+n] == "not" || p.w[i+n] == "didnt") {
		p.alternative("tests that did not pass", func(q *Query) {
			q.Per, q.Result, q.Missing, q.Limit = q.Missing, NotPass, "", 1
		})
	}
	p.q.Missing = p.group
	n++
	for i+n < len(p.w) && has([]string{"had", "have", "a", "an", "any", "been", "got", "yet", "seen", "shown", "sent", "printed", "show", "one", "single", "gotten", "done", "run", "ran", "get", "do", "for", "on", "in", "their", "its", "us", "me"}, p.w[i+n]) {
		n++
	}
	return n
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

// settleGroup decides what the answer is given for each of.
func (p *parser) settleGroup() {
	q := &p.q
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
	if p.eachAlone && p.per == "" && strings.Contains(q.Tank, ",") {
		p.per, p.all = "tank", false
	}
	if q.Missing != "" {
		if q.Missing == "tank" || q.Missing == "line" || q.Missing == "sensor" {
			p.mentioned[q.Missing] = true
		}
		if q.Kind == "" && !p.test && q.Result == "" && q.TestClass == "" && q.Missing != "site" && q.Missing != "month" && len(p.pending) == 0 && !p.noun {
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
