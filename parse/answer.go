package parse

import (
	"slices"
	"strings"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// readLabelled is readField for a value whose label is known: behind a label that asks
// whether something is WITHIN ALLOWED or asks OK?, a yes is a pass and a no is a fail.
func (d *doc) readLabelled(k record.Kind, spec record.FieldSpec, bag string, toks []token, hint string) (reading, bool) {
	if spec.Name == "result" && (labelTables().has(bag, "within") || labelTables().has(bag, "asks")) {
		return answer(toks)
	}
	if spec.Name == "result" && k == record.Reconciliation && over(toks) {
		return reading{used: 1, toks: toks[:1], value: "fail"}, true
	}
	return d.readField(k, spec, toks, hint)
}

// over reports whether a cell is no more than OVER: more is missing than is allowed.
func over(toks []token) bool {
	return len(toks) > 0 && toks[0].norm == "over" && toks[0].delim == 0 && (len(toks) == 1 || cellEnd(toks, 0) == 1)
}

// answer reads a yes or a no.
func answer(toks []token) (reading, bool) {
	if len(toks) == 0 {
		return reading{}, false
	}
	code := map[string]string{"yes": "pass", "y": "pass", "no": "fail", "n": "fail"}[toks[0].norm]
	return reading{used: 1, toks: toks[:1], value: code}, code != ""
}

// answerAt is where a yes or a no ends a cell behind words, -1 for none.
func (s *scanner) answerAt() int {
	if !s.has.result {
		return -1
	}
	return slices.IndexFunc(s.toks, func(t token) bool {
		switch t.norm {
		case "yes", "y", "no", "n":
			return t.delim == 0 && !t.blank
		}
		return false
	})
}

// answered tries a verdict that is asked for, with the answer behind it: LIMIT EXCEEDED: NO, LEAK
// DETECTED? NO.
func (s *scanner) answered(i int, try *ways) {
	const most = 4 // words of a verdict
	n := s.answer - i
	if n < 1 || n > most || s.answer > 0 && s.answer+1 < len(s.toks) && !starts(s.toks, s.answer+1) && s.toks[s.answer].stop == 0 {
		return
	}
	if last := s.toks[s.answer-1]; last.delim == 0 && !strings.HasSuffix(last.text, "?") && (i > 0 || s.answer+1 < len(s.toks)) {
		return // PASSED, and behind it a cell of something else
	}
	if crosses(s.toks[i:], n) || i > 0 && (s.toks[i-1].norm == "not" || s.toks[i-1].norm == "no") {
		return
	}
	words := make([]string, 0, most)
	for _, t := range s.toks[i:s.answer] {
		if t.number || t.blank {
			return
		}
		words = append(words, strings.TrimRight(t.norm, "?"))
	}
	for _, h := range s.d.lookup(strings.TrimSpace(strings.Join(words, " "))) {
		if h.Sense != lexicon.Result || h.Cost > 0 {
			continue
		}
		r, ok := answer(s.toks[s.answer:])
		if !ok {
			return
		}
		f := fact{field: "result", read: r, label: s.toks[i:s.answer], printed: true}
		yes := r.value == "pass"
		switch {
		case yes:
			f.read.value = h.Code
		case h.Code == "pass":
			f.read.value = "fail"
		case h.Code == "fail":
			f.read.value = "pass"
		default:
			f.field = "" // ABORTED: NO
		}
		try.with(n+1, float64(n+1)*wordWorth+factWorth, f)
		return
	}
}
