package query

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// manyLimit is how many records "the latest tests" asks for.
const manyLimit = 10

var (
	identForm  = regexp.MustCompile(`^[A-Za-z0-9-]*[0-9][A-Za-z0-9-]*$`)
	deviceForm = regexp.MustCompile(`^0*([0-9]{1,3})$`)
	letterForm = regexp.MustCompile(`^([tls])0*([1-9][0-9]?)$`)
	siteNumber = regexp.MustCompile(`^[0-9]{1,6}$`)
)

// Parse reads a question; it cannot fail. now settles what "last month" means;
// only its date counts. Words that had no effect are in NotUnderstood.
func Parse(question string, now time.Time, lex *lexicon.Lexicon) Query {
	return ParseFor(question, now, lex, nil)
}

// ParseFor is Parse where sites are known: their names and numbers, parts of
// names and misspelt ones then lead to them.
func ParseFor(question string, now time.Time, lex *lexicon.Lexicon, names *Names) Query {
	words, rest := split(question)
	known := spelt()
	if lex != lexicon.Default() {
		known = spellings(lex)
	}
	if names == nil {
		names = NewNames(nil)
	}
	words = whichFirst(inFigures(words, names))
	words, context := lastRequest(words, now, lex, known, names)
	words, second := twoQuestions(words, now, lex, known, names)
	words, said := plainly(words, names)
	said = append(context, said...)
	q, pending := parseWords(words, now, lex, known, names)
	if fixed, notes := mend(words, pending, lex); len(fixed) > 0 {
		fixed, more := plainly(fixed, names)
		q, _ = parseWords(fixed, now, lex, known, names)
		said = append(append(notes, said...), more...)
	}
	q.Assumed = append(said, q.Assumed...)
	if second != nil {
		also, _ := plainly(second, names)
		other, _ := parseWords(also, now, lex, known, names)
		q.Assumed = append(q.Assumed, "two questions are asked, and this answers the first")
		q.Readings = append([]Reading{{"the second question", other.String()}}, q.Readings...)
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
	sites   *Names
	dates   dates
	q       Query
	alts    []alternative
	pending []int // words that nobody knew what to do with
	lost    []int // words that were understood but could not be used

	test      bool   // spoke of tests
	plural    bool   // spoke of several
	superl    bool   // asked for the last or first
	all       bool   // asked for all
	phrase    string // the kind as asked
	mentioned map[string]bool
	soft      []int // words like "fuel", that count only beside an alarm or a sensor

	measures                 []mention
	manyOf                   bool // one of them was named in the plural
	extremeField, boundField string
	extremeAt                int
	mostOf                   bool // the extreme was "most"
	rankAt                   []int
	boundAt                  []int
	boundOf                  record.Quantity
	boundUnit                bool  // the number had a unit
	done                     []int // words that went with others before them
	howMuch, howFull         bool
	sized                    bool // asked how big a tank is
	overdue, eachAlone       bool
	placeWords               []string
	per, group               string // asked for each, asked which
	perBy, perAll            bool   // asked for each with "by", with "every"
	byProduct                []int  // where it asked for each product
	wentOff                  bool   // something went off
	siteEnd                  int    // the word after the last site's number or name
	whichOf                  bool   // something is asked of each of group
	atLeast                  int    // asked for groups with so many
	oftenAt                  []int
	noun                     bool   // spoke of records
	now, asOf                bool   // asked how things stand; in String's words
	goodFor, left            bool   // asked whether something is in order, what is left
	event                    bool   // said what an alarm is about
	times                    bool   // asked how often
	fared                    bool   // asked how something did
	newest                   bool   // to be judged by the newest of each
	passAll                  string // asked whether all of these passed
	everywhere               bool   // asked of every site
	listed                   bool   // asked for a list
	anyState                 bool   // asked for alarms raised or cleared
	anyClass                 bool   // left out a class of tests, of whatever they are
	unsaidLimit              bool   // did not say how many of the newest
	counted                  string // asked how many of these there are
	asOfDay                  span   // asked how things stood on it
	used                     map[string][]int
}

func parseWords(t []token, now time.Time, lex *lexicon.Lexicon, known map[lexicon.Sense]map[string]string, sites *Names) (Query, []int) {
	p := newParser(t, now, lex, known, sites)
	unknown := p.parse()
	return p.q, unknown
}

func newParser(t []token, now time.Time, lex *lexicon.Lexicon, known map[lexicon.Sense]map[string]string, sites *Names) *parser {
	p := &parser{t: t, lex: lex, exactly: known, sites: sites, mentioned: map[string]bool{}, used: map[string][]int{},
		dates: dates{today: day(now.Year(), now.Month(), now.Day()), lex: lex}}
	for _, tok := range t {
		w := tok.word
		if tok.quoted {
			w = "\x00" // no rule about words may look into a quotation
		}
		p.w = append(p.w, w)
	}
	return p
}

// parse goes over the words and settles what they mean together; it returns those that
// nobody knew.
func (p *parser) parse() []int {
	rules := []func(int) int{p.quotation, p.labelled, p.marked, p.inAlarm, p.excepted, p.named, p.oneByOne, p.each, p.rankAsked, p.lawLimit, p.often, p.bound, p.byNewest, p.longSince, p.goodOn, p.howDid, p.classAlone, p.asOfDate, p.timeClause, p.howMany, p.figureAsked, p.orderOnly, p.brokenDown, p.theNumber, p.onesWithout, p.oneMore, p.allGood, p.haveAll, p.missed, p.asksWhich, p.lacks,
		p.negated, p.leftOver, p.happened, p.measured, p.extreme, p.placed, p.eitherTest, p.kindPhrase, p.site, p.device, p.superlative, p.class, p.method, p.result, p.grade, p.every, p.fill}
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
	p.settleSite()
	p.settleAlarm()
	p.settlePresent()
	p.settleDrop()
	p.settleEquipment()
	p.settleGroup()
	p.settleMeasure()
	p.settleKind()
	p.settleAsOf()
	p.settleFields()
	p.dropClass()
	unknown := p.settleWords()
	p.settleRaised()
	p.settleLimit()
	p.otherForms()
	p.q.Assumed = append(p.dates.assumed, p.q.Assumed...)
	p.q.Readings = p.readings()
	return unknown
}

func (p *parser) assume(text string) { p.q.Assumed = append(p.q.Assumed, text) }

func (p *parser) quotation(i int) int {
	if !p.t[i].quoted {
		return 0
	}
	n, w := 1, p.t[i].raw
	for i+n+1 < len(p.w) && p.w[i+n] == "or" && p.t[i+n+1].quoted { // with "fuel" or "water"
		w += OrWord + p.t[i+n+1].raw
		n += 2
	}
	p.q.Words = append(p.q.Words, w)
	return n
}

// labelled reads the clauses that only Query.String writes.
func (p *parser) labelled(i int) int {
	if i+1 >= len(p.w) {
		return 0
	}
	if has([]string{"raised or cleared", "raised and cleared", "cleared or raised", "cleared and raised"}, p.from(i, 3)) {
		p.anyState = true
		return 3
	}
	v := p.w[i+1]
	if p.t[i+1].quoted {
		v = p.t[i+1].word
	}
	switch p.w[i] {
	case "state":
		if p.knows(lexicon.SensorState, v) || p.knows(lexicon.AlarmState, v) {
			p.q.State = v
			n := 2
			for i+n+1 < len(p.w) && p.w[i+n] == "or" && p.knows(lexicon.SensorState, p.w[i+n+1]) && p.joined(i+n+1, &p.q.State, p.w[i+n+1]) {
				n += 2
			}
			return n
		}
	case "product", "grade":
		if p.knows(lexicon.Grade, v) {
			p.q.Grade = v
			n := 2
			for i+n+1 < len(p.w) && p.w[i+n] == "or" && p.knows(lexicon.Grade, p.w[i+n+1]) && p.joined(i+n+1, &p.q.Grade, p.w[i+n+1]) {
				n += 2
			}
			return n
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

// spelt are the spellings of the program's own lexicon, worked out once.
var spelt = sync.OnceValue(func() map[lexicon.Sense]map[string]string { return spellings(lexicon.Default()) })

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
	case p.manySites(i):
		return 0
	case (two == "how many" || two == "number of") && p.quantityAt(i+2) && p.w[i+2] != "in": // how many gallons; "how many in May" asks for no inches
		p.howMuch = true
		if units[p.w[i+2]].quantity == record.Hours {
			for _, m := range measures {
				if m.field == "duration" {
					p.measures = append(p.measures, mention{i, 3, m, false})
				}
			}
			p.superl = true
			return 3
		}
		return 2
	case p.from(i, 3) == "how many times" || p.from(i, 3) == "number of times":
		p.q.Count, p.times = true, true
		return 3
	case has([]string{"percentage of", "share of", "proportion of", "fraction of"}, two) || p.from(i, 3) == "what percent of":
		p.q.Count = true
		p.assume("a share is taken to ask how many")
		p.alternative("how many there are in all, of which that is the share", func(q *Query) { q.Result, q.State = "", "" })
		return 2 + map[bool]int{true: 1}[two == "what percent"]
	case two == "how many" || two == "number of" || two == "count of" || two == "how often":
		p.q.Count, p.times = true, two == "how often"
		at := i + 2
		if p.isGrade(at) && many[p.from(at+1, 1)] { // how many diesel tanks
			at++
		}
		if g := groups[p.from(at, 1)]; many[p.from(at, 1)] && g != "month" && !p.longerKind(at, 1) {
			p.counted = g
		}
		return 2
	case p.w[i] == "count" || p.w[i] == "counts" || p.w[i] == "tally" || p.w[i] == "tallies":
		p.q.Count = true
		return 1
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

// grades is the grade that a word or phrase names.
func (p *parser) grades(s string) (string, bool) {
	if commonWords[s] {
		return "", false
	}
	return p.exact(lexicon.Grade, s)
}

// from joins n words, "" when there are not so many.
func (p *parser) from(i, n int) string {
	if i+n > len(p.w) {
		return ""
	}
	return strings.Join(p.w[i:i+n], " ")
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

func (p *parser) every(i int) int {
	if !everything[p.w[i]] {
		return 0
	}
	if p.w[i] == "list" { // the last of each may be listed too
		p.listed = true
		return 1
	}
	p.all = true
	if p.w[i] == "each" && i > 0 {
		p.eachAlone = true
	}
	return 1
}

func (p *parser) fill(i int) int {
	switch {
	case slices.Contains(p.done, i):
		return 1
	case p.w[i] == "record":
		p.noun = true
		return 1
	case p.w[i] == "records" || p.w[i] == "reports" || p.w[i] == "slips" || p.w[i] == "printouts" || p.w[i] == "readings":
		p.plural = true
		return 1
	case p.from(i, 3) == "as of now":
		p.now, p.asOf = true, true
		return 3
	case p.w[i] == "other" && i+1 < len(p.w) && groups[p.w[i+1]] == "site" && p.q.Site != "" && p.q.NotSite == "" && !strings.Contains(p.q.Site, ","):
		p.q.NotSite, p.q.Site, p.q.SiteName = p.q.Site, "", "" // Oak Street we know; at the other sites
		return 2
	case p.from(i, 3) == "one by one":
		p.now = true
		return 3
	case p.w[i] == "state" && (i == 0 || superlatives[p.w[i-1]] != ""): // state the date of, current state
		return 1
	case p.w[i] == "only" && i > 0 && (i+1 == len(p.w) || p.t[i+1].cut) && !slices.Contains(p.pending, i-1): // diesel only
		return 1
	case p.w[i] == "everywhere":
		p.everywhere = true
		return 1
	case (p.w[i] == "every" || p.w[i] == "each") && i+1 < len(p.w) && groups[p.w[i+1]] == "site" && (i+2 == len(p.w) || p.t[i+2].cut):
		p.everywhere = true
		return 2
	case p.w[i] == "now" || p.w[i] == "currently" || p.w[i] == "nowadays":
		p.now = true
		return 1
	case p.w[i] == "product" || p.w[i] == "fuel" || p.w[i] == "level" || p.w[i] == "levels" || p.w[i] == "status":
		p.soft = append(p.soft, i)
		return 1
	case p.from(i, 2) == "looking like" || p.from(i, 2) == "look like":
		p.now = true
		return 2
	case p.w[i] == "still":
		p.now = p.now || p.q.Kind == record.Alarm || p.has(i, "alarm") || p.has(i, "raised")
		return 1
	case wentOff[p.from(i, 2)]:
		p.wentOff = true
		return 2
	case fillerPhrases[p.from(i, 2)]:
		p.now = p.now || p.w[i+1] == "now"
		return 2
	case fillerPhrases[p.from(i, 3)]:
		return 3
	case filler[p.w[i]] || small[p.w[i]]:
		return 1
	}
	return 0
}

// has reports a word anywhere from word i on.
func (p *parser) has(i int, word string) bool { return has(p.w[i:], word) }
