package index

import (
	"context"
	"fmt"
	"math/rand"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/record"
)

// The world is an invented chain of 40 sites and three years of its printouts,
// asked about on this day.
var (
	worldNow   = time.Date(2025, 6, 18, 9, 0, 0, 0, time.UTC)
	worldBegin = time.Date(2022, 7, 1, 0, 0, 0, 0, time.UTC)
)

var worldNames = strings.Split("Maple Street,Harbor Road,Northgate,Mill Lane,Mill Creek,Cedar Crossing,Quarry Hill,Station Square,Lakeside,Old Orchard,"+
	"Bridge End,Fairview,Elm Grove,Oak Street,Ridge Road,Depot Lane,West Ferry,East Ferry,Copper Bend,Juniper Flats,"+
	"Silver Spring,Granite Pass,Meadow Brook,Foundry Row,Tanner Street,Linden Park,Sandy Hook,March Avenue,Walnut Grove,Pine Hollow,"+
	"Clay Pit Road,Abbot Road,Windmill Hill,Kiln Road,Salt Marsh,Tollgate,Union Square,Valley View,Weaver Street,Youngs Corner", ",")

type worldTank struct{ no, label, grade string }

func worldTanks(site int) []worldTank {
	tanks := []worldTank{{"1", "REGULAR UNL", "regular"}, {"2", "PREMIUM", "premium"}, {"3", "ULSD", "diesel"}}
	if site%2 == 0 {
		tanks[1].label, tanks[2].label = "SUPER", "DIESEL"
	}
	if site%9 == 0 {
		tanks[1] = worldTank{"2", "PLUS", "midgrade"}
	}
	switch {
	case site%5 == 0:
		tanks = append(tanks, worldTank{"4", "E85", "e85"})
	case site%7 == 0:
		tanks = append(tanks, worldTank{"4", "DEF", "def"})
	}
	return tanks
}

var worldSensors = []string{"DISPENSER PAN 1/2", "DISPENSER PAN 3/4", "STP SUMP DIESEL", "TANK 1 INTERSTICE", "FILL SUMP"}

// worldMaker fills pages, a capture for each site and year.
type worldMaker struct {
	t     testing.TB
	s     *archive.Store
	rng   *rand.Rand
	site  int
	pages []archive.Reading
}

// makeWorld fills an archive; the same seed makes the same archive.
func makeWorld(t testing.TB, s *archive.Store, sites int) {
	t.Helper()
	w := &worldMaker{t: t, s: s, rng: rand.New(rand.NewSource(40))}
	for i := range sites {
		w.site = 101 + i
		for year := range 3 {
			for month := range 12 {
				first := worldBegin.AddDate(year, month, 0)
				w.tests(first)
				w.stock(first, year)
				if month%6 == 0 || first.Year() == 2025 && month%3 == 0 {
					w.sensors(first)
				}
				w.alarms(first)
			}
			w.keep(year)
		}
	}
	w.enter(sites)
	w.decide()
}

func (w *worldMaker) keep(year int) {
	ctx := context.Background()
	for i := range len(w.pages) / 40 { // photographed twice
		w.pages = append(w.pages, w.pages[i*40+w.rng.Intn(40)])
	}
	for i := range w.pages {
		w.pages[i].Page = i + 1
	}
	c, _, err := w.s.Keep(ctx, fmt.Sprintf("binder-%d-%d.pdf", w.site, year), fmt.Appendf(nil, "%d %d", w.site, year), "")
	if err != nil {
		w.t.Fatal(err)
	}
	if err := w.s.SaveReadings(ctx, c.ID, w.pages); err != nil {
		w.t.Fatal(err)
	}
	w.pages = nil
}

// slip puts records on a page of their own. Not every slip prints both name and
// number of its site, and now and then something is in doubt.
func (w *worldMaker) slip(title string, records ...record.Record) {
	if len(records) == 0 {
		return
	}
	rep := record.Report{Records: records}
	style := w.rng.Intn(10)
	if style > 0 {
		f := field(fmt.Sprint(w.site))
		rep.Header.SiteNumber = &f
	}
	if style < 7 {
		f := field(strings.ToUpper(worldNames[w.site-101]))
		rep.Header.Site = &f
	}
	for _, r := range records {
		for _, name := range []string{"result", "ended_at", "tank", "at", "state", "delivered"} {
			if f, ok := r.Fields[name]; ok && w.rng.Intn(80) == 0 {
				f.Sure, f.Confidence = false, 0.6
				r.Fields[name] = f
			}
		}
	}
	lines := []record.Line{{Box: record.Box{X: 1, Y: 1, W: 90, H: 9}, Words: []record.Word{{Text: title}}}}
	w.pages = append(w.pages, archive.Reading{Slips: []archive.SlipReading{{Slip: record.Slip{Lines: lines}, Report: rep}}})
}

func (w *worldMaker) stamp(first time.Time, day, hour int) string {
	return first.AddDate(0, 0, day-1).Add(time.Duration(hour)*time.Hour + time.Duration(w.rng.Intn(60))*time.Minute).Format("2006-01-02T15:04")
}

func (w *worldMaker) some(r record.Record, t worldTank) record.Record {
	if w.rng.Intn(12) > 0 { // some slips print no product
		r.Fields["product"], r.Fields["grade"] = field(t.label), field(t.grade)
	}
	return r
}

func num(v float64, unit string) record.Field {
	f := field(fmt.Sprint(v))
	f.Value, f.Unit = v, unit
	return f
}

func (w *worldMaker) result(class string) string {
	switch n := w.rng.Intn(100); {
	case n < 3:
		return "fail"
	case n < 6 && class == "0.2":
		return "inconclusive"
	case n < 8:
		return "aborted"
	}
	return "pass"
}

func (w *worldMaker) tests(first time.Time) {
	recent := first.Year() > 2023
	annual := int(first.Month())%12 == w.site%12
	day := 2 + (w.site*7)%20
	classes := []string{"0.2"}
	if annual {
		classes = append(classes, "0.1")
	}
	for _, class := range classes {
		var tanks, lines []record.Record
		for i, t := range worldTanks(w.site) {
			if w.rng.Intn(25) > 0 && (class == "0.1" || recent || first.Month()%3 == 0) { // a test is missed now and then
				tanks = append(tanks, w.tankTest(first, day+i, class, t))
			}
			if w.rng.Intn(25) > 0 && t.no != "4" && (class == "0.1" || first.Year() == 2025 || first.Month()%3 == 0) {
				r := w.some(rec(record.LineTest, "line", t.no, "test_class", class, "ended_at", w.stamp(first, day+i, 4), "result", w.result(class)), t)
				r.Fields["leak_rate"], r.Fields["pressure"] = num(float64(w.rng.Intn(90))/1000, "gal/h"), num(float64(25+w.rng.Intn(15)), "psi")
				lines = append(lines, r)
			}
		}
		w.slip("TANK LEAK TEST", tanks...)
		w.slip("LINE LEAK TEST", lines...)
	}
	if first.Month()%6 == 2 {
		for _, t := range worldTanks(w.site)[:3] {
			w.slip("HOURLY LINE TEST", w.some(rec(record.LineTest, "line", t.no, "test_class", "3.0", "ended_at", w.stamp(first, day+5, 5), "result", w.result("3.0")), t))
		}
	}
}

func (w *worldMaker) tankTest(first time.Time, day int, class string, t worldTank) record.Record {
	r := w.some(rec(record.TankTest, "tank", t.no, "test_class", class, "ended_at", w.stamp(first, day, 3), "result", w.result(class), "method", "static"), t)
	if w.site%6 == 3 {
		r.Fields["method"] = field("continuous")
	}
	hours := float64(2 + w.rng.Intn(5))
	r.Fields["duration"], r.Fields["leak_rate"] = num(hours, "h"), num(-float64(w.rng.Intn(180))/1000, "gal/h")
	r.Fields["water_height"], r.Fields["percent_full"] = num(float64(w.rng.Intn(100))/100, "in"), num(float64(30+w.rng.Intn(60)), "")
	return r
}

func (w *worldMaker) stock(first time.Time, year int) {
	var stock, recon, limits []record.Record
	for i, t := range worldTanks(w.site) {
		if first.Year() == 2025 || first.Month()%6 == 0 {
			r := w.some(rec(record.Inventory, "tank", t.no, "at", w.stamp(first, 1, 6)), t)
			r.Fields["volume"], r.Fields["ullage"] = num(float64(1000+w.rng.Intn(8000)), "gal"), num(float64(500+w.rng.Intn(3000)), "gal")
			r.Fields["water_height"], r.Fields["temperature"] = num(float64(w.rng.Intn(250))/100, "in"), num(float64(40+w.rng.Intn(400)/10), "degF")
			stock = append(stock, r)
		}
		if int(first.Month())%3 == w.site%3 || first.Year() == 2025 && first.Month()%2 == 1 {
			day := 4 + w.rng.Intn(20)
			r := w.some(rec(record.Delivery, "tank", t.no, "started_at", w.stamp(first, day, 9), "ended_at", w.stamp(first, day, 10)), t)
			r.Fields["delivered"] = num(float64(2000+w.rng.Intn(6500)), "gal")
			w.slip("DELIVERY", r)
		}
		if first.Year() == 2025 && t.no != "4" && t.no != "2" {
			r := w.some(rec(record.Reconciliation, "tank", t.no, "from", first.Format("2006-01-02"), "to", first.AddDate(0, 1, -1).Format("2006-01-02"), "result", "pass"), t)
			over := float64(w.rng.Intn(400) - 200)
			r.Fields["over_short"], r.Fields["sold"] = num(over, "gal"), num(float64(5000+w.rng.Intn(9000)), "gal")
			if over > 180 || over < -180 {
				r.Fields["result"] = field("fail")
			}
			recon = append(recon, r)
		}
		if year == 0 && first.Month() == time.July {
			r := w.some(rec(record.TankLimits, "tank", t.no), t)
			r.Fields["capacity"], r.Fields["high_water"], r.Fields["overfill"] = num(float64(10000+1000*i), "gal"), num(2+float64(i)/2, "in"), num(9000+900*float64(i), "gal")
			limits = append(limits, r)
		}
	}
	w.slip("INVENTORY", stock...)
	w.slip("RECONCILIATION", recon...)
	w.slip("TANK LIMITS", limits...)
}

func (w *worldMaker) sensors(first time.Time) {
	if w.site%8 == 6 && first.Year() == 2025 {
		return // no status report this year
	}
	var list []record.Record
	at := w.stamp(first, 5, 8)
	for i, where := range worldSensors {
		state := "normal"
		if w.rng.Intn(15) == 0 {
			state = pick(w.rng, "fuel", "liquid", "water", "out")
		}
		list = append(list, rec(record.SensorStatus, "sensor", fmt.Sprint(i+1), "location", where, "state", state, "at", at))
	}
	w.slip("SENSOR STATUS", list...)
}

func (w *worldMaker) alarms(first time.Time) {
	if w.rng.Intn(3) > 0 {
		return
	}
	device, no, event := "tank", fmt.Sprint(1+w.rng.Intn(3)), pick(w.rng, "HIGH WATER", "OVERFILL", "LOW PRODUCT", "PROBE OUT", "LEAK TEST FAILED")
	switch w.rng.Intn(5) {
	case 0, 1:
		device, no, event = "sensor", fmt.Sprint(1+w.rng.Intn(len(worldSensors))), pick(w.rng, "FUEL", "LIQUID", "SENSOR OUT", "WATER")
	case 2:
		device, event = "line", pick(w.rng, "LINE LEAK", "PRESSURE LOW")
	}
	day := 1 + w.rng.Intn(26)
	at := w.stamp(first, day, 7)
	list := []record.Record{rec(record.Alarm, "at", at, "device", device, "device_number", no, "event", event, "state", "raised")}
	if w.rng.Intn(2) == 0 {
		list = append(list, rec(record.Alarm, "at", w.stamp(first, day, 11), "device", device, "device_number", no, "event", event, "state", "cleared"))
	}
	w.slip("ALARM HISTORY", list...)
}

// enter types in tests from paper that could not be read.
func (w *worldMaker) enter(sites int) {
	for i := range sites {
		if i%4 != 3 {
			continue
		}
		t := worldTanks(101 + i)[i%3]
		if _, err := w.s.Enter(context.Background(), archive.Entry{Site: fmt.Sprint(101 + i), Kind: record.TankTest, Fields: map[string]any{
			"tank": t.no, "product": t.label, "test_class": "0.2", "result": "pass", "ended_at": worldBegin.AddDate(0, 3+i/2, 24).Format("2006-01-02T15:04")}}); err != nil {
			w.t.Fatal(err)
		}
	}
}

// decide has people confirm, correct, reject and follow up.
func (w *worldMaker) decide() {
	ctx := context.Background()
	rows, err := w.s.Rows(ctx, archive.Filter{})
	if err != nil {
		w.t.Fatal(err)
	}
	for _, r := range rows {
		d := archive.Decision{Record: r.ID, Action: archive.Confirm, By: "ann"}
		n := w.rng.Intn(300)
		switch result := r.Record.Text("result"); {
		case r.ByHand:
			continue
		case r.Record.Kind == record.Alarm && n < 90:
			d.Action, d.Note = archive.FollowUp, "called the contractor"
		case n == 1 && result != "":
			d.Action, d.Field, d.Value = archive.Correct, "result", map[string]string{"pass": "fail"}[result]
			if d.Value == "" {
				d.Value = "pass"
			}
		case n == 2 && r.Record.Text("tank") != "":
			d.Action, d.Field, d.Value = archive.Correct, "tank", "3"
		case n == 3:
			d.Action = archive.Reject
		case n > 4:
			continue
		}
		if t, err := time.Parse("2006-01-02", cut(r.At, 10)); err == nil {
			d.At = t.AddDate(0, 0, 2)
		}
		if err := w.s.Decide(ctx, d); err != nil {
			w.t.Fatal(err)
		}
	}
}
