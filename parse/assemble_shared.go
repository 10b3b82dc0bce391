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
	sharedTimes(drafts)
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

// sharedTimes doubts the time of an alarm that stands above another alarm already, which it
// may be the time of alone: that of the second may have been missed.
func sharedTimes(drafts []*draft) {
	taken := map[int]bool{} // by place
	for _, dr := range drafts {
		for i := range dr.facts {
			f := &dr.facts[i]
			if dr.kind != record.Alarm || f.field != "at" || !f.inherited || !f.read.hasClock() {
				continue
			}
			if taken[place(*f)] && f.guess == "" {
				f.guess = "its time stands above another alarm as well; its own may have been missed"
			}
			taken[place(*f)] = true
		}
	}
}
