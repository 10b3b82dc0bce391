package query

import (
	"slices"
	"strings"
	"time"
)

// prepositions begin a time clause.
var prepositions = set("on", "in", "during", "for", "of", "over", "within", "dated", "from", "since", "after", "before", "until", "till", "by",
	"through", "thru", "around", "roughly", "approximately", "circa", "between", "to", "starting", "ending", "throughout")

// thanWords compare with a date.
var thanWords = map[string]string{"later than": "after", "more recently than": "after", "more recent than": "after", "newer than": "after",
	"earlier than": "before", "older than": "before"}

// timeClause reads a date or period with what stands before it: "since 1 March",
// "between A and B", "before last month", "2025-03-14".
func (p *parser) timeClause(i int) int {
	prep, n := "", 0
	for k := 3; k >= 2 && n == 0; k-- { // later than March, older than 90 days
		if than := thanWords[p.from(i, k)]; than != "" {
			prep, n = than, k
		}
	}
	if n > 0 && i+n >= len(p.w) {
		return 0
	}
	if n > 0 && prep == "before" {
		if c, used := count(p.w[i+n:]); used > 0 && i+n+used < len(p.w) && p.q.From+p.q.To == "" {
			if day, ok := p.dates.back(c, p.w[i+n+used]); ok && p.unitAt(i+n+used) && !p.quantityAt(i+n+used) {
				p.put(time.Time{}, day)
				return n + used + 1
			}
		}
	}
	if k := p.aged(i); k > 0 {
		return k
	}
	if n == 0 && prepositions[p.w[i]] {
		prep, n = p.w[i], 1
		if i+n < len(p.w) && p.w[i+n] == "the" {
			n++
		}
		if i+n+1 < len(p.w) && p.w[i+n] == "year" && yearForm.MatchString(p.w[i+n+1]) {
			n++
		}
		if p.from(i+n, 2) == "month of" {
			n += 2
		}
		if i+n >= len(p.w) || p.t[i+n].quoted {
			return 0
		}
	}
	if used := p.upTo(i + n); used > 0 && (prep == "" || has([]string{"in", "during", "over", "within", "for"}, prep)) {
		return n + used
	}
	if prep == "to" && i > 0 && has([]string{"according", "specific", "limited", "restricted", "back", "relating", "related", "pertaining", "belonging", "going"}, p.w[i-1]) { // according to the April reports
		prep = "in"
	}
	d := p.dates
	if n == 2 && prep == "of" && p.w[i+1] == "the" { // the largest of the year
		if s, used := d.around(p.w[i+n], 0); used > 0 && p.q.From+p.q.To == "" && !(i+n+1 < len(p.w) && has([]string{"before", "after"}, p.w[i+n+1])) {
			p.assume("of the " + p.w[i+n] + " is taken as of this one")
			p.put(s.from, s.to)
			return n + 1
		}
	}
	s, used := d.span(p.w[i+n:], prep != "" || yearForm.MatchString(p.w[i+n]) && p.w[i+n] > "1984" || p.mayOf(i+n))
	if used == 0 && has([]string{"since", "after", "before", "until"}, prep) { // since Easter 1 April, after the repair of 14 March
		for k := 1; k <= 5 && i+n+k < len(p.w) && !p.t[i+n+k].quoted && !p.telling(i+n+k-1); k++ {
			at := i + n + k
			if has([]string{"on", "of", "in"}, p.w[at]) && at+1 < len(p.w) && !p.t[at+1].quoted {
				at++
			} else if k > 1 && p.t[at].cut {
				break
			}
			if s, used = d.span(p.w[at:], true); used > 0 {
				for j := i + n; j < i+n+k; j++ {
					p.lost = append(p.lost, j)
				}
				n = at - i
				break
			}
		}
	}
	if used == 0 {
		return 0
	}
	s, used = p.andAnother(&d, s, i+n, used)
	n += used
	if vague[prep] && p.quantityAt(i+n) { // around 2000 gallons
		return 0
	}
	to, more := p.otherEnd(&d, prep, i+n)
	if more > 0 {
		s = p.sameYear(s, to, i+n-used, used, i+n+more)
	}
	n += more
	if more == 0 && p.onward(i+n) && (prep == "from" || prep == "") {
		prep = "since"
		n++
	}
	if p.q.From != "" || p.q.To != "" { // a second clause: a Query has one range
		if p.narrowed(prep, s, to, more > 0) {
			return n
		}
		for j := i; j < i+n; j++ {
			p.lost = append(p.lost, j)
		}
		return n
	}
	p.dates = d
	p.setRange(prep, s, to, more > 0)
	return n
}

// aged reads "more than 30 days old" and "over two months ago".
func (p *parser) aged(i int) int {
	for _, s := range []string{"more than", "over", "at least"} {
		n := strings.Count(s, " ") + 1
		if p.from(i, n) != s || i+n >= len(p.w) || p.q.From+p.q.To != "" {
			continue
		}
		c, used := count(p.w[i+n:])
		end := i + n + used
		if used == 0 || !has([]string{"old", "ago"}, p.from(end+1, 1)) || !p.unitAt(end) || p.quantityAt(end) {
			continue
		}
		if day, ok := p.dates.back(c, p.w[end]); ok {
			p.put(time.Time{}, day)
			return end + 2 - i
		}
	}
	return 0
}

// onward reads "on" and "onwards" after a date.
func (p *parser) onward(i int) bool {
	if i >= len(p.w) {
		return false
	}
	return has([]string{"onward", "onwards", "forward", "forth"}, p.w[i]) || p.w[i] == "on" && (i+1 == len(p.w) || p.t[i+1].cut)
}

// andAnother reads "and February 2025" after "January", and "or today" after
// "yesterday", where the two meet; the first takes the year of the second.
func (p *parser) andAnother(d *dates, s span, i, used int) (span, int) {
	at := i + used
	if at+1 >= len(p.w) || p.w[at] != "and" && p.w[at] != "or" || p.t[at+1].quoted || i > 0 && p.w[i-1] == "between" {
		return s, used
	}
	second, n := d.span(p.w[at+1:], true)
	if n == 0 {
		return s, used
	}
	if last := p.w[at+n]; yearForm.MatchString(last) && second.from.Year() != s.from.Year() {
		again := *d
		if first, k := again.span(append(slices.Clone(p.w[i:at]), last), true); k == used+1 {
			s = first
		}
	}
	if second.from.Equal(s.to.AddDate(0, 0, 1)) {
		return span{s.from, second.to}, used + 1 + n
	}
	if s.from.Equal(second.to.AddDate(0, 0, 1)) {
		return span{second.from, s.to}, used + 1 + n
	}
	return s, used
}

// otherEnd reads "and B" after "between A", and "to B" after "from A".
func (p *parser) otherEnd(d *dates, prep string, i int) (span, int) {
	if i < len(p.w) && p.t[i].dash && (prep == "" || prep == "from" || prep == "between" || prep == "in") { // 5/1/2025 - 5/31/2025
		if s, used := d.span(p.w[i:], true); used > 0 && !p.t[i].quoted {
			return s, used
		}
	}
	if i+1 >= len(p.w) {
		return span{}, 0
	}
	switch p.w[i] {
	case "and":
		if prep != "between" {
			return span{}, 0
		}
	case "to", "until", "till", "through", "thru":
		if prep == "before" || prep == "after" || prep == "until" {
			return span{}, 0
		}
	default:
		return span{}, 0
	}
	n := 1
	if p.w[i+n] == "the" && i+n+1 < len(p.w) {
		n++
	}
	if p.t[i+n].quoted {
		return span{}, 0
	}
	s, used := d.span(p.w[i+n:], true)
	if used == 0 {
		return span{}, 0
	}
	return s, n + used
}

func (p *parser) setRange(prep string, s, to span, both bool) {
	if both {
		if to.to.Before(s.from) {
			s, to = to, s
			p.assume("the later date is taken as the end")
		}
		p.put(s.from, to.to)
		return
	}
	var open time.Time
	if vague[prep] {
		wide := widened(s)
		p.assume(prep + " is taken to be " + wide.from.Format(isoDate) + " to " + wide.to.Format(isoDate))
		p.alternative("no longer than "+s.from.Format(isoDate)+" to "+s.to.Format(isoDate), func(q *Query) {
			q.From, q.To = s.from.Format(isoDate), s.to.Format(isoDate)
		})
		s = wide
	}
	switch prep {
	case "since", "starting":
		p.put(s.from, open)
	case "after":
		p.put(s.to.AddDate(0, 0, 1), open)
	case "before":
		p.put(open, s.from.AddDate(0, 0, -1))
	case "until", "till", "by", "through", "thru", "to", "ending":
		p.put(open, s.to)
	case "from":
		if s.from.Equal(s.to) {
			p.assume("from " + s.from.Format(isoDate) + " is read as on that day")
			p.alternative("since "+s.from.Format(isoDate), func(q *Query) { q.To = "" })
		}
		p.put(s.from, s.to)
	default:
		p.put(s.from, s.to)
	}
}

// mayOf reports May before what it is the month of: the May inventory.
func (p *parser) mayOf(i int) bool {
	if p.w[i] != "may" {
		return false
	}
	if i+1 >= len(p.w) || p.t[i+1].cut || p.w[i+1] == "at" { // recon fails may
		return i > 0
	}
	_, kind := p.kindOf(p.w[i+1])
	_, test := testPhrases[p.w[i+1]]
	return kind || test || p.longerKind(i+1, 1)
}

// vague are the prepositions that do not mean to be exact.
var vague = set("around", "roughly", "approximately", "circa")

// widened adds before and after a period what a person may err by: a week to
// days, a month to weeks and months, a quarter to what is longer.
func widened(s span) span {
	days := int(s.to.Sub(s.from).Hours()/24) + 1
	switch {
	case days <= 7:
		return span{s.from.AddDate(0, 0, -7), s.to.AddDate(0, 0, 7)}
	case days <= 31:
		next := s.to.AddDate(0, 0, 1)
		return span{addMonths(s.from, -1), addMonths(next, 1).AddDate(0, 0, -1)}
	}
	return span{addMonths(s.from, -3), addMonths(s.to.AddDate(0, 0, 1), 3).AddDate(0, 0, -1)}
}

func (p *parser) put(from, to time.Time) {
	if !from.IsZero() {
		p.q.From = from.Format(isoDate)
	}
	if !to.IsZero() {
		p.q.To = to.Format(isoDate)
	}
}
