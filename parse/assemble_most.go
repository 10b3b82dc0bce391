package parse

import "tankroll/record"

// mostBelowFull takes the most that a tank may hold for its high limit where another label,
// whose value is above it, says what the tank holds:
//
//	Capacity          37,854 L
//	Maximum volume    35,961 L
func mostBelowFull(r reads) {
	if r.kind != record.TankLimits {
		return
	}
	var full, most []*fact
	overfill := false
	for i := range r.entries {
		for k := range r.entries[i].facts {
			switch f := &r.entries[i].facts[k]; {
			case f.field == "high_product":
				return
			case f.field == "overfill":
				overfill = true
			case f.field != "capacity":
			case len(f.label) > 0 && isMost(f.label[0]):
				most = append(most, f)
			default:
				full = append(full, f)
			}
		}
	}
	if len(most) == 0 || len(most) != len(full) {
		return
	}
	for i := range most {
		if most[i].read.unit != full[i].read.unit || most[i].read.num.Value >= full[i].read.num.Value {
			return
		}
	}
	for _, f := range most {
		f.field = "high_product"
		if !overfill {
			f.guess = "it is taken for the high limit, since another label says what the tank holds"
		}
	}
}

// isMost reports whether a word says that what follows is the most there may be.
func isMost(t token) bool {
	return t.norm == "max" || t.norm == "maximum" || t.norm == "maxi"
}
