package parse

import (
	"fmt"
	"math"
	"time"

	"tankroll/parse/value"
	"tankroll/record"
)

// check lets the numbers and times of the slip confirm or contradict each
// other. A relation that holds to the last printed digit makes its fields
// firm; one that does not puts a doubt on all of them, unless putting one
// character right makes it hold in exactly one way.
func (d *doc) check(all []*built, printed string) {
	d.groupsShown = showsGroups(all)
	for _, b := range all {
		switch b.rec.Kind {
		case record.TankTest:
			d.checkSpan(b)
			d.checkVerdict(b)
			d.checkDrift(b)
			b.checkTested()
		case record.LineTest:
			d.checkSpan(b)
			b.checkTested()
		case record.LineSummary:
			b.atMost("passes_since_midnight", "passes_24h", "more passes since midnight than in 24 hours")
			b.notAfter("first_pass_of_month", "last_pass_at")
			b.checkCount()
		case record.Alarm:
			d.checkSaid(b)
		case record.Inventory:
			d.checkUllage(b)
			d.checkNet(b, "volume", "net_volume")
		case record.Delivery:
			b.notAfter("started_at", "ended_at")
			d.checkDelivered(b)
			d.checkNet(b, "delivered", "net_delivered")
		case record.TankLimits:
			for _, name := range []string{"high_product", "overfill", "low_product", "delivery_needed"} {
				b.atMost(name, "capacity", "a limit above the tank's capacity")
			}
			b.atMost("low_product", "high_product", "the low limit is above the high one")
		case record.Reconciliation:
			b.notAfter("from", "to")
			d.checkBooks(b)
			d.checkAllowed(b)
		}
		b.notAfterPrinting(printed)
	}
}

// checkCount doubts the rate of a test that passed more often in a day than any but the
// test for 3.0 gal/h, which is run each hour, can.
func (b *built) checkCount() {
	const most = 8 // a finer test takes hours
	n, _, ok := b.number("passes_24h")
	if f, has := b.rec.Fields["test_class"]; ok && has && n > most && f.Value != "3.0" {
		b.doubt("more passes in a day than a test of this rate can have", "test_class", "passes_24h", "passes_since_midnight")
	}
}

// doubt puts a doubt on fields that are present.
func (b *built) doubt(why string, names ...string) {
	for _, n := range names {
		if _, ok := b.rec.Fields[n]; ok {
			b.doubts[n] = append(b.doubts[n], why)
		}
	}
}

func (b *built) confirm(names ...string) {
	for _, n := range names {
		b.firm[n] = true
	}
}

// number is a field's value and half the step of its last printed digit.
func (b *built) number(name string) (v, half float64, ok bool) {
	f, has := b.rec.Fields[name]
	v, isNumber := f.Number()
	if !has || !isNumber {
		return 0, 0, false
	}
	return v, 0.5 * math.Pow(10, -float64(b.reads[name].read.num.Decimals)), true
}

func (b *built) atMost(low, high, why string) {
	x, _, okX := b.number(low)
	y, _, okY := b.number(high)
	if okX && okY && x > y {
		b.doubt(why, low, high)
	}
}

func (b *built) notAfter(first, last string) {
	x, y := b.rec.Text(first), b.rec.Text(last)
	if x != "" && y != "" && x[:10] > y[:10] || len(x) > 10 && len(y) > 10 && x > y {
		b.doubt("the end is before the start", first, last)
	}
}

func (b *built) notAfterPrinting(printed string) {
	if printed == "" {
		return
	}
	for _, name := range []string{"started_at", "ended_at", "at", "last_pass_at", "first_pass_of_month"} {
		if s := b.rec.Text(name); len(s) >= 10 && (s[:10] > printed[:10] || len(s) > 10 && len(printed) > 10 && s[:16] > printed[:16]) {
			b.doubt("this is after the slip was printed ("+printed+"); one of the two is misread", name)
		}
	}
}

func parseTime(s string) (time.Time, bool) {
	for _, l := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if t, err := time.Parse(l, s); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// checkSpan: start + duration = end.
func (d *doc) checkSpan(b *built) {
	b.notAfter("started_at", "ended_at")
	start, okS := parseTime(b.rec.Text("started_at"))
	end, okE := parseTime(b.rec.Text("ended_at"))
	hours, half, okH := b.number("duration")
	if !okS || !okE || !okH {
		return
	}
	const minute = 1.0 / 60
	off := math.Abs(end.Sub(start).Hours() - hours)
	switch {
	case off <= half+minute:
		b.confirm("started_at", "ended_at", "duration")
	case b.rec.Text("method") == "continuous":
		// Gathers quiet time over days: the hours are fewer than the span.
	default:
		b.doubt(fmt.Sprintf("start, end and duration do not agree: from start to end are %.2f h", end.Sub(start).Hours()), "started_at", "ended_at", "duration")
	}
}

// checkVerdict: a rate at or above the threshold does not pass, in either
// direction (California LG 139-2; EPA UST Technical Compendium, release
// detection Q1). The printed word is the result; this only doubts it. Where losses are
// printed with a minus the threshold may be as well.
func (d *doc) checkVerdict(b *built) {
	rate, _, okR := b.number("leak_rate")
	limit, _, okL := b.number("threshold")
	if okL && limit < 0 && (!okR || rate >= 0) {
		b.doubt("a negative value is not possible here", "threshold")
	}
	if !okR || !okL || b.rec.Fields["leak_rate"].Unit != b.rec.Fields["threshold"].Unit {
		return
	}
	if rate == limit {
		b.doubt("the measured rate is the same as the limit; it may be that", "leak_rate")
	}
	over := math.Abs(rate) >= limit
	if limit < 0 {
		over = rate <= limit
	}
	switch result := b.rec.Text("result"); {
	case result == "pass" && over:
		b.doubt("a pass, but the rate is not below the threshold", "result", "leak_rate", "threshold")
	case result == "fail" && !over:
		b.doubt("a fail, but the rate is below the threshold", "result", "leak_rate", "threshold")
	}
}

// checkTested doubts a rate that is the same as one that is tested for: 0.1, 0.2 and 3.0 gal/h,
// or these in litres (40 CFR 280.43(c), 280.44; a gallon is 3.785 L).
func (b *built) checkTested() {
	rate, _, ok := b.number("leak_rate")
	if !ok || rate < 0 {
		return
	}
	for _, tested := range []float64{0.1, 0.2, 3} {
		litres := tested * litresPerGallon
		if rate == tested || rate == math.Round(litres*10)/10 || rate == math.Round(litres*100)/100 {
			b.doubt("the measured rate is the same as one that is tested for; it may be that", "leak_rate")
			return
		}
	}
}

// mostDrift is the share of its volume that a tank may gain or lose in a test
// before a digit must be misread; a test fails at far less.
const mostDrift = 0.02

func (d *doc) checkDrift(b *built) {
	start, _, okS := b.number("start_volume")
	end, _, okE := b.number("end_volume")
	if b.rec.Text("result") == "pass" && okS && okE && math.Abs(end-start) > mostDrift*math.Max(start, end)+2 {
		b.doubt("a pass, but start and end volume are far apart", "start_volume", "end_volume")
	}
}

// ullageShares are the shares of the capacity up to which consoles count free
// space: all of it, or up to the overfill limits of 40 CFR 280.20(c).
var ullageShares = []float64{1, 0.95, 0.9}

// checkUllage: volume + ullage = capacity, or a share of it.
func (d *doc) checkUllage(b *built) {
	names := []string{"volume", "ullage", "capacity"}
	holds := func(v map[string]float64, slack float64) bool {
		for _, share := range ullageShares {
			if math.Abs(v["volume"]+v["ullage"]-share*v["capacity"]) <= slack {
				return true
			}
		}
		return false
	}
	d.relation(b, names, holds, "volume, ullage and capacity do not add up")
	d.checkHeld(b)
}

// checkHeld doubts a volume from which the ullage leaves another number of its row: that may be the
// volume, and this the capacity, HOLDS 20000  HAS 11893  SPACE 8107.
func (d *doc) checkHeld(b *built) {
	volume, _, okV := b.number("volume")
	ullage, slack, okU := b.number("ullage")
	if _, ok := b.rec.Fields["capacity"]; ok || !okV || !okU || ullage <= 0 || volume <= ullage {
		return
	}
	toks := b.reads["volume"].read.toks
	if len(toks) == 0 {
		return
	}
	row := toks[0].seen.row
	for _, l := range d.lines {
		for i, t := range l.toks {
			if t.seen.row != row || !t.number {
				continue
			}
			if r, ok := d.readNumber(record.Volume, l.toks[i:], ""); ok {
				if v, isNumber := r.value.(float64); isNumber && v > 0 && math.Abs(volume-ullage-v) <= slack+0.05 && v != ullage {
					b.doubt("less the ullage it is "+t.text+", which stands beside it; that may be the volume, and this the capacity", "volume")
					return
				}
			}
		}
	}
}

// checkDelivered: delivered = after - before. Sales during the delivery may
// make it more, by a little.
func (d *doc) checkDelivered(b *built) {
	const sales = 0.03 // of the delivery may be sold meanwhile
	names := []string{"start_volume", "end_volume", "delivered"}
	holds := func(v map[string]float64, slack float64) bool {
		return math.Abs(v["end_volume"]-v["start_volume"]-v["delivered"]) <= slack
	}
	start, _, _ := b.number("start_volume")
	end, _, _ := b.number("end_volume")
	got, _, has := b.number("delivered")
	if _, ok := b.rec.Fields["end_volume"]; ok && !has && b.rec.Fields["start_volume"].Value == nil {
		b.doubt("the only volume of the delivery; it may be what was delivered", "end_volume")
	}
	if more := got - (end - start); more > 0 && more <= sales*got && got > 0 {
		if !holds(map[string]float64{"start_volume": start, "end_volume": end, "delivered": got}, 2) {
			return // plausible, but confirms nothing
		}
	}
	d.relation(b, names, holds, "the amount delivered is not the difference of the volumes")
}

// checkNet: a volume corrected to 60 F or 15 C differs by a few percent only:
// 0.0007 a degree F at most (API MPMS 11.1, Table 6B, gasoline; rounded up),
// over 80 degrees either way.
func (d *doc) checkNet(b *built, gross, net string) {
	const most = 0.06
	x, hx, okX := b.number(gross)
	y, hy, okY := b.number(net)
	if okX && okY && math.Abs(x-y) > most*math.Abs(x)+hx+hy+1 {
		b.doubt("gross and net are further apart than any temperature explains", gross, net)
	}
}

// checkBooks: over or short = closing - (opening + delivered - sold), as 40 CFR
// 280.43(a) and the forms of the states reckon it (Maine DEP UST-08).
func (d *doc) checkBooks(b *built) {
	names := []string{"opening", "delivered", "sold", "closing", "over_short"}
	holds := func(v map[string]float64, slack float64) bool {
		return math.Abs(v["closing"]-(v["opening"]+v["delivered"]-v["sold"])-v["over_short"]) <= slack
	}
	d.relation(b, names, holds, "the stock does not add up: closing - (opening + delivered - sold) is not the amount over or short")
}

// litresPerGallon is exact: 231 cubic inches.
const litresPerGallon = 3.785411784

// allowance is 1 % of the flow-through plus 130 gallons, 40 CFR 280.43(a).
func allowance(sold float64, unit string) float64 {
	base := 130.0
	if unit == "L" {
		base *= litresPerGallon
	}
	return 0.01*sold + base
}

// checkAllowed: allowed = 1 % of the sales + 130 gal, and the result follows
// from it.
func (d *doc) checkAllowed(b *built) {
	sold, _, okS := b.number("sold")
	allowed, half, okA := b.number("allowed")
	over, _, okO := b.number("over_short")
	if okS && okA && math.Abs(allowance(sold, b.rec.Fields["sold"].Unit)-allowed) <= half+1 {
		b.confirm("allowed")
		if b.firm["over_short"] {
			b.confirm("sold")
		}
	}
	if !okA || !okO {
		return
	}
	switch result := b.rec.Text("result"); {
	case result == "pass" && math.Abs(over) > allowed, result == "fail" && math.Abs(over) < allowed:
		b.doubt("the result does not follow from what is over or short and what is allowed", "result", "over_short", "allowed")
	case result == "pass" || result == "fail":
		if b.firm["over_short"] && b.firm["allowed"] {
			b.confirm("result")
		}
	}
}

// relation confirms the fields when they satisfy holds, repairs one of them
// when that is the only way, or doubts them all.
func (d *doc) relation(b *built, names []string, holds func(v map[string]float64, slack float64) bool, why string) {
	v := map[string]float64{}
	slack := 0.0
	for _, n := range names {
		x, half, ok := b.number(n)
		if !ok {
			return
		}
		v[n] = x
		slack += half
	}
	slack += 1e-6
	if holds(v, slack) {
		for _, n := range names {
			if d.alone(b, n, v, slack, holds) {
				b.confirm(n)
			}
		}
		for _, n := range names {
			if f := b.rec.Fields[n]; b.firm[n] && b.reads[n].read.fixed == 1 {
				f.Origin = record.Repaired // a letter was taken for a figure, and the sum says rightly
				b.rec.Fields[n] = f
			}
		}
		return
	}
	if n, x, ok := d.repair(b, names, v, slack, holds); ok {
		f := b.rec.Fields[n]
		f.Value, f.Origin = x, record.Repaired
		b.rec.Fields[n] = f
		b.confirm(names...)
		return
	}
	b.doubt(why, names...)
}

// alone reports whether no other reading of a field's text, with one character
// changed, satisfies the relation as well; only then does it confirm the field.
func (d *doc) alone(b *built, n string, v map[string]float64, slack float64, holds func(map[string]float64, float64) bool) bool {
	r := b.reads[n].read
	if len(r.toks) != 1 {
		return true
	}
	old := v[n]
	defer func() { v[n] = old }()
	for _, o := range value.Variants(r.toks[0].text, d.style) {
		v[n] = o.Value
		if o.Value != old && holds(v, slack) {
			return false
		}
	}
	return true
}

// surePrint is the confidence from which a word is not put right: it was read
// well, so the paper itself says so.
const surePrint = 0.97

// repair finds the one field and the one misread character that make a
// relation hold.
func (d *doc) repair(b *built, names []string, v map[string]float64, slack float64, holds func(map[string]float64, float64) bool) (string, float64, bool) {
	found, name, best := 0, "", 0.0
	for _, n := range names {
		r := b.reads[n].read
		if len(r.toks) != 1 || r.toks[0].conf >= surePrint && r.fixed == 0 {
			continue
		}
		old := v[n]
		for _, o := range value.Variants(r.toks[0].text, d.style) {
			v[n] = o.Value
			if o.Value != old && holds(v, slack) && (found == 0 || o.Value != best || n != name) {
				found, name, best = found+1, n, o.Value
			}
		}
		v[n] = old
	}
	return name, best, found == 1
}
