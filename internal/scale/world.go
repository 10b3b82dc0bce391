package main

import (
	"fmt"
	"math/rand"
	"strings"
)

// The made-up chain: every site has six tanks and four lines, and prints, in
// turn, the slips of slipKinds over ten years.
const (
	recordsASite = 500
	firstYear    = 2015
	years        = 10
)

var grades = []string{"regular", "midgrade", "premium", "diesel", "regular", "diesel"}

var (
	streets = []string{"OAK", "LAKE", "MILL", "HARBOR", "CEDAR", "QUARRY", "ORCHARD", "DEPOT", "SUMMIT", "MEADOW", "FERRY", "CANAL"}
	ends    = []string{"STREET", "ROAD", "CORNER", "CROSSING", "PLAZA", "STATION", "STOP"}
)

// world makes slips, the same ones for the same number of records.
type world struct {
	rng   *rand.Rand
	sites int
}

func newWorld(records int) *world {
	return &world{rand.New(rand.NewSource(1)), max(records/recordsASite, 1)}
}

type site struct {
	number, name string
}

func (w *world) site(i int) site {
	return site{fmt.Sprint(100 + i), fmt.Sprintf("%s %s %d", streets[i%len(streets)], ends[i/len(streets)%len(ends)], i/(len(streets)*len(ends))+1)}
}

// made is a slip with its records.
type made struct {
	site    site
	printed string
	lines   []string
	records []madeRecord
}

type madeRecord struct {
	kind   string
	at     string
	what   string // equipment, as records name it
	fields []madeField
}

type madeField struct {
	name, text, unit string
	number           bool
	sure             bool
}

func (r *madeRecord) add(name, text, unit string, sure bool) {
	r.fields = append(r.fields, madeField{name, text, unit, unit != "", sure})
}

func (w *world) date() (day, at string) {
	day = fmt.Sprintf("%d-%02d-%02d", firstYear+w.rng.Intn(years), 1+w.rng.Intn(12), 1+w.rng.Intn(28))
	return day, fmt.Sprintf("%sT%02d:%02d", day, w.rng.Intn(24), w.rng.Intn(60))
}

func (w *world) pick(list ...string) string { return list[w.rng.Intn(len(list))] }

// slip makes the next slip of a site.
func (w *world) slip(i int) made {
	s := made{site: w.site(w.rng.Intn(w.sites))}
	day, at := w.date()
	s.printed = fmt.Sprintf("%sT%02d:%02d", day, w.rng.Intn(24), w.rng.Intn(60))
	s.lines = append(s.lines, s.site.name, "SITE NUMBER "+s.site.number, "PRINTED "+s.printed[:10]+" "+s.printed[11:], "")
	switch i % 6 {
	case 0, 1:
		w.inventory(&s, at)
	case 2:
		w.test(&s, at, "tank_test", "tank", "TANK TIGHTNESS REPORT", 2)
	case 3:
		w.test(&s, at, "line_test", "line", "LINE TIGHTNESS REPORT", 2)
	case 4:
		w.alarms(&s, day)
	default:
		w.delivery(&s, at)
	}
	s.lines = append(s.lines, "", "END OF REPORT")
	return s
}

func (w *world) volume() string { return fmt.Sprintf("%d.%d", 500+w.rng.Intn(9000), w.rng.Intn(10)) }

func (w *world) inventory(s *made, at string) {
	s.lines = append(s.lines, "INVENTORY REPORT")
	for tank := range 4 {
		r := madeRecord{kind: "inventory", at: at, what: fmt.Sprint("tank ", tank+1)}
		vol, temp, water := w.volume(), fmt.Sprintf("%d.%d", 40+w.rng.Intn(40), w.rng.Intn(10)), fmt.Sprintf("%d.%d", w.rng.Intn(3), w.rng.Intn(10))
		r.add("tank", fmt.Sprint(tank+1), "", true)
		r.add("product", strings.ToUpper(grades[tank]), "", true)
		r.add("grade", grades[tank], "", true)
		r.add("volume", vol, "gal", w.rng.Intn(50) > 0)
		r.add("ullage", w.volume(), "gal", true)
		r.add("water_height", water, "in", true)
		r.add("temperature", temp, "degF", true)
		r.add("at", at, "", true)
		s.records = append(s.records, r)
		s.lines = append(s.lines, fmt.Sprintf("TANK %d %s", tank+1, misread(w.rng, strings.ToUpper(grades[tank]))), "VOLUME "+vol+" GAL",
			"WATER "+water+" IN", "TEMPERATURE "+temp+" DEG F")
	}
}

func (w *world) test(s *made, at, kind, device, title string, n int) {
	s.lines = append(s.lines, title)
	first := w.rng.Intn(3)
	for i := range n {
		r := madeRecord{kind: kind, at: at, what: fmt.Sprintf("%s %d", device, first+i+1)}
		result, class := w.pick("pass", "pass", "pass", "pass", "pass", "pass", "fail", "inconclusive"), w.pick("0.1", "0.2", "0.2", "0.2")
		rate := fmt.Sprintf("0.%03d", w.rng.Intn(300))
		r.add(device, fmt.Sprint(first+i+1), "", w.rng.Intn(100) > 0)
		if w.rng.Intn(4) > 0 { // the others do not print it
			r.add("product", strings.ToUpper(grades[first+i]), "", true)
			r.add("grade", grades[first+i], "", true)
		}
		r.add("test_class", class, "", true)
		r.add("leak_rate", rate, "gal/h", true)
		r.add("ended_at", at, "", w.rng.Intn(100) > 0)
		r.add("result", result, "", w.rng.Intn(50) > 0)
		s.records = append(s.records, r)
		s.lines = append(s.lines, fmt.Sprintf("%s %d %s", strings.ToUpper(device), first+i+1, misread(w.rng, strings.ToUpper(grades[first+i]))),
			"TEST CLASS "+class+" GAL/HR", "RATE "+rate+" GAL/HR", "ENDED "+at[:10]+" "+at[11:], "RESULT "+misread(w.rng, strings.ToUpper(result)))
	}
}

func (w *world) alarms(s *made, day string) {
	s.lines = append(s.lines, "ALARM HISTORY")
	for range 10 {
		at := fmt.Sprintf("%sT%02d:%02d", day, w.rng.Intn(24), w.rng.Intn(60))
		device := w.pick("tank", "line", "sensor", "sensor")
		r := madeRecord{kind: "alarm", at: at, what: fmt.Sprintf("%s %d", device, 1+w.rng.Intn(6))}
		event, state := w.pick("HIGH WATER", "FUEL IN SUMP", "LOW PRODUCT", "OVERFILL", "PROBE OUT", "WATER IN DISPENSER PAN"), w.pick("raised", "cleared")
		r.add("at", at, "", true)
		r.add("device", device, "", true)
		r.add("device_number", r.what[len(r.what)-1:], "", true)
		r.add("event", event, "", w.rng.Intn(50) > 0)
		r.add("state", state, "", true)
		s.records = append(s.records, r)
		s.lines = append(s.lines, fmt.Sprintf("%s %s %s %s %s", at[:10], at[11:], strings.ToUpper(r.what), event, strings.ToUpper(state)))
	}
}

func (w *world) delivery(s *made, at string) {
	s.lines = append(s.lines, "DELIVERY REPORT")
	tank := w.rng.Intn(4)
	r := madeRecord{kind: "delivery", at: at, what: fmt.Sprint("tank ", tank+1)}
	before, after, got := w.volume(), w.volume(), w.volume()
	r.add("tank", fmt.Sprint(tank+1), "", true)
	r.add("product", strings.ToUpper(grades[tank]), "", true)
	r.add("grade", grades[tank], "", true)
	r.add("ended_at", at, "", true)
	r.add("start_volume", before, "gal", true)
	r.add("end_volume", after, "gal", true)
	r.add("delivered", got, "gal", true)
	s.records = append(s.records, r)
	s.lines = append(s.lines, fmt.Sprintf("TANK %d %s", tank+1, strings.ToUpper(grades[tank])), "START VOLUME "+before+" GAL", "END VOLUME "+after+" GAL",
		"ENDED "+at[:10]+" "+at[11:], "DELIVERED "+got+" GAL")
}

// misread takes one character in ten words for one that looks like it.
func misread(rng *rand.Rand, word string) string {
	if rng.Intn(10) > 0 {
		return word
	}
	alike := strings.NewReplacer("I", "1", "S", "5", "E", "F")
	if rng.Intn(2) == 0 {
		alike = strings.NewReplacer("A", "4", "M", "N", "R", "P")
	}
	return alike.Replace(word)
}
