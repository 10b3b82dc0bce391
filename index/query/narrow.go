package query

import (
	"slices"
	"strconv"
	"strings"
)

// upTo reads "six months leading up to May 2025" and "the month before June 3".
func (p *parser) upTo(i int) int {
	n := 0
	if i < len(p.w) && p.w[i] == "the" {
		n = 1
	}
	if i+n >= len(p.w) || p.q.From+p.q.To != "" {
		return 0
	}
	units, used := count(p.w[i+n:])
	if used == 0 && n > 0 {
		units = 1
	} else if used == 0 {
		return 0
	}
	at := i + n + used
	if at+1 >= len(p.w) {
		return 0
	}
	unit := calendarUnit(p.w[at])
	at++
	for _, s := range []string{"leading until", "running until", "until", "leading up to", "leading to", "immediately before", "just before", "right before", "before", "preceding", "up to", "ending", "ending on", "after", "following"} {
		k := strings.Count(s, " ") + 1
		if p.from(at, k) != s || at+k >= len(p.w) || p.t[at+k].quoted {
			continue
		}
		d := p.dates
		to, more := d.span(p.w[at+k:], true)
		_, ok := d.back(units, unit)
		if more == 0 || !ok {
			return 0
		}
		p.dates = d
		if s == "after" || s == "following" {
			end := dates{today: to.to}
			day, _ := end.back(-units, unit)
			p.put(to.to.AddDate(0, 0, 1), day)
		} else {
			start := dates{today: to.from}
			day, _ := start.back(units, unit)
			p.put(day, to.from.AddDate(0, 0, -1))
		}
		return at + k + more - i
	}
	return 0
}

// telling reports a word that a question may turn on.
func (p *parser) telling(i int) bool {
	w := p.w[i]
	_, kind := p.kindOf(w)
	_, grade := p.grades(w)
	_, result := p.resultAt(i)
	return kind && w != "events" || grade || result || devices[w] != "" || siteWords[w] || turners[w] || numerals[w] > 0 || p.measureAt(i) || siteNumber.MatchString(w)
}

// sameYear gives a first end without a year that of the other end: June through
// August 2024.
func (p *parser) sameYear(s, to span, i, used, end int) span {
	last := p.w[end-1]
	if !yearForm.MatchString(last) || to.to.Year() == s.from.Year() {
		return s
	}
	again := p.dates
	for _, year := range []string{last, strconv.Itoa(atoi(last) - 1)} {
		if first, k := again.span(append(slices.Clone(p.w[i:i+used]), year), true); k == used+1 && !first.from.After(to.to) {
			return first
		}
	}
	return s
}

// narrowed takes a second clause that is within the first, or the month of a year
// named apart: "this spring, March through May", "in 2023, the May deliveries".
func (p *parser) narrowed(prep string, s, to span, both bool) bool {
	q := &p.q
	from, until, assumed := q.From, q.To, q.Assumed
	q.From, q.To = "", ""
	p.setRange(prep, s, to, both)
	second := [2]string{q.From, q.To}
	q.From, q.To, q.Assumed = from, until, assumed
	if from == "" || until == "" || second[0] == "" || second[1] == "" {
		return false
	}
	first := [2]string{from, until}
	if year, ok := wholeYear(second); ok && !within2(second, first) && from[:4] == until[:4] {
		first, second = second, [2]string{year + from[4:], year + until[4:]}
	} else if year, ok := wholeYear(first); ok && second[0][:4] == second[1][:4] {
		second = [2]string{year + second[0][4:], year + second[1][4:]}
	}
	switch {
	case within2(first, second):
		q.From, q.To = second[0], second[1]
	case !within2(second, first):
		return false
	}
	return true
}

// within2 reports a range of dates within another.
func within2(outer, inner [2]string) bool { return outer[0] <= inner[0] && inner[1] <= outer[1] }

func wholeYear(r [2]string) (year string, ok bool) {
	return r[0][:4], r[0][:4] == r[1][:4] && r[0][4:] == "-01-01" && r[1][4:] == "-12-31"
}
