package parse

import "tankroll/record"

// ratesInColumn takes the values of a column that is headed RATE, or by its unit alone, for those that were tested
// for, where each of them names a test and no sign stands with any: what is measured is never
// so even. No other column may say which test it was.
//
//	LINE  RATE L/h  FINISHED  STATE
//	 1      11,4    21.11     TIGHT
//	 1      0,76    17.11     TIGHT
func (d *doc) ratesInColumn(r reads) {
	const fewest = 2 // rows
	if r.kind != record.TankTest && r.kind != record.LineTest {
		return
	}
	var rates []*fact
	for i := range r.entries {
		for k := range r.entries[i].facts {
			switch f := &r.entries[i].facts[k]; {
			case f.read.class != "" || f.field == "test_rate" || f.field == "test_class" || f.field == fieldType:
				return
			case f.field != "leak_rate":
			case !r.entries[i].row || !d.headsRates(f.label) || f.read.num.Value <= 0 || f.read.toks[0].text[0] == '+' || len(rates) > 0 && f.label[0].at != rates[0].label[0].at:
				return
			default:
				if _, _, ok := classOf(f.read.num.Value, f.read.unit); !ok {
					return
				}
				rates = append(rates, f)
			}
		}
	}
	if len(rates) < fewest {
		return
	}
	hourly := false
	for _, f := range rates {
		f.field = "test_rate"
		f.read.class, f.read.unit, _ = classOf(f.read.num.Value, f.read.unit)
		f.read.value = f.read.num.Value
		hourly = hourly || f.read.class == "3.0"
	}
	for _, f := range rates {
		if !hourly {
			f.guess = "it is read as the rate that was tested for; it may be what was measured"
		}
	}
}

// headsRates reports whether the head of a column speaks of a rate and not of a leak.
func (d *doc) headsRates(label []token) bool {
	rate := len(label) == 1 && d.isUnit(label[0])
	for _, t := range label {
		switch t.norm {
		case "rate", "rates":
			rate = true
		case "leak", "loss", "measured", "result":
			return false
		}
	}
	return rate
}
