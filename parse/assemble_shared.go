package parse

import "tankroll/record"

// doubtShared doubts what a record of a list takes from above where others say it
// themselves: its own may have been missed.
func doubtShared(drafts []*draft) {
	own := map[string]int{}
	for _, dr := range drafts {
		for _, f := range dr.facts {
			if !f.inherited {
				own[f.field]++
			}
		}
	}
	for _, dr := range drafts {
		for i := range dr.facts {
			f := &dr.facts[i]
			listed := dr.kind == record.Alarm || dr.kind == record.SensorStatus
			named := f.field == ownName(dr.kind) && (dr.kind == record.TankTest || dr.kind == record.Inventory || dr.kind == record.Delivery || dr.kind == record.TankLimits || dr.kind == record.Reconciliation)
			if f.inherited && f.guess == "" && own[f.field] > 1 && (listed && f.field != "product" || named) {
				f.guess = "taken from above; the other records here say their own"
				if named && dr.doubt == "" {
					dr.doubt = f.guess // it may be no record
				}
			}
			if f.inherited && named && dr.split && dr.doubt == "" {
				dr.doubt = "a field came twice below one name; what stands here may belong to another"
			}
		}
	}
}
