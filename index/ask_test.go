package index

import (
	"context"
	"slices"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

func test(tank, grade, class, ended, result string) record.Record {
	r := rec(record.TankTest, "tank", tank, "test_class", class, "ended_at", ended, "result", result)
	if grade != "" {
		r.Fields["grade"] = field(grade)
	}
	return r
}

func TestAskLatestPassing(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", nil, test("1", "regular", "0.2", "2025-07-01T03:00", "pass"))
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-05-01T03:00", "pass"))
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass")) // r3
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-07-01T03:00", "fail"))
	put(t, s, "114", nil, test("3", "diesel", "0.1", "2025-07-15T03:00", "pass"))
	put(t, s, "77", nil, test("1", "diesel", "0.2", "2025-05-20T03:00", "pass")) // r6
	ix := openIndex(t, dir, s)
	for q, want := range map[string]string{
		"last passing 0.2 test on the diesel tank":            "r3 ",
		"last passing 0.2 test on the diesel tank at site 77": "r6 ",
		"first passing 0.2 test on the diesel tank":           "r2 ",
		"last 2 passing 0.2 diesel tank tests":                "r3 r6 ",
		"failed tank tests":                                   "r4 ",
		"tank tests in may 2025":                              "r6 r2 ",
		"tank tests in may 2025, oldest first":                "r2 r6 ",
		"tank tests on 2025-07-01":                            "r4 r1 ",
	} {
		if a := ask(t, ix, q); idsOf(a.Rows) != want || a.Why != "" || len(a.Maybe) != 0 {
			t.Errorf("%s: %s want %s; %+v", q, idsOf(a.Rows), want, a.Notes)
		}
	}
	if a := ask(t, ix, "how many tank tests passed"); a.Total != 5 {
		t.Errorf("count: %d", a.Total)
	}
}

func TestWhyNothing(t *testing.T) {
	s, dir := newArchive(t)
	ix := openIndex(t, dir, s)
	if a := ask(t, ix, "last tank test"); a.Why != "the archive holds no records" {
		t.Errorf("empty archive: %q", a.Why)
	}
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-05-01T03:00", "fail"))
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-06-01T03:00", "inconclusive"))
	put(t, s, "114", nil, test("1", "regular", "0.2", "2025-06-01T03:00", "?pass"))
	noResult := test("1", "regular", "0.2", "2025-04-01T03:00", "pass")
	delete(noResult.Fields, "result")
	put(t, s, "114", nil, noResult)
	for q, want := range map[string]string{
		"last line test":                             "holds no line tests at all",
		"last passing test on the diesel tank":       "2 tank tests of product diesel, but none with result pass: only 1 fail, 1 inconclusive",
		"aborted tests on the regular tank":          "but none with result aborted: only 1 pass, 1 without a result",
		"0.1 tests on the regular tank with aborted": "none that meets two of",
		"last 0.2 test on tank 3 with fail in 2024":  "1 tank test with result fail, of class 0.2 gal/h, tank 3, but none from 2024-01-01",
		"tank tests in 2024":                         "the newest is r3, of 2025-06-01T03:00",
		"tank tests at site 9":                       "4 tank tests, but none at site 9",
		"0.1 tank tests":                             "4 tank tests, but none of class 0.1 gal/h",
		"tank 9 0.1 tests":                           "none that meets two of: of class 0.1 gal/h, tank 9",
		`tank tests with "strange word"`:             `4 tank tests, but none with "strange word"`,
		"failed tests on tank 1":                     "only doubtful ones may answer: r3",
	} {
		a := ask(t, ix, q)
		if a.Total != 0 || !strings.Contains(a.Why, want) {
			t.Errorf("%s: total %d, %q, want %q", q, a.Total, a.Why, want)
		}
	}
	if _, _, err := s.Keep(context.Background(), "later.jpg", []byte("x"), ""); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, "last line test"); !strings.Contains(a.Why, "1 kept but not read yet") {
		t.Errorf("%q", a.Why)
	}
}

// TestDoubtIsSaid: a doubtful record never takes the first place in silence.
func TestDoubtIsSaid(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-05-01T03:00", "pass"))
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-06-01T03:00", "?pass"))
	ix := openIndex(t, dir, s)
	a := ask(t, ix, "last passing test on the diesel tank")
	if idsOf(a.Rows) != "r2 " || a.NewestSure == nil || a.NewestSure.ID != "r1" ||
		!strings.Contains(strings.Join(a.Notes, "\n"), "r2 is in doubt about its result") {
		t.Errorf("doubtful result: %s, newest sure %v, %q", idsOf(a.Rows), a.NewestSure, a.Notes)
	}
	a = ask(t, ix, "last 0.2 test on the diesel tank") // the result was not asked about
	if idsOf(a.Rows) != "r2 " || a.NewestSure != nil || len(a.Notes) != 0 {
		t.Errorf("doubt about something else: %s %v %q", idsOf(a.Rows), a.NewestSure, a.Notes)
	}
	// A doubtful tank number may hide the newest answer.
	put(t, s, "114", nil, test("?8", "", "0.2", "2025-07-01T03:00", "pass"))
	a = ask(t, ix, "last test of tank 3")
	if idsOf(a.Rows) != "r2 " || idsOf(a.Maybe) != "r3 " || !strings.Contains(strings.Join(a.Notes, "\n"), "r3 may answer too: it is in doubt about its tank") {
		t.Errorf("doubtful tank: %s maybe %s %q", idsOf(a.Rows), idsOf(a.Maybe), a.Notes)
	}
	// A doubtful date decides the order.
	put(t, s, "114", nil, test("3", "diesel", "0.2", "?2025-08-01T03:00", "pass"))
	a = ask(t, ix, "last test of tank 3")
	if idsOf(a.Rows) != "r4 " || a.NewestSure == nil || a.NewestSure.ID != "r2" || !strings.Contains(strings.Join(a.Notes, "\n"), "r4 is in doubt about its ended_at") {
		t.Errorf("doubtful date: %s %v %q", idsOf(a.Rows), a.NewestSure, a.Notes)
	}
	// Without a date there is no order.
	put(t, s, "114", nil, rec(record.TankTest, "tank", "3", "result", "pass"))
	a = ask(t, ix, "last test of tank 3")
	if !strings.Contains(strings.Join(a.Notes, "\n"), "1 more show no date") {
		t.Errorf("undated: %q", a.Notes)
	}
	// What a person confirmed is no longer in doubt.
	if err := s.Decide(context.Background(), archive.Decision{Record: "r4", Action: archive.Confirm}); err != nil {
		t.Fatal(err)
	}
	a = ask(t, ix, "last test of tank 3")
	if idsOf(a.Rows) != "r4 " || a.NewestSure != nil {
		t.Errorf("confirmed: %s %v %q", idsOf(a.Rows), a.NewestSure, a.Notes)
	}
}

// TestProductOfTank: a test that prints no product is found by what other slips
// say its tank holds, and the answer says so.
func TestProductOfTank(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", nil, rec(record.Inventory, "tank", "3", "product", "DIESEL", "at", "2025-01-01T03:00"))
	put(t, s, "77", nil, rec(record.Inventory, "tank", "1", "product", "DIESEL", "at", "2025-01-01T03:00"))
	put(t, s, "114", nil, test("3", "", "0.2", "2025-06-01T03:00", "pass")) // r3
	put(t, s, "114", nil, test("1", "", "0.2", "2025-07-01T03:00", "pass"))
	ix := openIndex(t, dir, s)
	a := ask(t, ix, "last passing 0.2 test on the diesel tank")
	if idsOf(a.Rows) != "r3 " || !strings.Contains(strings.Join(a.Notes, "\n"), "tank 3 at site 114 holds diesel") {
		t.Errorf("%s %q", idsOf(a.Rows), a.Notes)
	}
}

func TestAlarmsAndSensors(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", []string{"ALARM HISTORY"},
		rec(record.Alarm, "device", "tank", "device_number", "2", "event", "H1GH WATER", "state", "raised", "at", "2025-06-01T03:00"),
		rec(record.Alarm, "device", "sensor", "device_number", "4", "event", "FUEL", "state", "raised", "at", "2025-06-02T03:00"),
		rec(record.Alarm, "device", "sensor", "device_number", "4", "event", "FUEL", "state", "cleared", "at", "2025-06-02T04:00"))
	put(t, s, "114", []string{"SENSOR STATUS"},
		rec(record.SensorStatus, "sensor", "4", "state", "fuel", "location", "SUMP 1", "at", "2025-06-02T03:30"),
		rec(record.SensorStatus, "sensor", "5", "state", "normal", "location", "SUMP 2", "at", "2025-06-02T03:30"))
	put(t, s, "115", []string{"ALARM HISTORY"}, // prints no states
		rec(record.Alarm, "device", "line", "device_number", "1", "event", "PRESSURE LOW", "at", "2025-06-03T03:00"))
	ix := openIndex(t, dir, s)
	for q, want := range map[string]string{
		"high water alarms":         "r1 ",
		"alarms on tank 2":          "r1 ",
		"sensor alarms":             "r2 ",
		"sensor alarm log":          "r3 r2 ",
		"all alarms":                "r6 r2 r1 ",
		"raised alarms at 115":      "r6 ",
		"alarms raised or cleared":  "r6 r3 r2 r1 ",
		"cleared fuel alarms":       "r3 ",
		"fuel alarms on sensor 4":   "r2 ",
		"sensor status fuel":        "r4 ",
		"last status of sensor 5":   "r5 ",
		`sensor status of "sump 2"`: "r5 ",
	} {
		if a := ask(t, ix, q); idsOf(a.Rows) != want {
			t.Errorf("%s (%s): %s want %s; %s", q, a.Query, idsOf(a.Rows), want, a.Why)
		}
	}
}

// TestOtherReadingsAreAnswered: what else a question can mean comes with the number and
// the first of its records, unless that is the same answer.
func TestOtherReadingsAreAnswered(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", []string{"ALARM HISTORY"},
		rec(record.Alarm, "device", "tank", "device_number", "2", "event", "OVERFILL", "state", "raised", "at", "2025-06-01T03:00"),
		rec(record.Alarm, "device", "tank", "device_number", "2", "event", "OVERFILL", "state", "cleared", "at", "2025-06-01T04:00"),
		rec(record.Alarm, "device", "line", "device_number", "1", "event", "LINE LEAK", "state", "raised", "at", "2025-06-02T04:00"))
	ix := openIndex(t, dir, s)
	a := ask(t, ix, "how many overfill alarms at 114")
	if a.Total != 1 || len(a.Readings) != 1 {
		t.Fatalf("%d, %+v", a.Total, a.Readings)
	}
	if r := a.Readings[0]; r.Total != 2 || r.First == nil || r.First.ID != "r2" || r.Gist() != "2 records" || r.Ask != `how many alarms, raised or cleared, site 114, with "overfill"` {
		t.Errorf("%+v: %s", r, r.Gist())
	}
	if a := ask(t, ix, "line leak alarms at 114"); a.Total != 1 || len(a.Readings) > 0 { // it was never cleared
		t.Errorf("%d, %+v", a.Total, a.Readings)
	}
	if a := ask(t, ix, "how many tanks had an overfill alarm"); !slices.ContainsFunc(a.Readings, func(r Reading) bool { return r.Gist() == "1 tank, the first tank 2 at site 114 with 1" }) {
		t.Errorf("%+v", a.Readings)
	}
}

// TestOneEventCountsOnce: photographed twice, or printed again, a test is one.
func TestOneEventCountsOnce(t *testing.T) {
	ctx := context.Background()
	s, dir := newArchive(t)
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"))
	ix := openIndex(t, dir, s)
	put(t, s, "114", []string{"another photo"}, test("3", "?diesel", "0.2", "2025-06-01T03:00", "pass"))
	put(t, s, "114", []string{"printed again"}, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"), test("3", "diesel", "0.2", "2025-05-01T03:00", "pass"))
	if a := ask(t, ix, "how many tank tests"); a.Total != 2 || idsOf(a.Rows) != "r1 r4 " {
		t.Errorf("%d: %s", a.Total, idsOf(a.Rows))
	}
	// The one that counts is rejected: the other two pictures tell of the event.
	if err := s.Decide(ctx, archive.Decision{Record: "r1", Action: archive.Reject}); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, "all tank tests"); idsOf(a.Rows) != "r2 r4 " {
		t.Errorf("after a rejection: %s", idsOf(a.Rows))
	}
	// A correction makes it another event.
	if err := s.Decide(ctx, archive.Decision{Record: "r3", Action: archive.Correct, Field: "tank", Value: "8"}); err != nil {
		t.Fatal(err)
	}
	if a := ask(t, ix, "all tank tests"); idsOf(a.Rows) != "r3 r2 r4 " {
		t.Errorf("after a correction: %s", idsOf(a.Rows))
	}
}

// TestHostileQuestions: an answer or a clear line, never a scan without end.
func TestHostileQuestions(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", []string{"OAK STREET"}, test("3", "diesel", "0.2", "2025-05-01T03:00", "pass"))
	ix := openIndex(t, dir, s)
	for _, q := range []string{"", "???", strings.Repeat("alarm ", 5000), `"*" OR "?" AND -x^2~`, `alarms with "\x00" and "'; --"`, "tank 99999999999 tests", "مايو alarms", "alarms \u202e gnp.exe",
		"tests over 1e999 gallons", "which tanks have no \U0001F525 test", "first of each month", "total of everything", "tests at \"\"", strings.Repeat(`"`, 999)} {
		if a := ask(t, ix, q); a.Total == 0 && a.Why == "" && len(a.Groups) == 0 {
			t.Errorf("%.40q: neither an answer nor a reason", q)
		}
	}
}

// TestNearest: where nothing answers, the steps offered have an answer.
func TestNearest(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-05-01T03:00", "fail"))
	put(t, s, "77", nil, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"))
	ix := openIndex(t, dir, s)
	a := ask(t, ix, "last passing test of tank 3 at site 114")
	if len(a.Try) != 2 || a.Try[0].Ask != "latest test, tank 3, site 114" && a.Try[0].Ask != "latest tank test, tank 3, site 114" || a.Try[0].Total != 1 {
		t.Errorf("%q: %+v", a.Why, a.Try)
	}
	for _, step := range a.Try {
		if got := ask(t, ix, step.Ask); got.Total != step.Total || got.Query.String() != step.Ask {
			t.Errorf("%s: %d (%s), want %d", step.Ask, got.Total, got.Query, step.Total)
		}
	}
}

// TestMissingIsHonest: a doubtful pass does not count, and a misread tank number
// is no tank.
func TestMissingIsHonest(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", nil, test("1", "regular", "0.2", "2025-08-02T03:00", "pass"), test("2", "premium", "0.2", "2025-08-02T03:00", "?pass"), test("3", "diesel", "0.2", "2025-08-02T03:00", "fail"))
	put(t, s, "114", nil, test("3", "diesel", "0.2", "2025-06-02T03:00", "pass"), test("?8", "diesel", "0.2", "2025-06-02T03:00", "pass"))
	a := ask(t, openIndex(t, dir, s), "which tanks have no passing 0.2 test this month")
	if a.Total != 2 || len(a.Groups) != 2 || a.Groups[0].Equipment != "tank 2" || a.Groups[0].Maybe == nil || a.Groups[0].Maybe.ID != "r2" ||
		a.Groups[1].Equipment != "tank 3" || a.Groups[1].Last == nil || a.Groups[1].Last.ID != "r4" || !strings.Contains(strings.Join(a.Notes, ";"), "1 tank named only by records in doubt") {
		t.Errorf("%+v %q", a.Groups, a.Notes)
	}
}

func TestByHandIsSaid(t *testing.T) {
	s, dir := newArchive(t)
	if _, err := s.Enter(context.Background(), archive.Entry{Site: "114", Kind: record.TankTest,
		Fields: map[string]any{"tank": "1", "product": "Premium Unleaded", "result": "pass", "ended_at": "2025-06-01"}}); err != nil {
		t.Fatal(err)
	}
	a := ask(t, openIndex(t, dir, s), "last passing test on the premium tank")
	if idsOf(a.Rows) != "r1 " || !strings.Contains(strings.Join(a.Notes, "\n"), "typed in by a person") {
		t.Errorf("%s %q", idsOf(a.Rows), a.Notes)
	}
}

func findHits(ix *Index, typed string) ([]Hit, error) {
	f, err := ix.Find(context.Background(), Search{Text: typed, Limit: 10})
	return f.Hits, err
}

func TestFind(t *testing.T) {
	s, dir := newArchive(t)
	put(t, s, "114", []string{"OAK STREET", "TANK LEAK TEST", "TANK 3 D1ESEL", "PASS 0.2"}, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"))
	put(t, s, "77", []string{"NORTH END", "TANK LEAK TEST", "TANK 1 DIESEL", "FAIL 06/03/2025"}, test("1", "diesel", "0.2", "2025-06-01T03:00", "fail"))
	put(t, s, "77", []string{"NORTH END", "PREMIUN UNLEADED", "VOLUME 1,234 88"})
	ix := openIndex(t, dir, s)
	for text, want := range map[string]string{
		"diesel":              "c1 c2 ",
		"DIESEL -fail":        "c1 ",
		`"leak test" diesel`:  "c1 c2 ",
		`"test leak"`:         "",
		`diesel -"north end"`: "c1 ",
		"premium":             "c3 ", // one character wrong
		"prem":                "",
		"1234":                "c3 ",
		"86":                  "", // numbers are never taken for each other
		"06/03/2025":          "c2 ",
		".2":                  "c1 ",
		"0ak 5treet":          "c1 ",
		"nothing like it":     "",
	} {
		hits, err := findHits(ix, text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
		}
		got := map[string]bool{}
		for _, h := range hits {
			got[h.Capture] = true
			if len(h.Lines) == 0 {
				t.Errorf("%s: %s without a line", text, h.Capture)
			}
		}
		list := ""
		for _, c := range []string{"c1", "c2", "c3"} {
			if got[c] {
				list += c + " "
			}
		}
		if list != want || len(hits) != len(got) {
			t.Errorf("%s: %q, want %q", text, list, want)
		}
	}
	hits, err := findHits(ix, "d1esel -fail")
	if err != nil || len(hits) != 1 || len(hits[0].Lines) != 1 || hits[0].Lines[0].Text != "TANK 3 D1ESEL" || hits[0].Lines[0].Box.Y != 21 || idsOf(hits[0].Rows) != "r1 " {
		t.Errorf("%+v %v", hits, err)
	}
	for _, text := range []string{"", "-x", `""`, "...", `"`} {
		if _, err := findHits(ix, text); err == nil {
			t.Errorf("%q: nothing to look for went through", text)
		}
	}
}
