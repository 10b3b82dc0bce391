package query

import (
	"slices"
	"strings"
	"time"

	"tankroll/parse/lexicon"
)

// pointers point back to what an earlier sentence named: all tests of that tank, the
// deliveries there.
var pointers = []string{"there", "thereof", "that tank", "that line", "that sensor", "that site", "that station", "that store", "that location", "that facility",
	"this tank", "this line", "this sensor", "this site", "this station", "this store", "the same tank", "the same line", "the same site", "the same station", "the same store",
	"said tank", "said line", "said facility", "at it", "of it", "for it"}

// lastRequest leaves of several sentences the one that points back to another and
// what comes after, with the site, tank, line or sensor that the others name; notes say so.
func lastRequest(t []token, now time.Time, lex *lexicon.Lexicon, known map[lexicon.Sense]map[string]string, sites *Names) (rest []token, notes []string) {
	from := 0
	for i, tok := range t {
		if tok.begins && i > 0 {
			from = i
		}
		if from == 0 || tok.quoted || !pointsBack(t[i:]) {
			continue
		}
		before, _ := plainly(t[:from], sites)
		c, _ := parseWords(before, now, lex, known, sites)
		rest = slices.Clone(t[from:])
		named := []string{}
		add := func(words ...string) {
			named = append(named, strings.Join(words, " "))
			for k, w := range words {
				rest = append(rest, token{word: w, raw: w, cut: k == 0})
			}
		}
		for _, d := range [][2]string{{"tank", c.Tank}, {"line", c.Line}, {"sensor", c.Sensor}} {
			if d[1] != "" && !strings.Contains(d[1], ",") {
				add(d[0], d[1])
			}
		}
		if siteNumber.MatchString(c.Site) {
			add("site", c.Site)
		}
		if len(named) == 0 {
			return t, nil
		}
		return rest, []string{"what was said before is taken for " + strings.Join(named, ", ")}
	}
	return t, nil
}

// pointsBack reports words that stand for what was named before.
func pointsBack(t []token) bool {
	for _, s := range pointers {
		k := strings.Count(s, " ") + 1
		if k > len(t) {
			continue
		}
		var words []string
		for _, tok := range t[:k] {
			words = append(words, tok.word)
		}
		if strings.Join(words, " ") == s && (s != "there" || len(t) < 2 || !helpers[t[1].word] && t[1].word != "any" && t[1].word != "a") {
			return true
		}
	}
	return false
}
