package query

import "tankroll/parse/lexicon"

// negated reads "not passing" and "did not pass", which mean more than a fail.
func (p *parser) negated(i int) int {
	lead := 0
	if helpers[p.w[i]] && i+1 < len(p.w) && p.w[i+1] == "not" {
		lead, i = 1, i+1
	}
	switch p.w[i] {
	case "not", "non", "never", "didnt", "doesnt", "hasnt", "havent", "wasnt", "isnt", "no", "without":
	case "non-passing", "non-pass":
		p.q.Result = NotPass
		return 1
	default:
		return 0
	}
	for k := i + 1; k < min(i+4, len(p.w)); k++ {
		if code, ok := p.resultAt(k); ok && code == "pass" {
			p.q.Result = NotPass
			return lead + k - i + 1
		}
		if !has([]string{"a", "an", "any", "result", "clear"}, p.w[k]) {
			break
		}
	}
	if i+1 < len(p.w) {
		if p.w[i+1] == "normal" && p.w[i] != "no" && p.w[i] != "without" {
			p.q.State = NotNormal
			return lead + 2
		}
	}
	return 0
}

// resultAt is the result that one word names.
func (p *parser) resultAt(i int) (string, bool) {
	if i >= len(p.w) || commonWords[p.w[i]] {
		return "", false
	}
	return p.exact(lexicon.Result, p.w[i])
}
