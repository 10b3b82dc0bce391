package parse

import (
	"strings"

	"tankroll/parse/lexicon"
)

// readCode reads a coded field: the longest phrase that is one of its codes.
func (d *doc) readCode(field string, toks []token) (reading, bool) {
	sense := codeSense[field]
	if field == "state" {
		sense = d.stateSense
	}
	if field == "result" {
		if r, ok := d.negated(toks); ok {
			return r, true
		}
	}
	code, cost, used := d.code(sense, toks)
	for n := cellEnd(toks, 0); n > used; n-- {
		// A word more may turn a verdict round: "not tight".
		if c, k, ok := d.whole(sense, toks[:n]); ok {
			code, cost, used = c, k, n
			break
		}
	}
	if field == "result" {
		if c, n := d.withoutArticle(toks); n > used {
			code, cost, used = c, 0, n
		}
	}
	if used == 0 && field == "result" && len(toks) > 0 {
		return d.verdictWithReason(toks[0])
	}
	if used == 0 {
		return reading{}, false
	}
	return reading{used: used, toks: toks[:used], value: code, cost: cost}, true
}

// withoutArticle reads a verdict that is worded with an article or its like: OVER THE LIMIT,
// WITHIN ITS ALLOWANCE; 0 tokens for none.
func (d *doc) withoutArticle(toks []token) (code string, used int) {
	for i := 1; i < len(toks)-1 && i <= 2; i++ {
		switch toks[i].norm {
		case "the", "its", "an", "a", "all":
		default:
			continue
		}
		for n := min(cellEnd(toks, 0), i+3); n > i+1; n-- {
			if crosses(toks, n) || n < len(toks) && toks[n].number {
				continue // WITHIN THE ALLOWED 226 L
			}
			rest := append(toks[:i:i], toks[i+1:n]...)
			if c, cost, ok := d.whole(lexicon.Result, rest); ok && cost == 0 {
				return c, n
			}
		}
	}
	return "", 0
}

// verdictWithReason reads a verdict with its reason behind a dash in one word: ABORTED-DELIVERY.
func (d *doc) verdictWithReason(t token) (reading, bool) {
	const least = 4 // letters of either
	verdict, why, ok := strings.Cut(t.norm, "-")
	if !ok || len(verdict) < least || len(why) < least || hasDigit(t.text) {
		return reading{}, false
	}
	for _, h := range d.lookup(verdict) {
		if h.Sense == lexicon.Result && h.Cost == 0 {
			return reading{used: 1, toks: []token{t}, value: h.Code}, true
		}
	}
	return reading{}, false
}

// negated reads a verdict that a "not" turns round: NOT ACCEPTED. Spellings of
// the lexicon that begin so go before.
func (d *doc) negated(toks []token) (reading, bool) {
	if len(toks) < 2 || toks[0].norm != "not" && toks[0].norm != "non" || crosses(toks, 2) {
		return reading{}, false
	}
	if _, cost, n := d.code(lexicon.Result, toks); n > 1 && cost == 0 {
		return reading{}, false
	}
	code, cost, n := d.code(lexicon.Result, toks[1:])
	if n == 0 || cost > 0 || code != "pass" {
		return reading{}, false
	}
	return reading{used: n + 1, toks: toks[:n+1], value: "fail"}, true
}

// readText reads free text to the end of its cell, or to the next label that
// carries a mark.
func (d *doc) readText(toks []token) (reading, bool) {
	n := cellEnd(toks, 0)
	for q := 0; q < n; q++ {
		t := toks[q]
		if r, ok := d.readTime(toks[q:n], false); q > 0 && ok && r.hasDate() && r.hasYear() {
			n = q // a date behind a name
			break
		}
		if toks[0].open && t.shut || t.prose && t.stop != 0 {
			n = q + 1
			break
		}
		if q > 0 && (t.prose && !toks[0].open && d.isVerb(t) || t.open) {
			n = q
			break
		}
	}
	for q := 1; q < n; q++ {
		if toks[q].delim == ':' {
			if s := d.labelBefore(toks, q); s > 0 {
				n = s
			}
			break
		}
	}
	return reading{used: n, toks: toks[:n], value: textOf(toks[:n])}, n > 0
}

// isVerb reports whether a word of a sentence ends the name before it.
func (d *doc) isVerb(t token) bool {
	switch t.norm {
	case "was", "is", "has", "had", "were", "are", "of", "at", "on", "for", "from", "and", "with", "received", "holds", "held", "passed", "failed", "reports", "shows":
		return true
	}
	return false
}

// labelBefore finds where the label begins that ends with token q.
func (d *doc) labelBefore(toks []token, q int) int {
	for s := max(1, q-4); s <= q; s++ {
		for _, n := range d.names(toks[s:]) {
			if s+n.used == q+1 {
				return s
			}
		}
	}
	return 0
}
