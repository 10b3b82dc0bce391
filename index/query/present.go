package query

import (
	"strings"

	"tankroll/record"
)

// Words before the newest record that a question is to be judged by: strong ones on
// their own, weak ones only before "its" and "their".
var (
	judgedBy     = []string{"going by", "go by", "going off", "according to", "based on", "judging by", "judging from", "as per", "looking at"}
	judgedWeakly = []string{"as", "by", "per", "as of", "at", "on", "in", "from", "with"}
	newestWords  = [][]string{{"very", "latest"}, {"very", "last"}, {"most", "recent"}, {"newest"}, {"latest"}, {"last"}, {"recent"}, {"current"}, {"freshest"}}
)

// byNewest reads "going by their latest inventories" and "whose most recent test is":
// of each the newest counts.
func (p *parser) byNewest(i int) int {
	n := 0
	strong := false
	for _, s := range judgedBy {
		if p.from(i, 2) == s {
			n, strong = 2, true
		}
	}
	if p.w[i] == "whose" || p.from(i, 2) == "where the" || p.from(i, 2) == "where its" || p.from(i, 2) == "where their" {
		n, strong = 1, true
	}
	for _, s := range judgedWeakly {
		if k := strings.Count(s, " ") + 1; n == 0 && p.from(i, k) == s {
			n = k
		}
	}
	if n == 0 || i+n >= len(p.w) {
		return 0
	}
	if own := has([]string{"its", "their", "his", "each", "every"}, p.w[i+n]); own || strong && (p.w[i+n] == "the" || p.w[i+n] == "our") {
		n++
	} else if !strong {
		return 0
	}
	for k := 0; k < len(newestWords); k++ {
		w := newestWords[k]
		if p.from(i+n, len(w)) != strings.Join(w, " ") {
			continue
		}
		n += len(w)
		for k := 3; k >= 1; k-- {
			s := p.from(i+n, k)
			if s == "" || p.cutInside(i+n, k) {
				continue
			}
			if kind, ok := p.kindOf(s); ok {
				p.takeKind(i+n, k, kind, s)
				p.plural = false
				p.now, p.newest = true, true
				return n + k
			}
			if class, ok := testPhrases[s]; ok {
				p.test, p.now, p.newest = true, true, true
				p.setClass(class)
				return n + k
			}
		}
		if i+n < len(p.w) && has([]string{"reading", "readings", "report", "reports", "record", "records", "printout", "printouts", "slip", "slips", "numbers", "status", "state", "states", "level", "levels", "check", "one", "ones", "result", "results"}, p.w[i+n]) {
			if strings.HasPrefix(p.w[i+n], "result") {
				p.test = true
			}
			p.now, p.newest = true, true
			return n + 1
		}
		return 0
	}
	return 0
}

// goodOn reads "is Oak Street good on its line tests": how the newest of each went.
func (p *parser) goodOn(i int) int {
	if !has([]string{"good", "alright", "fine", "current", "ok", "okay", "set", "covered", "square", "caught", "up"}, p.w[i]) {
		return 0
	}
	if has([]string{"good", "ok", "okay", "alright", "fine"}, p.w[i]) && (i+1 == len(p.w) || p.t[i+1].cut) && p.q.Kind == "" && !p.test {
		for _, many := range []string{"lines", "tanks", "sensors"} {
			if has(p.w[:i], many) {
				p.goodFor, p.test = true, many != "sensors"
				return 1
			}
		}
	}
	for _, s := range []string{"good on", "good for", "current on", "current with", "ok on", "okay on", "set on", "covered on", "covered for", "square on", "caught up on", "caught up with", "up to date on", "up to date with", "good with"} {
		if p.from(i, strings.Count(s, " ")+1) == s && has([]string{"is", "are", "all"}, p.before(i)) {
			p.goodFor = true
			return strings.Count(s, " ") + 1
		}
	}
	return 0
}

// allGood reads "are all sensors normal" and "did every line pass": those that are not
// are wanted.
func (p *parser) allGood(i int) int {
	if !has([]string{"is", "are", "was", "were", "did", "do", "have"}, p.w[i]) || i+2 >= len(p.w) || !has([]string{"all", "every"}, p.w[i+1]) || p.asksFigure(i) {
		return 0
	}
	n := 2
	for i+n < len(p.w) && has([]string{"of", "our", "the", "my", "three", "four", "five"}, p.w[i+n]) {
		n++
	}
	if i+n >= len(p.w) || devices[groups[p.w[i+n]]] == "" || p.longerKind(i+n, 1) {
		return 0
	}
	for j := i + n + 1; j < len(p.w); j++ {
		code, ok := p.resultAt(j)
		if (p.w[j] == "normal" || ok && code == "pass") && !has(p.w[i+n:j], "a") && !has(p.w[i+n:j], "any") && !has(p.w[i+n:j], "have") {
			p.mentioned[devices[p.w[i+n]]] = true
			if ok {
				p.passAll = groups[p.w[i+n]]
			} else {
				p.q.State, p.done = NotNormal, append(p.done, j)
				p.now = !p.has(i, "did")
			}
			p.assume("those that are not are listed")
			return n + 1
		}
	}
	return 0
}

// classAlone reads "the annual" and "its last monthly" where no noun follows.
func (p *parser) classAlone(i int) int {
	class := classWords[p.w[i]]
	if class == "" || i == 0 || !has([]string{"the", "its", "their", "an", "a", "last", "latest", "passing", "failed", "passed", "newest", "first"}, p.w[i-1]) || p.w[i] == "precision" {
		return 0
	}
	if i+1 < len(p.w) && !p.t[i+1].cut && !prepositions[p.w[i+1]] && !helpers[p.w[i+1]] && !has([]string{"at", "pass", "passed", "fail", "failed", "and", "or", "due"}, p.w[i+1]) {
		return 0
	}
	p.setClass(class)
	p.test = true
	return 1
}

// howDid reads "how did all my tanks do" and "how did it go": it asks for tests.
func (p *parser) howDid(i int) int {
	if p.from(i, 2) != "how did" && p.from(i, 2) != "how have" && p.w[i] != "howd" {
		return 0
	}
	for j := i + 2; j < min(i+9, len(p.w)); j++ {
		if has([]string{"do", "go", "fare", "perform", "make out", "done", "gone", "come out", "turn out"}, p.w[j]) || has([]string{"come out", "turn out", "make out"}, p.from(j, 2)) {
			p.fared = true
			p.done = append(p.done, j)
			return min(2, len(p.w)-i)
		}
	}
	return 0
}

// before is the nearest word before another that is an auxiliary or "all", "" when
// none is near.
func (p *parser) before(i int) string {
	for j := i - 1; j >= max(0, i-6); j-- {
		if has([]string{"is", "are", "all"}, p.w[j]) {
			return p.w[j]
		}
	}
	return ""
}

// asksNow reports a question in the present tense about tanks and a bound: is any
// tank under 2,000 gallons.
func (p *parser) asksNow() bool {
	q := p.q
	if len(p.boundAt) == 0 || q.From+q.To != "" || p.superl || q.Count || p.test || q.Kind != "" && q.Kind != record.Inventory || q.Figure != "" || q.Order == Highest || q.Order == Lowest {
		return false
	}
	if q.Kind == record.Inventory && p.phrase != "" && !p.mentioned["tank"] {
		return false
	}
	for _, m := range p.measures { // a leak rate is none of inventory
		if _, ok := record.Spec(record.Inventory, m.m.field); !ok {
			return false
		}
	}
	is := false
	for i, w := range p.w {
		switch {
		case has([]string{"was", "were", "did", "had", "ever", "been", "went", "got", "dropped", "fell"}, w) && !(w == "got" && i > 0 && p.group != ""):
			return false
		case i < 4 && has([]string{"is", "are", "any", "anybody", "anyone", "who", "whos", "have", "has", "got", "tanks", "tank"}, w):
			is = true
		}
	}
	is = is || p.now || p.group == "tank" || p.group == "site"
	return is && (p.mentioned["tank"] || q.Grade != "" || p.group != "")
}

// leftOver reads "left", "remaining" and "on hand", which ask what is in a tank.
func (p *parser) leftOver(i int) int {
	n := 0
	switch {
	case has([]string{"left", "remaining"}, p.w[i]) && p.from(i, 2) != "left over":
		n = 1
	case has([]string{"on hand", "in stock", "still have", "still got", "left over"}, p.from(i, 2)):
		n = 2
	default:
		return 0
	}
	if p.longerKind(i, n) || p.measureAt(i) {
		return 0
	}
	p.left = true
	return n
}

// settlePresent decides what a question about how things stand asks for.
func (p *parser) settlePresent() {
	q := &p.q
	if p.left && q.Kind == "" && !p.test {
		q.Kind = record.Inventory
		p.superl = p.superl || q.From+q.To == "" && q.Figure == "" && len(p.boundAt) == 0
		p.assume("what is left is taken to ask for inventory")
	}
	if p.newest && q.Tank+q.Line+q.Sensor != "" && !strings.Contains(q.Tank+q.Line+q.Sensor, ",") { // of one tank the newest is the answer
		p.now, p.superl = false, true
	}
	if p.asksNow() {
		p.now, p.per, p.group, p.whichOf = true, "", "tank", false
		p.mentioned["tank"] = true
		if q.Kind == "" {
			q.Kind = record.Inventory
		}
		p.all = false
	}
	if p.fared && q.Kind == "" && !p.test && q.Measure == "" && len(p.measures) == 0 && !p.mentioned["sensor"] {
		p.test, p.plural = true, true
		p.assume("how it did is taken to ask for tests")
	}
	if p.passAll == "" && q.Result == "pass" && p.didPass() {
		q.Result = ""
		p.test = p.test || q.Kind == ""
		p.assume("whether it passed is taken to ask for the test, however it went")
	}
	if p.passAll != "" && q.Result == "pass" {
		if q.From+q.To != "" {
			q.Missing = p.passAll
		} else {
			q.Result, p.now = NotPass, true
		}
	}
	if p.goodFor && p.per == "" && q.Tank+q.Line+q.Sensor == "" {
		for _, dev := range []string{"line", "sensor", "tank"} {
			if p.mentioned[dev] || q.Kind == deviceKinds[dev] {
				p.per, p.all = dev, false
				break
			}
		}
	}
}

// didPass reports "did tank 2 pass its test", which asks of known tests how they went.
func (p *parser) didPass() bool {
	if p.group != "" || p.per != "" || p.q.Count || p.q.Missing != "" || p.listed {
		return false
	}
	for i := range min(len(p.w), 8) {
		if !has([]string{"did", "do", "has", "have"}, p.w[i]) || i > 0 && !p.t[i].cut && !has([]string{"when", "and", "so", "me", "please", "know", "remember", "wondering"}, p.w[i-1]) {
			continue
		}
		if i > 0 && p.w[i-1] == "when" {
			return false
		}
		for j := i + 2; j < len(p.w); j++ {
			if p.w[j] == "pass" || p.w[j] == "passed" {
				return !has([]string{"a", "any", "the", "ever", "no", "get", "got", "have", "had", "not", "last"}, p.w[j-1]) && !has([]string{"a", "an", "any"}, p.from(j+1, 1)) && !has(p.w[i:j], "ever") && !has(p.w[i:j], "any")
			}
		}
	}
	return false
}

// deviceKinds are the kinds of record that tell how a device is.
var deviceKinds = map[string]record.Kind{"line": record.LineTest, "sensor": record.SensorStatus, "tank": record.TankTest}
