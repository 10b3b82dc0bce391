package query

import (
	"slices"
	"strings"
	"time"

	"tankroll/parse/lexicon"
)

// openers begin a question of its own.
var openers = []string{"how many", "how much", "how often", "when was", "when is", "when did", "what was", "what is", "what were", "which", "who", "whats"}

// backward are words by which a second question asks on about what the first one found.
var backward = set("it", "its", "that", "them", "they", "their", "those", "these", "each", "one", "ones", "this", "he", "not", "havent", "hasnt", "didnt", "more", "fewer", "most", "fewest")

// whichFirst puts "which tanks?" at the end of a question before it.
func whichFirst(t []token) []token {
	n := len(t)
	if n < 4 || !t[n-2].cut || t[n-2].word != "which" && t[n-2].word != "what" || groups[t[n-1].word] == "" || !many[t[n-1].word] {
		return t
	}
	return append(slices.Clone(t[n-2:]), t[:n-2]...)
}

// twoQuestions parts two questions of one sentence where each is one by itself: the
// tests that passed and how many alarms there were. What one of them leaves to the
// other is said in it too. second is nil when there is only one.
func twoQuestions(t []token, now time.Time, lex *lexicon.Lexicon, known map[lexicon.Sense]map[string]string, sites *Names) (first, second []token) {
	for i := 2; i+2 < len(t); i++ {
		joined := t[i-1].word == "and" || t[i-1].word == "also" || t[i-1].word == "plus"
		if !joined && !t[i].cut || !opens(t[i:]) {
			continue
		}
		end := i
		for end > 0 && has([]string{"and", "also", "plus", "then"}, t[end-1].word) {
			end--
		}
		a, b := slices.Clone(t[:end]), slices.Clone(t[i:])
		if len(a) < 2 || slices.ContainsFunc(b, func(tok token) bool { return !tok.quoted && backward[tok.word] }) {
			return t, nil
		}
		b[0].cut = false
		read := func(t []token) (q Query, named bool) {
			said, _ := plainly(slices.Clone(t), sites)
			p := newParser(said, now, lex, known, sites)
			p.parse()
			return p.q, p.phrase != "" || p.q.Result != "" || p.event || p.saysTest()
		}
		p, ok := read(a)
		q, ok2 := read(b)
		if !ok || !ok2 || len(q.NotUnderstood) > 0 || q.String() == p.String() {
			return t, nil
		}
		alike := p.Count && q.Count
		b = inherited(b, q, p, alike || q.Limit == 0)
		if alike {
			a = inherited(a, p, q, true)
		}
		return a, b
	}
	return t, nil
}

// saysTest reports a word for a test: a leak rate alone asks on about one.
func (p *parser) saysTest() bool {
	return slices.ContainsFunc(p.w, func(w string) bool {
		_, ok := testPhrases[w]
		return ok
	})
}

func opens(t []token) bool {
	for _, s := range openers {
		k := strings.Count(s, " ") + 1
		if len(t) <= k {
			continue
		}
		var words []string
		for _, tok := range t[:k] {
			words = append(words, tok.word)
		}
		if strings.Join(words, " ") == s {
			return true
		}
	}
	return false
}

// inherited adds to a question what it lacks and another one names: the site, the
// equipment, the kind of a bare result, the dates where they are meant for both.
func inherited(t []token, q, from Query, dates bool) []token {
	add := func(words ...string) {
		for k, w := range words {
			t = append(t, token{word: w, raw: w, cut: k == 0})
		}
	}
	if q.Kind == "" && !q.AnyTest && (from.Kind != "" || from.AnyTest) {
		from.Limit = 0
		add(strings.Fields(from.Noun())...)
	}
	if q.Site == "" && siteNumber.MatchString(from.Site) {
		add("site", from.Site)
	}
	if q.Tank+q.Line+q.Sensor+q.Grade == "" {
		for _, d := range [][2]string{{"tank", from.Tank}, {"line", from.Line}, {"sensor", from.Sensor}} {
			if d[1] != "" && !strings.Contains(d[1], ",") && q.Kind == from.Kind {
				add(d[0], d[1])
			}
		}
	}
	if q.From+q.To == "" && dates {
		switch {
		case from.From != "" && from.To != "":
			add("from", from.From, "to", from.To)
		case from.From != "":
			add("since", from.From)
		case from.To != "":
			add("until", from.To)
		}
	}
	return t
}
