package query

import "tankroll/parse/lexicon"

// negated reads "not passing" and "did not pass", which mean more than a fail.
func (p *parser) negated(i int) int {
	lead := 0
	if helpers[p.w[i]] && i+1 < len(p.w) && p.w[i+1] == "not" {
		lead, i = 1, i+1
	}
	switch p.w[i] {
	case "not", "non", "never", "didnt", "doesnt", "hasnt", "havent", "wasnt", "isnt", "arent", "werent", "dont", "no", "without":
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
	for k := i + 1; k < min(i+5, len(p.w)) && p.w[i] != "no" && p.w[i] != "without"; k++ { // arent reading normal
		if p.w[k] == "normal" {
			p.q.State = NotNormal
			return lead + k - i + 1
		}
		if !has([]string{"reading", "showing", "reporting", "read", "show", "report", "looking", "look", "all", "in", "a", "at", "state", "being", "back", "to", "currently", "as", "say", "saying", "giving", "give"}, p.w[k]) {
			break
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
