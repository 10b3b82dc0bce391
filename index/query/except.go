package query

import (
	"strconv"
	"strings"
)

// excluders are the words that leave something out.
var excluders = [][]string{{"other", "than"}, {"apart", "from"}, {"not", "including"}, {"not", "at"}, {"not", "for"}, {"but", "not"}, {"except", "for"},
	{"but"}, {"except"}, {"excluding"}, {"besides"}, {"not", "counting"}, {"leaving", "out"}, {"leave", "out"}, {"aside", "from"}, {"minus"}, {"ignoring"}, {"ignore"}, {"outside", "of"}, {"exclude"}, {"omitting"}, {"omit"}, {"save", "for"}, {"skipping"}, {"skip"}, {"everything", "but"}, {"all", "but"}, {"anywhere", "but"}, {"without"}, {"non"}, {"not"}}

// excepted reads "except diesel" and "at any site but Maple Street".
func (p *parser) excepted(i int) int {
	n := 0
	for _, x := range excluders {
		if p.from(i, len(x)) == strings.Join(x, " ") {
			n = len(x)
			break
		}
	}
	if n == 0 {
		return 0
	}
	for n < 5 && i+n < len(p.w) && has([]string{"at", "for", "from", "the", "product", "those", "of", "on"}, p.w[i+n]) {
		n++
	}
	if i+n >= len(p.w) {
		return 0
	}
	if dev := devices[p.w[i+n]]; dev != "" {
		return p.exceptDevice(i, n, dev)
	}
	return p.exceptMore(i, n)
}

// exceptMore reads the sites or products that are left out, from word i+n on: one, or
// several joined by and, or or a comma.
func (p *parser) exceptMore(i, n int) int {
	add := func(field *string, v string) bool {
		switch {
		case *field == "":
			*field = v
		case strings.Trim(*field+v, "0123456789,") != "" && field == &p.q.NotSite: // names are not joined
			return false
		case !has(strings.Split(*field, ","), v):
			*field += "," + v
		}
		return true
	}
	done := 0
	for at := i + n; at < len(p.w); {
		k := 0
		named := at
		if siteWords[p.w[at]] && at+1 < len(p.w) {
			named++
		}
		if found, size := p.sites.whole(p.w[named:]); size > 0 && len(found) == 1 && (done == 0 || p.q.NotSite != "") {
			x := p.sites.sites[found[0]]
			v := x.Number
			if v == "" {
				v = x.Name
			}
			if add(&p.q.NotSite, v) {
				k = named + size - at
			}
		} else if (named > at || p.siteAhead(named)) && siteNumber.MatchString(p.w[named]) && (done == 0 || p.q.NotSite != "") && add(&p.q.NotSite, p.w[named]) {
			k = named + 1 - at
		} else if named > at && p.t[named].quoted && done == 0 && p.q.NotSite == "" {
			p.q.NotSite = p.t[named].raw
			k = named + 1 - at
		}
		for size := 3; size >= 1 && k == 0 && (done == 0 || p.q.NotGrade != ""); size-- {
			if code, ok := p.grades(p.from(at, size)); ok && !p.cutInside(at, size) && strings.Trim(p.w[at], "0123456789") != "" {
				add(&p.q.NotGrade, code)
				k = size
			}
		}
		if k == 0 {
			break
		}
		at += k
		done = at - i
		if at < len(p.w) && has([]string{"and", "or", "nor"}, p.w[at]) {
			at++
			for at < len(p.w) && has([]string{"at", "for", "from", "the", "of", "on"}, p.w[at]) {
				at++
			}
		} else if at >= len(p.w) || !p.t[at].cut || siteWords[p.w[at]] { // another clause
			break
		}
	}
	return done
}

// exceptDevice reads the tank that is left out. There is no leaving out a line or a
// sensor: it counts as not understood rather than as the one asked for.
func (p *parser) exceptDevice(i, n int, dev string) int {
	at := i + n + 1
	if at < len(p.w) && numberSigns[p.w[at]] {
		at++
	}
	if at >= len(p.w) || p.t[at].cut || !deviceForm.MatchString(p.w[at]) && numerals[p.w[at]] == 0 || p.unitAt(at+1) {
		return 0
	}
	no := strconv.Itoa(max(atoi(p.w[at]), numerals[p.w[at]]))
	if dev == "tank" && p.q.NotTank == "" {
		p.q.NotTank = no
		for at+2 < len(p.w) && (p.w[at+1] == "and" || p.w[at+1] == "or") && deviceForm.MatchString(p.w[at+2]) && !p.siteAhead(at+2) {
			p.q.NotTank += "," + strconv.Itoa(atoi(p.w[at+2]))
			at += 2
		}
		return at + 1 - i
	}
	for j := i; j <= at; j++ {
		p.lost = append(p.lost, j)
	}
	return at + 1 - i
}
