package parse

import (
	"fmt"
	"slices"

	"tankroll/record"
)

// joinApart puts records of one part of a slip together, of limits and stocks of several parts, that are of one thing and say nothing in
// common, as where a table is cut in several and one of them was not understood as such. None
// of what they say is sure then. Where a thing has several records already they stay apart.
func joinApart(drafts []*draft) []*draft {
	var out []*draft
	joined := map[*draft]bool{}
	for _, dr := range drafts {
		var of []*draft // earlier records of the same thing
		for _, o := range out {
			if o.kind == dr.kind && (o.part == dr.part || oncePerTank(dr.kind)) && dr.ownText() != "" && o.ownText() == dr.ownText() {
				of = append(of, o)
			}
		}
		if len(of) != 1 || !isPiece(of[0], dr) {
			if dr.doubt == "" && slices.ContainsFunc(of, func(o *draft) bool { return joined[o] }) {
				dr.doubt = "pieces of a record of the same were put together here; it may be one of them"
			}
			out = append(out, dr)
			continue
		}
		o := of[0]
		joined[o] = true
		for _, f := range dr.facts {
			if !f.inherited && f.field != ownName(dr.kind) {
				o.facts = append(o.facts, f)
			}
		}
		o.again = append(o.again, dr.again...)
		if o.doubt == "" {
			o.doubt = fmt.Sprintf("it was put together of two pieces about %s %s that say nothing in common", ownName(dr.kind), dr.ownText())
		}
	}
	return out
}

// oncePerTank reports whether a slip has one record of a kind for each tank, however many tables it is
// printed in.
func oncePerTank(k record.Kind) bool { return k == record.TankLimits || k == record.Inventory }

// isPiece reports whether two records of one thing say nothing in common.
func isPiece(a, b *draft) bool {
	if !inBlocks(b.kind) || a.onlySays(b, "result") || b.onlySays(a, "result") || a.namedAbove() && a.wideRow() || b.namedAbove() && b.wideRow() || b.own() == 0 || a.own() == 0 {
		return false
	}
	return !slices.ContainsFunc(b.facts, func(o fact) bool {
		return o.field != "" && !o.inherited && o.field != ownName(b.kind) && (o.field == "product" && a.hasOwn("product") || o.field != "product" && a.has(o.field))
	})
}
