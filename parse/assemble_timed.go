package parse

import (
	"math"

	"tankroll/record"
)

// A delivery may show what was in the tank on a line for each of two times, and below them what came in:
//
//	03/14/25 10:40   3,114 GAL  79.1 F
//	03/14/25 11:13   9,050 GAL  83.6 F
//	RECEIVED         5,936 GAL

// timedAmounts takes two such lines for the start and the end of the delivery, where the amounts of the
// two are as far apart as what is said to have come in.
func timedAmounts(r reads) {
	if r.kind != record.Delivery {
		return
	}
	for i := 0; i+2 < len(r.entries); i++ {
		a, b := r.entries[i].facts, r.entries[i+1].facts
		if r.entries[i].row || r.entries[i+1].row || !amountsAt(a) || !amountsAt(b) || len(a) != len(b) {
			continue
		}
		in := sideOf(r.entries[i+2].facts, "delivered")
		if in == nil || a[1].read.unit != b[1].read.unit || math.Abs(b[1].read.num.Value-a[1].read.num.Value-in.read.num.Value) > 1 {
			continue
		}
		for k, names := range [][2]string{{"started_at", "ended_at"}, {"start_volume", "end_volume"}, {"start_temperature", "end_temperature"}} {
			if k < len(a) {
				a[k].field, b[k].field = names[0], names[1]
				a[k].guess, b[k].guess = "", ""
			}
		}
	}
}

// amountsAt reports whether facts are a time, an amount and perhaps a temperature, without labels.
func amountsAt(facts []fact) bool {
	if len(facts) < 2 || len(facts) > 3 || facts[0].field != fieldMoment || !facts[0].read.hasClock() || facts[1].field != fieldLoose || quantityOf(facts[1].read.unit) != record.Volume {
		return false
	}
	return len(facts) == 2 || facts[2].field == fieldLoose && quantityOf(facts[2].read.unit) == record.Temperature
}
