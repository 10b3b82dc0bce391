package query

import (
	"math"

	"tankroll/record"
)

// bounds are the words before a number that limit a measure; comparatives say
// which one it is.
var bounds = map[string]struct {
	side, field string
}{
	"over": {"over", ""}, "above": {"over", ""}, "exceeding": {"over", ""}, "more than": {"over", ""}, "greater than": {"over", ""},
	"larger than": {"over", ""}, "bigger than": {"over", ""}, "higher than": {"over", ""}, "longer than": {"over", "duration"},
	"hotter than": {"over", "temperature"}, "warmer than": {"over", "temperature"}, "deeper than": {"over", ""},
	"under": {"under", ""}, "below": {"under", ""}, "less than": {"under", ""}, "fewer than": {"under", ""}, "smaller than": {"under", ""},
	"lower than": {"under", ""}, "shorter than": {"under", "duration"}, "colder than": {"under", "temperature"}, "cooler than": {"under", "temperature"},
	"at least": {"least", ""}, "no less than": {"least", ""}, "not less than": {"least", ""}, "at most": {"most", ""}, "no more than": {"most", ""}, "not more than": {"most", ""},
}

// ahead reports a word among those that follow.
func (p *parser) ahead(i int, word string) bool { return has(p.w[i:min(i+12, len(p.w))], word) }

// bothBounds reads "between 3,000 and 3,100 gallons".
func (p *parser) bothBounds(i int) int {
	if p.w[i] != "between" || i+4 >= len(p.w) || p.w[i+2] != "and" && p.w[i+2] != "to" || !p.quantityAt(i+4) || p.q.AtLeast != nil || p.q.AtMost != nil {
		return 0
	}
	low, ok := figure(p.w[i+1])
	high, ok2 := figure(p.w[i+3])
	if !ok || !ok2 {
		return 0
	}
	u := units[p.w[i+4]]
	low, high = math.Round((min(low, high)*u.scale+u.zero)*1e4)/1e4, math.Round((max(low, high)*u.scale+u.zero)*1e4)/1e4
	p.q.AtLeast, p.q.AtMost = &low, &high
	p.boundOf, p.boundUnit = u.quantity, true
	for j := i; j < i+5; j++ {
		p.boundAt = append(p.boundAt, j)
	}
	return 5
}

// bound reads "over 8,000 gallons" and "shorter than 3 hours".
func (p *parser) bound(i int) int {
	if n := p.bothBounds(i); n > 0 {
		return n
	}
	if n := p.boundAfter(i); n > 0 {
		return n
	}
	for n := 3; n >= 1; n-- {
		b, ok := bounds[p.from(i, n)]
		at := i + n
		if !ok || at >= len(p.w) {
			continue
		}
		if p.w[at] == "about" && at+1 < len(p.w) {
			at++
		}
		v, used := p.amount(at)
		if part, n := p.partFull(at); n > 0 {
			v, used = part, n-1
			b.field = "percent_full"
		}
		if used == 0 {
			continue
		}
		at += used - 1
		if at+1 < len(p.w) && p.unitAt(at+1) && !p.quantityAt(at+1) { // days, weeks
			return 0
		}
		if n == 1 && yearForm.MatchString(p.w[at]) && !p.quantityAt(at+1) && p.measures == nil && !p.byMeasure() { // over 2024
			return 0
		}
		at++
		if at < len(p.w) {
			if u, ok := units[p.w[at]]; ok {
				v = math.Round((v*u.scale+u.zero)*1e4) / 1e4
				p.boundOf, p.boundUnit = u.quantity, true
				at++
				if u.quantity == record.Plain && at < len(p.w) && p.w[at] == "full" {
					b.field = "percent_full"
					at++
				}
				if u.quantity == record.Volume && at < len(p.w) && has([]string{"off", "short", "over", "out"}, p.w[at]) { // 190 gallons off
					b.field = "over_short"
					at++
				}
			}
		}
		side := map[string]**float64{"over": &p.q.Over, "under": &p.q.Under, "least": &p.q.AtLeast, "most": &p.q.AtMost}[b.side]
		if *side != nil {
			return 0
		}
		*side = &v
		p.boundField = b.field
		for j := i; j < at; j++ {
			p.boundAt = append(p.boundAt, j)
		}
		return at - i
	}
	return 0
}

// fractions are parts of one as people write them.
var fractions = map[string]float64{"half": .5, "half a": .5, "half an": .5, "a half": .5, "one half": .5, "one-half": .5, "1/2": .5, "half of an": .5,
	"quarter": .25, "a quarter": .25, "one quarter": .25, "quarter of an": .25, "a quarter of an": .25, "one quarter of an": .25, "1/4": .25,
	"three quarters": .75, "three quarters of an": .75, "three quarter": .75, "3/4": .75, "1/8": .125, "an eighth of an": .125}

// amount reads a number, "an" before a unit, "half an inch" and "1 1/2 inches".
func (p *parser) amount(i int) (v float64, used int) {
	if v, ok := figure(p.w[i]); ok {
		if more := fractions[p.from(i+1, 1)]; more > 0 && p.quantityAt(i+2) {
			return v + more, 2
		}
		return v, 1
	}
	for n := 4; n >= 2; n-- {
		if v := fractions[p.from(i, n)]; v > 0 && p.quantityAt(i+n) {
			return v, n
		}
	}
	switch {
	case fractions[p.w[i]] > 0 && i+1 < len(p.w) && p.quantityAt(i+1): // 1/2 inch
		return fractions[p.w[i]], 1
	case i+1 < len(p.w) && p.quantityAt(i+1) && p.w[i] != "in":
		if n, used := count(p.w[i:]); used == 1 {
			return float64(n), 1
		}
	}
	return 0, 0
}

// parts are the words for how full a tank is, in percent.
var parts = map[string]float64{"half": 50, "a half": 50, "quarter": 25, "a quarter": 25, "one quarter": 25, "third": 33, "a third": 33, "one third": 33,
	"two thirds": 67, "three quarters": 75, "three quarter": 75}

// partFull reads "half full" and "a quarter full" as percent.
func (p *parser) partFull(i int) (percent float64, used int) {
	for n := 3; n >= 1; n-- {
		v := parts[p.from(i, n)]
		if v > 0 && i+n < len(p.w) && p.w[i+n] == "full" {
			p.done = append(p.done, i+n)
			return v, n + 1
		}
	}
	return 0, 0
}

// boundAfter reads "5,000 gallons or more".
func (p *parser) boundAfter(i int) int {
	v, used := p.amount(i)
	if used == 0 || i+used >= len(p.w) {
		return 0
	}
	at := i + used
	u, ok := units[p.w[at]]
	if ok {
		at++
	}
	for ; at < len(p.w) && at < i+used+5; at++ { // 2 inches of water or more
		side := map[string]**float64{"or more": &p.q.AtLeast, "or less": &p.q.AtMost}[p.from(at, 2)]
		if side == nil {
			if !ok || p.w[at] == "and" || p.t[at].cut {
				return 0
			}
			continue
		}
		if *side != nil {
			return 0
		}
		if ok {
			v = math.Round((v*u.scale+u.zero)*1e4) / 1e4
			p.boundOf, p.boundUnit = u.quantity, true
			used++
		}
		*side = &v
		for j := i; j < i+used; j++ {
			p.boundAt = append(p.boundAt, j)
		}
		p.done = append(p.done, at, at+1)
		return used
	}
	return 0
}
