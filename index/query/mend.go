package query

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
)

// mend puts typing mistakes right in words that had no meaning: one letter too
// many, too few or wrong, or two the wrong way round, in a long word two of these,
// when one known word is nearest. Words run together by a sign are parted. It says
// what it changed.
func mend(t []token, unknown []int, lex *lexicon.Lexicon) (fixed []token, notes []string) {
	var known []string
	for i, tok := range t {
		w := tok.word
		if !slices.Contains(unknown, i) || len(w) < 4 && (len(w) < 3 || !spare(w)) || len(w) > 20 || tok.quoted || turners[w] || strings.ContainsAny(w, "0123456789") {
			fixed = append(fixed, tok)
			continue
		}
		if parts := strings.FieldsFunc(w, func(r rune) bool { return r == '-' || r == '/' }); len(parts) > 1 {
			for k, part := range parts {
				fixed = append(fixed, token{word: part, raw: part, cut: k == 0 && tok.cut, dash: k == 0 && tok.dash})
			}
			continue
		}
		if known == nil {
			known = vocabulary(lex)
		}
		if found := nearest(w, known); found != "" {
			notes = append(notes, w+" is taken as "+found)
			tok.word, tok.raw = found, found
		}
		fixed = append(fixed, tok)
	}
	if len(fixed) == len(t) && len(notes) == 0 {
		return nil, nil
	}
	return fixed, notes
}

// nearest is the known word that a word is a slip of the fingers away from, "" when
// there is none, or there are several.
func nearest(w string, known []string) string {
	if slices.Contains(known, w) {
		return ""
	}
	best, found := 4, ""
	for _, k := range known {
		how := 4
		switch {
		case turnedRound(w, k) && near(w, k):
			how = 1
		case near(w, k) && (len(w) > 4 || len(k) > 4 && k[0] == w[0]): // of four letters too many words are near
			how = 2
		case len(w) >= 9 && len(k) >= 9 && w[0] == k[0] && distance(w, k, 2) <= 2:
			how = 3
		}
		switch {
		case how < best:
			best, found = how, k
		case how == best && how < 4 && k != found:
			found = ""
		}
	}
	if found == "" && best == 4 && spare(w) { // abrtd, prb
		for _, k := range known {
			if k[0] == w[0] && skeleton(k) == skeleton(w) {
				if found != "" && skeleton(found) == skeleton(k) && len(found) <= len(k) {
					continue
				}
				found = k
			}
		}
	}
	if found == "" && best == 4 && len(w) >= 5 { // reconcil.
		for _, k := range known {
			if strings.HasPrefix(k, w) && (found == "" || len(k) < len(found)) {
				found = k
			}
		}
	}
	return found
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
		"monthly", "annual", "yearly", "hourly", "tightness", "month", "quarter", "status", "limits", "between", "before", "after", "since", "yesterday",
		"which", "without", "never", "highest", "lowest", "average", "total", "confirmed", "corrected", "doubtful", "followed", "cleared", "raised", "inconclusive", "aborted",
		"delivered", "received", "dispenser", "interstice", "interstitial", "overfill", "probe", "pressure", "inventories", "reconciliations", "reconciled", "summer", "winter", "spring", "autumn",
		"weekend", "during", "underground", "tested", "testing", "failures", "history", "anything", "everything", "every", "alert", "alerts", "missing", "gallons", "inches", "degrees"} {
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

// spare reports a word written without its vowels.
func spare(w string) bool { return !strings.ContainsAny(w[1:], "aeiou") }

// skeleton is a word without vowels and doubled letters.
func skeleton(w string) string {
	var out []byte
	for i := range len(w) {
		if i > 0 && strings.IndexByte("aeiou", w[i]) >= 0 || len(out) > 0 && out[len(out)-1] == w[i] {
			continue
		}
		out = append(out, w[i])
	}
	return string(out)
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
