package query

import (
	"strconv"
	"strings"

	"tankroll/record"
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
	if dev := devices[p.w[i+n]]; dev != "" && !p.longerKind(i+n, 1) {
		return p.exceptDevice(i, n, dev)
	}
	if k := p.exceptMore(i, n); k > 0 {
		return k
	}
	if p.w[i] == "without" && n == 1 && p.t[i+1].quoted {
		p.q.NotWords = append(p.q.NotWords, p.t[i+1].raw)
		return 2
	}
	if !leavesOut[p.w[i]] && p.from(i, 2) != "apart from" && p.from(i, 2) != "other than" && p.from(i, 2) != "aside from" {
		return 0
	}
	if k := p.exceptText(i + n); k > 0 {
		return n + k
	}
	if k := p.exceptClass(i + n); k > 0 {
		return n + k
	}
	if k := p.exceptResult(i + n); k > 0 {
		return n + k
	}
	return p.exceptUnknown(i, n)
}

// leavesOut are the excluders that mean nothing else.
var leavesOut = set("except", "excluding", "besides", "exclude", "omitting", "omit", "ignoring", "ignore")

// exceptText reads what alarms say that is left out: except high water.
func (p *parser) exceptText(i int) int {
	if p.q.Kind != record.Alarm && !p.alarmed() {
		return 0
	}
	for n := 3; n >= 1; n-- {
		s := p.from(i, n)
		if alarmEvents[s] || s == "sensor out" || n == 1 && has([]string{"fuel", "liquid", "water", "overfills"}, s) {
			p.q.NotWords = append(p.q.NotWords, strings.TrimSuffix(s, "s"))
			if strings.HasPrefix(p.from(i+n, 1), "alarm") {
				n++
			}
			return n
		}
	}
	return 0
}

// exceptClass reads a class of test that is left out: the others are wanted.
func (p *parser) exceptClass(i int) int {
	was := p.q.TestClass
	n := p.class(i)
	if n == 0 {
		return 0
	}
	out := p.q.TestClass
	p.q.TestClass = was
	var others []string
	for _, c := range []string{"0.1", "0.2", "3.0"} {
		if !has(strings.Split(out, ","), c) {
			others = append(others, c)
		}
	}
	p.q.TestClass, p.test, p.plural, p.anyClass = strings.Join(others, ","), true, true, true
	if strings.HasPrefix(p.from(i+n, 1), "test") {
		n++
	}
	return n
}

// exceptResult reads a result that is left out: besides failed ones.
func (p *parser) exceptResult(i int) int {
	code, ok := p.resultAt(i)
	if !ok || p.q.Result != "" {
		return 0
	}
	if p.q.Result = NotPass; code != "pass" {
		var others []string
		for _, c := range []string{"pass", "fail", "inconclusive", "aborted"} {
			if c != code {
				others = append(others, c)
			}
		}
		p.q.Result = strings.Join(others, ",")
	}
	n := 1
	if has([]string{"one", "ones", "test", "tests"}, p.from(i+n, 1)) {
		n++
	}
	return n
}

// exceptUnknown takes what is left out and cannot be as not understood: it must not be
// asked for instead.
func (p *parser) exceptUnknown(i, n int) int {
	end := i + n
	for end < len(p.w) && end < i+n+4 && !p.t[end].cut && !prepositions[p.w[end]] && p.w[end] != "at" && p.w[end] != "in" && !p.dateAt(end) {
		end++
	}
	end = max(end, i+n)
	for j := i; j < end; j++ {
		p.lost = append(p.lost, j)
	}
	return end - i
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
