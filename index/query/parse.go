package query

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// manyLimit is how many records "the latest tests" asks for.
const manyLimit = 10

var (
	identForm  = regexp.MustCompile(`^[A-Za-z0-9-]*[0-9][A-Za-z0-9-]*$`)
	deviceForm = regexp.MustCompile(`^0*([0-9]{1,3})$`)
	siteNumber = regexp.MustCompile(`^[0-9]{1,6}$`)
)

// Parse reads a question; it cannot fail. now settles what "last month" means;
// only its date counts. Words that had no effect are in NotUnderstood.
func Parse(question string, now time.Time, lex *lexicon.Lexicon) Query {
	words, rest := split(question)
	known := spellings(lex)
	q, pending := parseWords(words, now, lex, known)
	if fixed, notes := mend(words, pending, lex); len(notes) > 0 {
		q, _ = parseWords(fixed, now, lex, known)
		q.Assumed = append(notes, q.Assumed...)
	}
	if rest {
		q.NotUnderstood = append(q.NotUnderstood, "(the rest of a long question)")
	}
	return q
}

// parser goes over the words once, from left to right.
type parser struct {
	w       []string // the words, compared in this form
	t       []token
	lex     *lexicon.Lexicon
	exactly map[lexicon.Sense]map[string]string
	dates   dates
	q       Query
	pending []int // words that nobody knew what to do with
	lost    []int // words that were understood but could not be used

	test      bool   // spoke of tests
	plural    bool   // spoke of several
	superl    bool   // asked for the last or first
	all       bool   // asked for all
	phrase    string // the kind as asked
	mentioned map[string]bool
	soft      []int // words like "fuel", that count only beside an alarm or a sensor
}

func parseWords(t []token, now time.Time, lex *lexicon.Lexicon, known map[lexicon.Sense]map[string]string) (Query, []int) {
	p := &parser{t: t, lex: lex, exactly: known, mentioned: map[string]bool{},
		dates: dates{today: day(now.Year(), now.Month(), now.Day()), lex: lex}}
	for _, tok := range t {
		w := tok.word
		if tok.quoted {
			w = "\x00" // no rule about words may look into a quotation
		}
		p.w = append(p.w, w)
	}
	rules := []func(int) int{p.quotation, p.labelled, p.timeClause, p.howMany, p.orderOnly, p.negated, p.kindPhrase, p.site, p.device,
		p.superlative, p.class, p.result, p.grade, p.every, p.fill}
	for i := 0; i < len(p.w); {
		n := 0
		for _, rule := range rules {
			if n = rule(i); n > 0 {
				break
			}
		}
		if n == 0 {
			p.pending = append(p.pending, i)
			n = 1
		}
		i += n
	}
	p.settleKind()
	unknown := p.settleWords()
	p.settleLimit()
	p.q.Assumed = append(p.dates.assumed, p.q.Assumed...)
	return p.q, unknown
}

func (p *parser) assume(text string) { p.q.Assumed = append(p.q.Assumed, text) }

func (p *parser) quotation(i int) int {
	if !p.t[i].quoted {
		return 0
	}
	p.q.Words = append(p.q.Words, p.t[i].raw)
	return 1
}

// labelled reads the clauses that only Query.String writes.
func (p *parser) labelled(i int) int {
	if i+1 >= len(p.w) {
		return 0
	}
	v := p.w[i+1]
	switch p.w[i] {
	case "state":
		if p.knows(lexicon.SensorState, v) || p.knows(lexicon.AlarmState, v) {
			p.q.State = v
			return 2
		}
	case "product", "grade":
		if p.knows(lexicon.Grade, v) {
			p.q.Grade = v
			return 2
		}
	case "device":
		if p.knows(lexicon.Device, v) {
			p.q.Device = v
			return 2
		}
	}
	return 0
}

func (p *parser) knows(s lexicon.Sense, code string) bool {
	_, ok := p.lex.Terms(s)[code]
	return ok
}

// exact is a look-up without the lexicon's tolerance: a person types other
// mistakes than a reader of faded print makes.
func (p *parser) exact(s lexicon.Sense, phrase string) (string, bool) {
	code, ok := p.exactly[s][phrase]
	return code, ok
}

// spellings turns the senses that questions use round: spelling to code.
func spellings(lex *lexicon.Lexicon) map[lexicon.Sense]map[string]string {
	out := map[lexicon.Sense]map[string]string{}
	for _, s := range []lexicon.Sense{lexicon.Grade, lexicon.Result, lexicon.Kind, lexicon.SensorState, lexicon.AlarmState, lexicon.TestClass} {
		terms := lex.Terms(s)
		out[s] = map[string]string{}
		for _, code := range slices.Sorted(maps.Keys(terms)) {
			for _, w := range terms[code] {
				if _, taken := out[s][w]; !taken {
					out[s][w] = code
				}
			}
		}
	}
	return out
}

func (p *parser) howMany(i int) int {
	two := p.from(i, 2)
	switch {
	case two == "how many" || two == "number of" || two == "count of":
		p.q.Count = true
		return 2
	case p.w[i] == "count":
		p.q.Count = true
		return 1
	case two == "how much" && p.q.Kind == "":
		p.q.Kind, p.superl = record.Inventory, true
		p.assume("how much is taken to ask for inventory")
		return 2
	}
	return 0
}

// orderOnly reads "newest first" and "oldest first", which give no limit.
func (p *parser) orderOnly(i int) int {
	if i+1 < len(p.w) && p.w[i+1] == "first" {
		if o := superlatives[p.w[i]]; o != "" && p.w[i] != "first" {
			p.q.Order, p.all = o, true
			return 2
		}
	}
	return 0
}

// negated reads "not passing" and "did not pass", which mean more than a fail.
func (p *parser) negated(i int) int {
	lead := 0
	if helpers[p.w[i]] && i+1 < len(p.w) && p.w[i+1] == "not" {
		lead, i = 1, i+1
	}
	switch p.w[i] {
	case "not", "non", "never", "didnt", "doesnt", "hasnt", "havent", "wasnt", "isnt":
	case "non-passing", "non-pass":
		p.q.Result = NotPass
		return 1
	default:
		return 0
	}
	if i+1 < len(p.w) {
		if code, ok := p.exact(lexicon.Result, p.w[i+1]); ok && code == "pass" && !commonWords[p.w[i+1]] {
			p.q.Result = NotPass
			return lead + 2
		}
	}
	return 0
}

// from joins n words, "" when there are not so many.
func (p *parser) from(i, n int) string {
	if i+n > len(p.w) {
		return ""
	}
	return strings.Join(p.w[i:i+n], " ")
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
			p.setClass(class)
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

func (p *parser) kindOf(s string) (record.Kind, bool) {
	if k, ok := kindPhrases[s]; ok {
		return k, true
	}
	if notKinds[s] || superlatives[strings.SplitN(s, " ", 2)[0]] != "" {
		return "", false
	}
	code, ok := p.exact(lexicon.Kind, s)
	return record.Kind(code), ok
}

func (p *parser) takeKind(i, n int, k record.Kind, s string) {
	if p.q.Kind != "" && p.q.Kind != k {
		for j := i; j < i+n; j++ {
			p.lost = append(p.lost, j)
		}
		return
	}
	p.q.Kind, p.phrase = k, s
	p.plural = p.plural || strings.HasSuffix(s, "s") && !strings.HasSuffix(s, "status") && !strings.HasSuffix(s, "limits")
	if k == record.TankTest || k == record.LineTest {
		for _, w := range strings.Fields(s) {
			p.setClass(classWords[w])
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

func (p *parser) setClass(class string) {
	if class != "" {
		p.q.TestClass = class
	}
}

// cutInside reports punctuation between the words of a phrase.
func (p *parser) cutInside(i, n int) bool {
	for j := i + 1; j < i+n; j++ {
		if p.t[j].cut {
			return true
		}
	}
	return false
}

// device reads "tank 2", "tank #2", "line two" and "#2 tank"; a device without
// a number is remembered for what it says about the kind.
func (p *parser) device(i int) int {
	if p.w[i] == "#" && i+2 < len(p.w) && devices[p.w[i+2]] != "" {
		if m := deviceForm.FindStringSubmatch(p.w[i+1]); m != nil {
			p.setDevice(devices[p.w[i+2]], m[1])
			return 3
		}
	}
	dev := devices[p.w[i]]
	if dev == "" {
		return 0
	}
	n := 1
	if i+n < len(p.w) && numberSigns[p.w[i+n]] {
		n++
	}
	if i+n < len(p.w) && !p.t[i+n].cut && !p.unitAt(i+n+1) {
		no := ""
		if m := deviceForm.FindStringSubmatch(p.w[i+n]); m != nil {
			no = m[1]
		} else if v := numerals[p.w[i+n]]; v > 0 && p.w[i+n] != "couple" {
			no = strconv.Itoa(v)
		}
		if no != "" {
			p.setDevice(dev, no)
			return n + 1 + p.moreDevices(i+n+1)
		}
	}
	p.mentioned[dev] = true
	return 1
}

// moreDevices notes the numbers that "tanks 1 and 2" adds: a Query holds one.
func (p *parser) moreDevices(i int) int {
	n := 0
	for i+n+1 < len(p.w) && (p.w[i+n] == "and" || p.w[i+n] == "or") && deviceForm.MatchString(p.w[i+n+1]) && !p.unitAt(i+n+2) {
		p.lost = append(p.lost, i+n, i+n+1)
		n += 2
	}
	return n
}

func (p *parser) setDevice(dev, no string) {
	p.mentioned[dev] = true
	switch dev {
	case "tank":
		p.q.Tank = no
	case "line":
		p.q.Line = no
	case "sensor":
		p.q.Sensor = no
	}
}

// unitAt reports whether the word is a unit of time or rate, so that the number
// before it is not an equipment number.
func (p *parser) unitAt(i int) bool {
	if i >= len(p.w) {
		return false
	}
	switch strings.TrimSuffix(p.w[i], "s") {
	case "day", "week", "month", "quarter", "year", "gph", "gal/h", "gal/hr", "gal", "gallon", "l/h", "lph", "octane":
		return true
	}
	return false
}

// site reads "site 114", "store #114", `at "Oak Street"` and "at Oak Street".
func (p *parser) site(i int) int {
	n := 0
	switch {
	case siteWords[p.w[i]]:
		n = 1
		if i+n < len(p.w) && numberSigns[p.w[i+n]] {
			n++
		}
		if i+n < len(p.w) && !p.t[i+n].quoted && !p.t[i+n].cut && identForm.MatchString(p.w[i+n]) && !p.dateAt(i+n) {
			p.q.Site = p.t[i+n].raw
			return n + 1
		}
	case p.w[i] == "at":
		n = 1
		for i+n < len(p.w) && (p.w[i+n] == "the" || p.w[i+n] == "our") {
			n++
		}
		if i+n < len(p.w) && p.w[i+n] == "#" {
			n++
		}
		if i+n < len(p.w) && siteNumber.MatchString(p.w[i+n]) && !p.unitAt(i+n+1) {
			p.q.Site = p.w[i+n]
			return n + 1
		}
	default:
		return 0
	}
	if i+n < len(p.w) && p.t[i+n].quoted {
		p.q.Site = p.t[i+n].raw
		return n + 1
	}
	name := []string{}
	for j := i + n; j < len(p.w) && len(name) < 5 && !p.stops(j, len(name) == 0); j++ {
		name = append(name, p.t[j].raw)
	}
	if len(name) == 0 {
		return n
	}
	p.q.Site = strings.Join(name, " ")
	return n + len(name)
}

// stops reports whether a site's name ends before word j.
func (p *parser) stops(j int, first bool) bool {
	w := p.w[j]
	if p.t[j].quoted || p.t[j].cut && !first || devices[w] != "" || siteWords[w] || superlatives[w] != "" || turners[w] || numberSigns[w] ||
		filler[w] || everything[w] || prepositions[w] || p.dateAt(j) {
		return true
	}
	for _, s := range []lexicon.Sense{lexicon.Result, lexicon.TestClass} {
		if _, ok := p.exact(s, w); ok {
			return true
		}
	}
	if _, ok := testPhrases[w]; ok {
		return true
	}
	if _, ok := p.kindOf(w); ok {
		return true
	}
	if k, ok := p.kindOf(p.from(j, 2)); ok && k != "" {
		return true
	}
	_, ok := p.exact(lexicon.Grade, w)
	return ok && first
}

func (p *parser) dateAt(j int) bool {
	d := p.dates // a copy: nothing is assumed by looking
	d.assumed = nil
	_, n := d.span(p.w[j:], yearForm.MatchString(p.w[j]))
	return n > 0
}

// superlative reads "last", "last 5", "5 latest" and "most recent".
func (p *parser) superlative(i int) int {
	lead := 0
	limit := 0
	if n, used := count(p.w[i:]); used > 0 && p.w[i] != "a" && p.w[i] != "an" && i+used < len(p.w) {
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
		p.q.TestClass = code
		if n == 1 && p.unitAt(i+1) {
			n++
		}
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
		if code, ok := p.exact(lexicon.Result, s); ok {
			if p.q.Result != "" && p.q.Result != code {
				for j := i; j < i+n; j++ {
					p.lost = append(p.lost, j)
				}
				return n
			}
			p.q.Result = code
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
		if loose[s] != "" {
			p.assume(s + " is taken as the grade " + code)
		}
		if p.q.Grade != "" && p.q.Grade != code {
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

func (p *parser) every(i int) int {
	if !everything[p.w[i]] {
		return 0
	}
	p.all = true
	return 1
}

func (p *parser) fill(i int) int {
	switch {
	case p.w[i] == "records" || p.w[i] == "reports" || p.w[i] == "slips" || p.w[i] == "printouts" || p.w[i] == "readings":
		p.plural = true
		return 1
	case p.w[i] == "fuel" || p.w[i] == "level" || p.w[i] == "levels" || p.w[i] == "status":
		p.soft = append(p.soft, i)
		return 1
	case filler[p.w[i]]:
		return 1
	}
	return 0
}
