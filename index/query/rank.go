package query

import "tankroll/record"

// ranks are the words that ask which group has the most or the fewest.
var ranks = map[string]string{"most": Highest, "fewest": Lowest}

// rankAsked reads "which site had the most alarms", "the highest number of" and
// the clause that only String writes.
func (p *parser) rankAsked(i int) int {
	w := p.w[i]
	if i+1 >= len(p.w) {
		return 0
	}
	next := p.w[i+1]
	if r := ranks[w]; r != "" && next == "first" {
		p.q.Rank = r
		return 2
	}
	if p.group == "" && p.per == "" || p.q.Rank != "" {
		return 0
	}
	if e, ok := extremes[w]; ok && e.field == "" && p.from(i+1, 2) == "number of" && !p.quantityAt(i+3) {
		p.q.Rank = e.order
		return 3
	}
	if ranks[w] == "" || superlatives[next] != "" || p.measureAt(i+1) || p.quantityAt(i+1) || next == "fuel" {
		return 0
	}
	p.q.Rank = ranks[w]
	if next == "often" || next == "frequently" {
		return 2
	}
	return 1
}

// settleRank counts in each group what it is to be ranked by; of what was
// delivered it takes the sum.
func (p *parser) settleRank() {
	q := &p.q
	switch {
	case q.Rank == "":
	case q.Per == "":
		q.Rank = ""
	case q.Figure == "" && q.Kind == record.Delivery && p.phrase == "delivered":
		q.Figure, q.Count = Total, false
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
