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
	named := n
	if siteWords[p.w[i+n]] && i+n+1 < len(p.w) {
		named++
	}
	if found, k := p.sites.whole(p.w[i+named:]); k > 0 && len(found) == 1 && p.q.NotSite == "" {
		x := p.sites.sites[found[0]]
		if p.q.NotSite = x.Number; x.Number == "" {
			p.q.NotSite = x.Name
		}
		return named + k
	}
	if named < len(p.w)-i && (named > n || p.siteAhead(i+named)) && siteNumber.MatchString(p.w[i+named]) && p.q.NotSite == "" {
		p.q.NotSite = p.w[i+named]
		return named + 1
	}
	if named > n && p.t[i+named].quoted && p.q.NotSite == "" {
		p.q.NotSite = p.t[i+named].raw
		return named + 1
	}
	for k := 3; k >= 1; k-- {
		if code, ok := p.grades(p.from(i+n, k)); ok && p.q.NotGrade == "" && !p.cutInside(i+n, k) && strings.Trim(p.w[i+n], "0123456789") != "" {
			p.q.NotGrade = code
			return n + k
		}
	}
	return 0
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
