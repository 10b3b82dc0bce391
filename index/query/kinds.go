package query

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

func (p *parser) method(i int) int {
	if p.w[i] == "method" && i+1 < len(p.w) && p.knows(lexicon.Method, p.w[i+1]) {
		p.q.Method = p.w[i+1]
		return 2
	}
	for n := 3; n >= 1; n-- {
		if code, ok := methodWords[p.from(i, n)]; ok {
			p.q.Method, p.test = code, true
			return n
		}
	}
	return 0
}

// kindPhrase takes the longest run of words that names a kind or a test.
func (p *parser) kindPhrase(i int) int {
	for n := 6; n >= 1; n-- {
		s := p.from(i, n)
		if s == "" || p.cutInside(i, n) {
			continue
		}
		if class, ok := testPhrases[s]; ok {
			p.test = true
			p.plural = p.plural || strings.HasSuffix(s, "s")
			p.setClassAt(i, class)
			return n
		}
		if k, ok := p.kindOf(s); ok {
			p.takeKind(i, n, k, s)
			if n > 1 && devices[p.w[i+n-1]] != "" { // "test of tank 3": the number is still to come
				n--
			}
			return n
		}
	}
	return 0
}

// eitherTest reads "tank or line tests", which are tests of both.
func (p *parser) eitherTest(i int) int {
	if i+3 >= len(p.w) || p.w[i+1] != "or" && p.w[i+1] != "and" || p.q.Kind != "" {
		return 0
	}
	for n := 4; n >= 1; n-- {
		s := p.from(i+2, n)
		k, ok := p.kindOf(s)
		if !ok || k != record.TankTest && k != record.LineTest || devices[p.w[i]] == "" || devices[p.w[i]] == devices[p.w[i+2]] || devices[p.w[i]] == "sensor" {
			continue
		}
		p.test, p.mentioned["tank"], p.mentioned["line"] = true, true, true
		p.plural = p.plural || strings.HasSuffix(s, "s")
		for _, w := range strings.Fields(s) {
			p.setClass(classWords[w])
		}
		return 2 + n
	}
	return 0
}

func (p *parser) kindOf(s string) (record.Kind, bool) {
	if k, ok := kindPhrases[s]; ok {
		return k, true
	}
	if notKinds[s] || superlatives[strings.SplitN(s, " ", 2)[0]] != "" {
		return "", false
	}
	code, ok := p.exact(lexicon.Kind, s)
	if record.Kind(code) == record.LineSummary && !strings.Contains(s, "summar") && !strings.Contains(s, "recap") && !strings.Contains(s, "overview") {
		if strings.Contains(s, "pass") { // passed line tests are tests with a result
			return "", false
		}
		return record.LineTest, ok
	}
	return record.Kind(code), ok
}

func (p *parser) takeKind(i, n int, k record.Kind, s string) {
	if k == record.Delivery && slices.ContainsFunc(p.measures, func(m mention) bool { return m.m.field == "ullage" }) { // room for a delivery
		return
	}
	if p.q.Kind != "" && p.q.Kind != k && p.q.OrKind == "" && i > 0 && (p.w[i-1] == "or" || p.w[i-1] == "and") && p.endsPhrase(i-1) {
		p.q.OrKind, p.plural = k, p.plural || strings.HasSuffix(s, "s")
		return
	}
	if p.q.Kind != "" && p.q.Kind != k {
		for j := i; j < i+n; j++ {
			p.lost = append(p.lost, j)
		}
		return
	}
	p.q.Kind, p.phrase = k, s
	head, _, _ := strings.Cut(s, " of ") // "test of tanks" is one test
	p.plural = p.plural || strings.HasSuffix(head, "s") && !strings.HasSuffix(head, "status") && !strings.HasSuffix(head, "limits")
	if k == record.TankTest || k == record.LineTest {
		for _, w := range strings.Fields(s) {
			p.setClassAt(i, classWords[w])
		}
	}
	if k == record.SensorStatus || k == record.Alarm {
		for _, w := range strings.Fields(s) {
			for _, pl := range places {
				if has(pl.words, w) && p.q.Place == "" {
					p.q.Place = pl.code
				}
			}
		}
	}
	if k == record.Alarm {
		for _, w := range strings.Fields(s) {
			if slices.Contains([]string{"active", "open", "current", "now"}, w) {
				p.q.State = "raised"
				p.assume("active alarms are taken to be records that say raised")
			}
		}
		if i > 0 && devices[p.w[i-1]] != "" && !p.t[i].cut {
			p.q.Device = devices[p.w[i-1]]
		}
	}
}

// endsPhrase reports a name of the kind asked for just before word i: "inventory or
// delivery records".
func (p *parser) endsPhrase(i int) bool {
	for n := 1; n <= 5 && n <= i; n++ {
		if k, ok := p.kindOf(p.from(i-n, n)); ok && k == p.q.Kind {
			return true
		}
	}
	return i > 0 && has([]string{"records", "reports", "record", "readings"}, p.w[i-1]) && i > 1 && p.endsPhrase(i-1)
}

// troubles ask for what a console complained of.
var troubles = set("went wrong", "gone wrong", "going wrong", "wrong", "problem", "problems", "trouble", "troubles", "issue", "issues")

func (p *parser) setClass(class string) {
	if class != "" {
		p.q.TestClass = class
	}
}

// setClassAt takes a class that is named at word i: beside another where it is joined
// to it, "the 0.1 and 0.2 tests", else for it.
func (p *parser) setClassAt(i int, class string) {
	if class == "" || p.q.TestClass != "" && p.joined(i, &p.q.TestClass, class) {
		return
	}
	p.q.TestClass = class
}

// inAlarm reads "is anything in alarm" and "what went wrong".
func (p *parser) inAlarm(i int) int {
	for n := 2; n >= 1; n-- {
		if s := p.from(i, n); troubles[s] && p.q.Kind == "" && !p.test {
			p.q.Kind, p.plural = record.Alarm, !has(p.w, "thing")
			p.assume(s + " is taken to ask for alarms")
			p.alternative("tests that failed", func(q *Query) { q.Kind, q.AnyTest, q.Result, q.Words = "", true, "fail", nil })
			return n
		}
	}
	if p.from(i, 2) != "in alarm" || p.q.Kind != "" {
		return 0
	}
	p.q.Kind, p.q.State = record.Alarm, "raised"
	p.assume("in alarm is taken to ask for alarms that say raised")
	return 2
}
