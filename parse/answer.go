package parse

import "tankroll/record"

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
