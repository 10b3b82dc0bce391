package query

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// superlative reads "last", "last 5", "5 latest" and "most recent".
func (p *parser) superlative(i int) int {
	lead := 0
	limit := 0
	if n, used := count(p.w[i:]); used > 0 && !(n > 99 && p.siteAhead(i)) && p.w[i] != "a" && p.w[i] != "an" && i+used < len(p.w) {
		k := used
		if p.w[i+k] == "most" {
			k++
		}
		if i+k < len(p.w) && superlatives[p.w[i+k]] != "" {
			lead, limit = k, n
		}
	}
	o := ""
	if i+lead < len(p.w) {
		o = superlatives[p.w[i+lead]]
	}
	if o == "" {
		return 0
	}
	n := lead + 1
	if limit == 0 && i+n < len(p.w) && p.w[i+n] != "a" && p.w[i+n] != "an" {
		if c, used := count(p.w[i+n:]); used > 0 && !p.unitAt(i+n+used) {
			limit = c
			n += used
		}
	}
	p.q.Order, p.superl = o, true
	if limit > 0 {
		p.q.Limit = limit
		if p.q.Count {
			for j := i; j < i+n; j++ {
				p.lost = append(p.lost, j)
			}
		}
	}
	return n
}

// class reads "0.2", ".1 gph", "0.76 l/h" and "monthly"; a bare whole number is
// never a class.
func (p *parser) class(i int) int {
	for n := 4; n >= 1; n-- {
		s := p.from(i, n)
		if strings.HasPrefix(s, ".") {
			s = "0" + s
		}
		code, ok := p.exact(lexicon.TestClass, s)
		if s == "" || !ok {
			continue
		}
		switch {
		case n == 1 && strings.Trim(s, "0123456789") == "", s == "hour", s == "month", s == "year", s == "fine", s == "catastrophic":
			continue
		}
		p.setClassAt(i, code)
		if n == 1 && p.unitAt(i+1) {
			n++
		}
		p.use("class", i, n)
		return n
	}
	return 0
}

func (p *parser) result(i int) int {
	for n := 3; n >= 1; n-- {
		s := p.from(i, n)
		if s == "" || commonWords[s] {
			continue
		}
		code, ok := p.exact(lexicon.Result, s)
		if s == "failures" {
			code, ok, p.test, p.plural = "fail", true, true, true
		}
		if ok {
			if p.q.Result != "" && p.q.Result != code && !p.joined(i, &p.q.Result, code) {
				if p.q.Result != NotPass {
					p.alternative("with the result "+code, func(q *Query) { q.Result = code })
				}
				for j := i; j < i+n; j++ {
					p.lost = append(p.lost, j)
				}
				return n
			}
			if p.q.Result == "" {
				p.q.Result = code
			}
			if n > 1 && (strings.HasSuffix(s, " test") || strings.HasPrefix(s, "test ")) && !strings.HasPrefix(p.from(i+n, 1), "alarm") {
				p.test = true // a failed test is no failed reconciliation
			}
			p.use("result", i, n)
			return n
		}
	}
	return 0
}

func (p *parser) grade(i int) int {
	for n := 3; n >= 1; n-- {
		s := p.from(i, n)
		code, ok := p.exact(lexicon.Grade, s)
		if s == "" || !ok || commonWords[s] || p.cutInside(i, n) {
			continue
		}
		if n == 1 && strings.Trim(s, "0123456789") == "" { // an octane only where it must be one
			if i+1 >= len(p.w) || p.w[i+1] != "octane" && devices[p.w[i+1]] == "" {
				continue
			}
		}
		if s == "plus" && p.plusAnd(i) {
			p.w[i] = "and"
			return 1
		}
		if loose[s] != "" {
			p.assume(s + " is taken as the grade " + code)
			p.alternative("slips that print "+s, func(q *Query) { q.Grade, q.Words = "", append(slices.Clone(q.Words), s) })
		}
		if p.q.Grade != "" && p.q.Grade != code {
			if p.joined(i, &p.q.Grade, code) {
				return n
			}
			for j := i; j < i+n; j++ {
				p.lost = append(p.lost, j)
			}
			return n
		}
		p.q.Grade = code
		return n
	}
	return 0
}

// plusAnd reports "plus" between two of a sort: tanks plus lines.
func (p *parser) plusAnd(i int) bool {
	if i == 0 || i+1 >= len(p.w) {
		return false
	}
	sort := func(j int) string {
		_, kind := p.kindOf(p.w[j])
		_, test := testPhrases[p.w[j]]
		switch {
		case p.isGrade(j):
			return "grade"
		case devices[p.w[j]] != "" || kind || test:
			return "thing"
		}
		return ""
	}
	return sort(i-1) != "" && sort(i-1) == sort(i+1)
}

// use remembers which words gave a field its value, in case the kind asked for
// has no such field.
func (p *parser) use(field string, i, n int) {
	for j := i; j < i+n; j++ {
		p.used[field] = append(p.used[field], j)
	}
}

// joined adds a value to a field that has one, as in "failed or inconclusive";
// several are parted by commas.
func (p *parser) joined(i int, field *string, code string) bool {
	if i == 0 || p.w[i-1] != "or" && p.w[i-1] != "and" && !(p.t[i].cut && (p.ahead(i, "or") || p.ahead(i, "and"))) || *field == NotPass || strings.Count(*field, ",") > 8 {
		return false
	}
	if !slices.Contains(strings.Split(*field, ","), code) {
		*field += "," + code
	}
	return true
}
