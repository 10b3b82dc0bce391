package query

import (
	"slices"
	"strings"
)

// asksWhich reads "which tanks", "what months" and "which of our sites", and
// tanks, sites or months that begin the question: something is asked of each.
func (p *parser) asksWhich(i int) int {
	n := 0
	if has([]string{"who", "whos", "anybody", "anyone"}, p.w[i]) && p.group == "" && (p.turnAhead(i) || p.rankSoon(i)) && !p.has(i, "overdue") { // who never sent in
		p.group = "site"
		return 1
	}
	if (p.w[i] == "who" || p.w[i] == "whos") && p.group == "" && (i < 4 || p.t[i].cut) && i+1 < len(p.w) && has([]string{"had", "has", "have", "got", "gets", "failed", "fails", "failing", "ran", "passed", "still"}, p.w[i+1]) && !p.has(i, "overdue") { // who had an overfill: which sites
		p.group, p.whichOf = "site", true
		return 1
	}
	if k := p.atWhich(i); k > 0 {
		return k
	}
	if p.w[i] == "where" && p.group == "" && (i == 0 || p.t[i].cut || p.w[i-1] == "and") && p.ranked(i) && p.measureOf(i) { // where was the most diesel sold
		p.group = "site"
		return 1
	}
	which := p.w[i] == "which" || p.w[i] == "what"
	if p.manySites(i) {
		which = true
		n++
	}
	if which {
		n++
		for i+n < len(p.w) && (has([]string{"of", "our", "the", "my", "all", "your", "their", "these", "those"}, p.w[i+n]) || n > 1 && p.small(i+n)) {
			n++
		}
	}
	if i+n >= len(p.w) || p.longerKind(i+n, 1) {
		return 0
	}
	if which && p.group == "" && has([]string{"product", "products", "grade", "grades", "fuel", "fuels"}, p.w[i+n]) && p.ranked(i+n) {
		p.group = "grade"
		return n + 1
	}
	g := groups[p.w[i+n]]
	plural := many[p.w[i+n]]
	ranked := p.rankAhead(i + n + 1)
	if g == "" || !plural && !ranked && !(which || i > 0 && has([]string{"any", "every", "each", "a"}, p.w[i-1]) && p.turnAhead(i)) || i+n+1 < len(p.w) && (deviceForm.MatchString(p.w[i+n+1]) || rangeForm.MatchString(p.w[i+n+1])) {
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

// ranked reports a rank after word i.
func (p *parser) ranked(i int) bool {
	return slices.ContainsFunc(p.w[i+1:], func(w string) bool { return ranks[w] != "" || w == "least" })
}

// measureOf reports an amount after word i of which there can be the most.
func (p *parser) measureOf(i int) bool {
	return slices.ContainsFunc(p.w[i+1:], func(w string) bool {
		return has([]string{"sold", "delivered", "alarms", "tests", "failed", "failures", "deliveries", "pumped"}, w)
	})
}

// rankSoon reports "most" or "fewest" within the next words: who sells the most.
func (p *parser) rankSoon(i int) bool {
	for j := i + 1; j < min(i+5, len(p.w)); j++ {
		if ranks[p.w[j]] != "" || p.w[j] == "least" {
			return true
		}
	}
	return false
}

// small reports a number before what it counts: which of the forty stores.
func (p *parser) small(i int) bool {
	w := p.w[i]
	return i+1 < len(p.w) && groups[p.w[i+1]] != "" && (numerals[w] > 0 || deviceForm.MatchString(w) && !p.siteAhead(i) || has([]string{"twenty", "thirty", "forty", "fifty", "hundred"}, w))
}

// atWhich reads "the station at which" and "sites where".
func (p *parser) atWhich(i int) int {
	g := groups[p.w[i]]
	if g == "" || p.group != "" || i+2 >= len(p.w) || p.longerKind(i, 1) {
		return 0
	}
	n := 0
	switch {
	case has([]string{"at", "in", "on", "for", "of", "from"}, p.w[i+1]) && p.w[i+2] == "which":
		n = 3
	case p.w[i+1] == "where" && (p.turnAhead(i+2) || p.turnAhead(i) || many[p.w[i]]):
		n = 1 // "where the newest test is" has a rule of its own
	default:
		return 0
	}
	p.group, p.whichOf = g, true
	if devices[g] != "" {
		p.mentioned[g] = true
	}
	return n
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
	if i < 0 || i >= len(p.w) {
		return false
	}
	_, ok := p.grades(p.w[i])
	return ok
}

// turnAhead reports "without" or "have no" within the next words.
func (p *parser) turnAhead(i int) bool {
	near := 5
	if groups[p.w[i]] == "month" { // months from January through May where
		near = 22
	}
	for j := i + 1; j < min(i+near, len(p.w)); j++ {
		if absent[p.w[j]] || p.w[j] == "not" {
			return true
		}
	}
	return false
}

// afterTest reports a test, and perhaps "that", before word i.
func (p *parser) afterTest(i int) bool {
	for i > 0 && (p.w[i-1] == "that" || p.w[i-1] == "which" || helpers[p.w[i-1]]) {
		i--
	}
	return i > 0 && strings.HasPrefix(p.w[i-1], "test") && has([]string{"that", "which"}, p.from(i, 1))
}

// absent are the words that ask for what there is none of.
var absent = set("overdue", "cannot", "cant", "couldnt", "no", "without", "never", "havent", "hasnt", "didnt", "missing", "lack", "lacking", "lacks", "hadnt", "dont", "doesnt", "wasnt", "werent", "miss", "missed", "skip", "skipped", "skips", "lapsed")

// lacks reads "have no", "haven't had a" and "went without" after what it is
// asked of: the tanks, sites or months that show no such record.
func (p *parser) lacks(i int) int {
	if p.group == "" || p.q.Missing != "" {
		return 0
	}
	n := 0
	for i+n < len(p.w) && (helpers[p.w[i+n]] || has([]string{"that", "with", "go", "went", "going", "are", "there", "is", "where", "we", "you", "they", "which"}, p.w[i+n])) {
		n++
	}
	if i+n >= len(p.w) || !absent[p.w[i+n]] && p.w[i+n] != "not" || i+n+1 < len(p.w) && p.w[i+n+1] == "normal" {
		return 0
	}
	if code, ok := p.resultAt(i + n + 1); ok && code == "pass" && p.afterTest(i) {
		return 0 // which stations had a line test that did not pass
	}
	if code, ok := p.resultAt(i + n + 1); ok && code == "pass" && (p.w[i+n] == "not" || p.w[i+n] == "didnt") {
		p.alternative("tests that did not pass", func(q *Query) {
			q.Per, q.Result, q.Missing, q.Limit = q.Missing, NotPass, "", 1
		})
	}
	p.q.Missing = p.group
	n++
	for i+n < len(p.w) && has([]string{"had", "have", "a", "an", "any", "been", "got", "yet", "seen", "shown", "sent", "printed", "show", "one", "single", "sent", "in", "turned", "submitted", "filed", "handed", "did", "gotten", "done", "run", "ran", "get", "do", "for", "on", "in", "their", "its", "us", "me"}, p.w[i+n]) {
		n++
	}
	return n
}
