package query

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// mend puts typing mistakes right in words that had no meaning: one letter too
// many, too few or wrong, or two the wrong way round, when exactly one known
// word is so near. It says what it changed.
func mend(t []token, unknown []int, lex *lexicon.Lexicon) (fixed []token, notes []string) {
	var known []string
	for _, i := range unknown {
		w := t[i].word
		if len(w) < 4 || len(w) > 20 || t[i].quoted || turners[w] || strings.ContainsAny(w, "0123456789") {
			continue
		}
		if known == nil {
			known = vocabulary(lex)
			fixed = slices.Clone(t)
		}
		found := ""
		for _, k := range known {
			if near(w, k) && (len(w) > 4 || len(k) == 4 && turnedRound(w, k)) { // of four letters too many words are near
				if found != "" && found != k {
					found = ""
					break
				}
				found = k
			}
		}
		if found != "" {
			fixed[i].word, fixed[i].raw = found, found
			notes = append(notes, w+" is taken as "+found)
		}
	}
	return fixed, notes
}

// vocabulary is the single words that are worth mending to, sorted.
func vocabulary(lex *lexicon.Lexicon) []string {
	var out []string
	take := func(w string) {
		if len(w) >= 4 && !strings.ContainsAny(w, " 0123456789") {
			out = append(out, w)
		}
	}
	for _, s := range []lexicon.Sense{lexicon.Grade, lexicon.Result, lexicon.Month} {
		for code, list := range lex.Terms(s) {
			take(code)
			for _, w := range list[:min(len(list), 6)] {
				take(w)
			}
		}
	}
	for _, w := range []string{"delivery", "deliveries", "inventory", "reconciliation", "alarm", "alarms", "tests", "summary", "passing",
		"failing", "passed", "failed", "tank", "tanks", "sensor", "sensors", "lines", "latest", "newest", "earliest", "oldest", "recent",
		"monthly", "annual", "hourly", "tightness", "month", "quarter", "status", "limits", "between", "before", "after", "since", "yesterday"} {
		take(w)
	}
	for _, m := range measures {
		for _, w := range append(append([]string{m.name}, m.words...), m.plain...) {
			take(w)
		}
	}
	for w := range groups {
		take(w)
	}
	for w := range extremes {
		take(w)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// turnedRound reports two letters the wrong way round.
func turnedRound(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return string(x) == string(y)
}

// near reports whether one slip of the fingers makes a into b.
func near(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 || a == b {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) < len(b) {
		return a[i:] == b[i+1:]
	}
	if a[i+1:] == b[i+1:] {
		return true
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}
