package parse

import (
	"tankroll/parse/lexicon"
	"tankroll/record"
)

// testPairs reads several tests of a tank or line on one line, each a moment and how it ended:
//
//	line = thing [ product ] { moment verdict }     L1 UNL  05/02 02:11 OK   05/16 02:20 LEAK
func (d *doc) testPairs(k record.Kind, lines []line, i int) (structure, bool) {
	const fewest = 2 // tests
	own := ownName(k)
	toks := lines[i].toks
	if k != record.TankTest && k != record.LineTest || len(toks) < 2*fewest+1 {
		return structure{}, false
	}
	thing, n := d.thingAt(own, toks)
	if n == 0 || n >= len(toks) {
		return structure{}, false
	}
	head := []fact{thing}
	at := n
	for at < len(toks) && !hasDigit(toks[at].text) {
		at++
	}
	for at < len(toks) && at > n { // UNL 87
		if m, ok := d.readTime(toks[at:], false); ok && m.hasDate() {
			break
		}
		at++
	}
	if at > n {
		r, ok := d.readField(k, specs[k]["product"], toks[n:at], "")
		if !ok || r.used != at-n {
			return structure{}, false
		}
		head = append(head, fact{field: "product", read: r, weak: true})
	}
	s := structure{lines: 1, worth: float64(at) * wordWorth}
	for at < len(toks) {
		m, ok := d.readTime(toks[at:], false)
		if !ok || !m.hasDate() || at+m.used >= len(toks) {
			return structure{}, false
		}
		v := at + m.used
		end := v
		for end < len(toks) && !hasDigit(toks[end].text) {
			end++
		}
		code, cost, ok := d.whole(lexicon.Result, toks[v:end])
		if !ok || cost > 0 {
			return structure{}, false
		}
		verdict := reading{used: end - v, toks: toks[v:end], value: code}
		facts := append(head[:len(head):len(head)], fact{field: fieldMoment, read: m, weak: true}, fact{field: "result", read: verdict, weak: true})
		s.entries = append(s.entries, entry{row: true, facts: facts})
		s.worth += float64(end-at)*wordWorth + factWorth
		at = end
	}
	return s, len(s.entries) >= fewest
}
