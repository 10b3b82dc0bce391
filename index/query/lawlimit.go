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
	if has([]string{"outside", "beyond", "exceeded", "exceeds", "exceed"}, p.w[i]) {
		b.side, at = "over", i+1
	}
	if at < len(p.w) && p.w[at] == "the" {
		at++
	}
	if n := p.itsLimit(i, at, b.side); n > 0 {
		return n
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

// itsLimit reads "over the limit" of reconciliations, which print whether they are.
func (p *parser) itsLimit(i, at int, side string) int {
	for at < len(p.w) && has([]string{"allowed", "allowable", "permitted", "monthly"}, p.w[at]) {
		at++
	}
	if side == "" || at >= len(p.w) || p.w[at] != "limit" && p.w[at] != "limits" || p.q.Result != "" || p.q.Kind != record.Reconciliation {
		return 0
	}
	if p.q.Result = "fail"; side == "under" || side == "most" {
		p.q.Result = "pass"
	}
	p.use("result", i, at+1-i)
	p.assume("the limit is taken as that of the reconciliation: those that " + p.q.Result + " are meant")
	return at + 1 - i
}
