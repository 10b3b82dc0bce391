package query

import "strings"

// Ways of asking for groups and counts beside the thing that is counted.

// brokenDown reads "break down the alarms by site", whose verb says nothing more.
func (p *parser) brokenDown(i int) int {
	n := 0
	switch two := p.from(i, 2); {
	case two == "break down" || two == "split up" || two == "break out":
		n = 2
	case two == "breakdown of" || two == "breakout of" || two == "split of":
		n = 2
	case has([]string{"break", "split", "breakdown", "breakout"}, p.w[i]):
		n = 1
	default:
		return 0
	}
	for j := i + n; j+1 < len(p.w); j++ {
		if (p.w[j] == "by" || p.w[j] == "per" || p.w[j] == "for" && p.w[j+1] == "each") && (groups[p.w[j+1]] != "" || p.w[j+1] == "each" || has([]string{"product", "grade"}, p.w[j+1])) {
			p.plural = true
			for k := i + n; k < j; k++ {
				if p.w[k] == "down" || p.w[k] == "up" || p.w[k] == "out" {
					p.done = append(p.done, k)
				}
			}
			return n
		}
	}
	return 0
}

// theNumber reads "the number" and "just the count" at the end of a clause.
func (p *parser) theNumber(i int) int {
	n := 1
	if has([]string{"the", "a", "just"}, p.w[i]) {
		n = 2
	}
	if p.from(i, 3) == "just the number" || p.from(i, 3) == "only the number" || p.from(i, 3) == "just a number" {
		n = 3
	}
	end := i + n
	if n == 1 || end > len(p.w) || p.w[end-1] != "number" || end < len(p.w) && (!p.t[end].cut || deviceForm.MatchString(p.w[end])) || p.howMuch || p.q.Figure != "" {
		return 0
	}
	p.q.Count = true
	return n
}

// onesWithout reads "which ones haven't" after "each tank": those are wanted.
func (p *parser) onesWithout(i int) int {
	if p.per == "" || p.q.Missing != "" {
		return 0
	}
	for _, s := range []string{"which ones", "which one", "which of them", "are any", "any that", "is any", "which", "who", "any"} {
		n := strings.Count(s, " ") + 1
		if p.from(i, n) != s {
			continue
		}
		for i+n < len(p.w) && has([]string{"are", "is", "have", "has", "do", "does", "did", "still", "that"}, p.w[i+n]) {
			n++
		}
		if i+n >= len(p.w) || !absent[p.w[i+n]] && p.w[i+n] != "not" || i+n+1 < len(p.w) && !p.t[i+n+1].cut && !has([]string{"got", "had", "yet", "it", "one", "have", "been", "gotten", "any"}, p.w[i+n+1]) {
			return 0
		}
		p.group, p.q.Missing = p.per, p.per
		n++
		for i+n < len(p.w) && has([]string{"got", "had", "yet", "it", "one", "have", "been", "gotten", "any"}, p.w[i+n]) {
			n++
		}
		return n
	}
	return 0
}

// oneMore reads "which one had more" and "who had fewer" of several sites.
func (p *parser) oneMore(i int) int {
	n := 0
	for _, s := range []string{"which one", "which of the two", "which of them", "which of those", "which site", "which station", "which store", "which location", "which place", "which", "who", "where"} {
		if k := strings.Count(s, " ") + 1; p.from(i, k) == s {
			n = k
			break
		}
	}
	if n == 0 || p.q.Rank != "" {
		return 0
	}
	for k := 0; k < 4 && i+n < len(p.w) && (helpers[p.w[i+n]] || has([]string{"got", "gets", "saw", "sees", "did", "we", "have", "there", "threw", "of", "them", "they", "the"}, p.w[i+n])); k++ {
		n++
	}
	order := map[string]string{"more": Highest, "fewer": Lowest, "less": Lowest}[p.from(i+n, 1)]
	if order == "" || p.from(i+n+1, 1) == "than" {
		return 0
	}
	p.q.Rank, p.rankAt, p.group = order, []int{i + n}, "site"
	return n + 1
}

// often reads "more than five alarms" and "failed at least twice" after what it is
// asked of, and the clause that only String writes.
func (p *parser) often(i int) int {
	if p.atLeast > 0 {
		return 0
	}
	if two := p.from(i, 2); two == "at least" && i+4 < len(p.w) && p.from(i+3, 2) == "of them" {
		if c, used := count(p.w[i+2:]); used == 1 {
			p.atLeast, p.oftenAt = c, []int{i, i + 1, i + 2}
			return 5
		}
	}
	if p.group == "" || p.group == "month" && p.q.Missing != "" {
		return 0
	}
	for _, s := range []string{"multiple times", "several times", "repeatedly", "more than one", "repeat"} {
		n := strings.Count(s, " ") + 1
		if p.from(i, n) == s && (s != "more than one" && s != "repeat" || p.countedAt(i+n)) {
			return p.groupsOf(i, n, 2)
		}
	}
	n, more := 0, 0
	for k := 3; k >= 1 && n == 0; k-- {
		if b, ok := bounds[p.from(i, k)]; ok && b.field == "" && (b.side == "over" || b.side == "least") {
			n = k
			if b.side == "over" {
				more = 1
			}
		}
	}
	if n > 0 && i+n < len(p.w) {
		if c := map[string]int{"once": 1, "twice": 2}[p.w[i+n]]; c > 0 {
			return p.groupsOf(i, n+1, c+more)
		}
	}
	if i+n >= len(p.w) {
		return 0
	}
	c, used := count(p.w[i+n:])
	at := i + n + used
	if used == 0 || p.w[i+n] == "a" || p.w[i+n] == "an" || p.unitAt(at) || p.quantityAt(at) {
		return 0
	}
	if n == 0 {
		if p.from(at, 2) != "or more" {
			return 0
		}
		at += 2
	}
	if p.from(at, 1) == "times" || p.from(at, 1) == "occasions" {
		return p.groupsOf(i, at+1-i, c+more)
	}
	if !p.countedAt(at) {
		return 0
	}
	return p.groupsOf(i, at-i, c+more)
}

func (p *parser) groupsOf(i, n, least int) int {
	p.atLeast = least
	for j := i; j < i+n; j++ {
		p.oftenAt = append(p.oftenAt, j)
	}
	return n
}

// countedAt reports records within the next words: failed tests, low product alarms.
func (p *parser) countedAt(i int) bool {
	for j := i; j < min(i+4, len(p.w)) && (j == i || !p.t[j].cut); j++ {
		_, kind := p.kindOf(p.w[j])
		_, test := testPhrases[p.w[j]]
		_, result := p.resultAt(j)
		if kind || test || result || dropWords[p.w[j]] || alarmEvents[p.from(j, 2)] || has([]string{"failures", "fails"}, p.w[j]) {
			return true
		}
	}
	return false
}
