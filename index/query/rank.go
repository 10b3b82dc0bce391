package query

import (
	"strings"

	"tankroll/record"
)

// ranks are the words that ask which group has the most or the fewest.
var ranks = map[string]string{"most": Highest, "fewest": Lowest}

// rankAsked reads "which site had the most alarms", "the highest number of" and
// the clause that only String writes.
func (p *parser) rankAsked(i int) int {
	w, next := p.w[i], ""
	if i+1 < len(p.w) {
		next = p.w[i+1]
	}
	r := ranks[w]
	if r != "" && next == "first" {
		p.q.Rank = r
		return 2
	}
	if p.q.Rank != "" {
		if g := groups[next]; g != "" && p.group == "" && has([]string{"top", "worst", "leading", "biggest"}, w) { // where do most come from? The top site
			p.group = g
			return 2
		}
		return 0
	}
	if n := p.topGroup(i); n > 0 {
		return n
	}
	if (w == "worst" || w == "top") && p.group != "" && has([]string{"for", "at", "with", "about", "on", "in"}, next) && i > 0 && !p.measureAt(i+2) {
		p.q.Rank, p.rankAt = Highest, []int{i}
		return 2
	}
	if n := p.rankBy(i); n > 0 {
		return n
	}
	if e, ok := extremes[w]; ok && e.field == "" && p.from(i+1, 2) == "number of" && !p.quantityAt(i+3) {
		p.q.Rank, p.rankAt = e.order, []int{i}
		return 3
	}
	if r == "" || i > 0 && p.w[i-1] == "at" || superlatives[next] != "" || has([]string{"fuel", "of"}, next) || next != "" && p.measureAt(i+1) {
		return 0
	}
	p.q.Rank, p.rankAt = r, []int{i}
	if next == "often" || next == "frequently" {
		return 2
	}
	return 1
}

// rankBy reads "rank the stations by".
func (p *parser) rankBy(i int) int {
	if !has([]string{"rank", "order", "sort", "rate", "ranking"}, p.w[i]) {
		return 0
	}
	n := 1
	for i+n < len(p.w) && has([]string{"the", "our", "all", "my", "of"}, p.w[i+n]) {
		n++
	}
	if i+n+1 >= len(p.w) || groups[p.w[i+n]] == "" || p.w[i+n+1] != "by" || p.group != "" {
		return 0
	}
	p.q.Rank, p.rankAt, p.group = Highest, []int{i}, groups[p.w[i+n]]
	n += 2
	for _, s := range []string{"the number of", "number of", "count of"} {
		if k := strings.Count(s, " ") + 1; p.from(i+n, k) == s {
			return n + k
		}
	}
	return n
}

// topGroup reads "top station by number of" and "worst 3 sites for": how many there
// are ranks them.
func (p *parser) topGroup(i int) int {
	e, ok := extremes[p.w[i]]
	if !ok || e.field != "" || p.group != "" {
		return 0
	}
	n, limit := 1, 0
	if c, used := count(p.w[i+1:]); used > 0 {
		n, limit = n+used, c
	}
	if i+n >= len(p.w) || groups[p.w[i+n]] == "" || p.longerKind(i+n, 1) {
		return 0
	}
	g := groups[p.w[i+n]]
	n++
	if has([]string{"worst", "top"}, p.w[i]) && (i+n == len(p.w) || p.t[i+n].cut) && len(p.measures) == 0 {
		p.q.Rank, p.rankAt, p.group, p.q.Limit = e.order, []int{i}, g, limit
		return n
	}
	for _, by := range []string{"by the number of", "by number of", "by count of", "in number of", "by", "for"} {
		k := strings.Count(by, " ") + 1
		if p.from(i+n, k) == by && !p.measureAt(i+n+k) && !p.dateAt(i+n+k) && !p.siteAhead(i+n+k) {
			p.q.Rank, p.rankAt, p.group, p.q.Limit = e.order, []int{i}, g, limit
			return n + k
		}
	}
	return 0
}

// rankAhead reports "with the most" and "that has the fewest".
func (p *parser) rankAhead(i int) bool {
	if i >= len(p.w) || !has([]string{"with", "that", "having", "whose", "where", "which"}, p.w[i]) {
		return false
	}
	for j := i + 1; j < len(p.w); j++ { // the site whose fill sump was wet most often
		if p.from(j, 2) == "most often" || p.from(j, 2) == "most frequently" {
			return true
		}
	}
	for j := i + 1; j < min(i+4, len(p.w)); j++ {
		if ranks[p.w[j]] != "" || extremes[p.w[j]].order != "" && p.from(j+1, 2) == "number of" {
			return true
		}
	}
	return false
}

// settleRank decides what groups are ranked by: how many there are, or the sum
// of what was delivered or sold. A rank of nothing had no effect.
func (p *parser) settleRank() {
	q := &p.q
	sum := q.Kind == record.Delivery && p.phrase == "delivered"
	for _, m := range p.measures {
		sum = sum || has([]string{"delivered", "net_delivered", "sold", "over_short"}, m.m.field)
	}
	if p.mostOf && sum && q.Per == "" && p.group != "" { // which month had the most gallons delivered
		q.Per, q.Rank, q.Order, p.superl = p.group, q.Order, "", false
	}
	switch {
	case q.Rank == "" && (p.per == "" || !sum || p.superl || q.Count || q.Figure != "" || q.Limit > 1):
	case q.Per == "":
		q.Rank = ""
		p.lost = append(p.lost, p.rankAt...)
	case q.Figure == "" && sum: // diesel delivered per month
		q.Figure, q.Count, q.Limit = Total, false, 0
	case q.Figure == "":
		q.Count, q.Limit, p.superl = true, 0, false
	}
}

// asksFigure reports a question that began by asking how many, how much or when:
// what follows word i is no yes or no.
func (p *parser) asksFigure(i int) bool {
	if p.q.Count || p.howMuch || p.q.Figure != "" {
		return true
	}
	for _, w := range p.w[:i] {
		if has([]string{"when", "what", "which", "how"}, w) {
			return true
		}
	}
	return false
}
