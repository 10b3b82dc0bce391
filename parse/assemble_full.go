package parse

import "tankroll/record"

// fullAtMost takes MAX for what the tank holds where the limits of each tank have a HIGH
// besides, which is below it, and nothing else says what the tank holds:
//
//	#1 GASOLINE    MAX 30,000 L
//	 HIGH              28,500 L
func fullAtMost(r reads) {
	if r.kind != record.TankLimits {
		return
	}
	var most, high []*fact
	for i := range r.entries {
		for k := range r.entries[i].facts {
			switch f := &r.entries[i].facts[k]; {
			case f.field == "capacity":
				return
			case f.field != "high_product":
			case saysMost(f.label):
				most = append(most, f)
			default:
				high = append(high, f)
			}
		}
	}
	if len(most) == 0 || len(most) != len(high) {
		return
	}
	for i := range most {
		if most[i].read.unit != high[i].read.unit || most[i].read.num.Value <= high[i].read.num.Value {
			return
		}
	}
	for _, f := range most {
		f.field, f.guess = "capacity", "it is taken for what the tank holds, since another limit is called high"
	}
}

// saysMost reports whether a label is no more than MAX.
func saysMost(label []token) bool {
	return len(label) == 1 && (label[0].norm == "max" || label[0].norm == "maximum")
}
