package query

import "tankroll/record"

// lawLimit reads "over 1% plus 130 gallons", by which 40 CFR 280.43(a) judges a
// month of inventory control: the reconciliations that failed, or passed.
func (p *parser) lawLimit(i int) int {
	b, n := bounds[p.w[i]], 1
	if b.side == "" {
		b, n = bounds[p.from(i, 2)], 2
	}
	at := i + n
	if at < len(p.w) && p.w[at] == "the" {
		at++
	}
	if b.side == "" || at+1 >= len(p.w) || p.w[at] != "1" && p.w[at] != "1.0" {
		return 0
	}
	at++
	if p.w[at] != "%" && p.w[at] != "percent" || p.q.Result != "" || p.q.Kind != "" && p.q.Kind != record.Reconciliation {
		return 0
	}
	for k, from := 0, at+1; k < 4 && from+k+1 < len(p.w); k++ { // plus, of the flow-through plus
		if !has([]string{"plus", "and"}, p.w[from+k]) || p.w[from+k+1] != "130" {
			continue
		}
		n = from + k + 2 - i
		if p.quantityAt(i + n) {
			n++
		}
		p.q.Kind, p.q.Result = record.Reconciliation, "fail"
		if b.side == "under" || b.side == "most" {
			p.q.Result = "pass"
		}
		p.use("result", i, n)
		p.assume("1% plus 130 gallons is the limit of a reconciliation: those that " + p.q.Result + " are meant")
		return n
	}
	return 0
}
