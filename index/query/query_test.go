package query

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tankroll/parse/lexicon"
	"tankroll/record"
)

// wednesday is the day on which all questions of these tests are asked.
var wednesday = time.Date(2025, 8, 20, 15, 30, 0, 0, time.UTC)

func parse(question string) Query { return Parse(question, wednesday, lexicon.Default()) }

// notes are compared only where a row gives them.
var notes = cmpopts.IgnoreFields(Query{}, "Assumed", "Readings")

func TestParse(t *testing.T) {
	one := func(q Query) Query { q.Order, q.Limit = Latest, 1; return q }
	all := func(q Query) Query { q.Order = Latest; return q }
	for _, c := range []struct {
		ask  string
		want Query
	}{
		{"last passing 0.2 test on the diesel tank", one(Query{Kind: record.TankTest, Result: "pass", TestClass: "0.2", Grade: "diesel"})},
		{"latest passing 0.2 gal/h tank test", one(Query{Kind: record.TankTest, Result: "pass", TestClass: "0.2"})},
		{"most recent failed line test", one(Query{Kind: record.LineTest, Result: "fail"})},
		{"when did tank 2 last pass?", one(Query{Kind: record.TankTest, Result: "pass", Tank: "2"})},
		{"When was the last passing .1 test for tank #02?", one(Query{Kind: record.TankTest, Result: "pass", TestClass: "0.1", Tank: "2"})},
		{"newest 0.1 gph line test", one(Query{Kind: record.LineTest, TestClass: "0.1"})},
		{"last 0.1 gph line test on line 3 at site 114", one(Query{Kind: record.LineTest, TestClass: "0.1", Line: "3", Site: "114"})},
		{"0.2 test", all(Query{Kind: record.TankTest, TestClass: "0.2"})},
		{"last 3.0 test", one(Query{Kind: record.LineTest, TestClass: "3.0"})},
		{"last .76 l/h test line two", one(Query{Kind: record.LineTest, TestClass: "0.2", Line: "2"})},
		{"last 0.76 l/h test line two", one(Query{Kind: record.LineTest, TestClass: "0.2", Line: "2"})},
		{"last monthly test on tank 1", one(Query{Kind: record.TankTest, TestClass: "0.2", Tank: "1"})},
		{"last annual line test", one(Query{Kind: record.LineTest, TestClass: "0.1"})},
		{"last hourly line test that failed", one(Query{Kind: record.LineTest, TestClass: "3.0", Result: "fail"})},
		{"last tightness test for the premium tank", one(Query{Kind: record.TankTest, TestClass: "0.1", Grade: "premium"})},
		{"first passing tank test in 2025", Query{Kind: record.TankTest, Result: "pass", From: "2025-01-01", To: "2025-12-31", Order: First, Limit: 1}},
		{"earliest delivery", Query{Kind: record.Delivery, Order: First, Limit: 1}},
		{"last 5 tank tests", Query{Kind: record.TankTest, Order: Latest, Limit: 5}},
		{"last five deliveries of premium", Query{Kind: record.Delivery, Grade: "premium", Order: Latest, Limit: 5}},
		{"the 3 most recent tank tests", Query{Kind: record.TankTest, Order: Latest, Limit: 3}},
		{"first 2 alarms this year", Query{Kind: record.Alarm, State: "raised", From: "2025-01-01", To: "2025-12-31", Order: First, Limit: 2}},
		{"latest deliveries", Query{Kind: record.Delivery, Order: Latest, Limit: manyLimit}},
		{"how many tank tests failed in 2025", all(Query{Kind: record.TankTest, Result: "fail", From: "2025-01-01", To: "2025-12-31", Count: true})},
		{"number of deliveries last month", all(Query{Kind: record.Delivery, From: "2025-07-01", To: "2025-07-31", Count: true})},
		{"failed tests", all(Query{AnyTest: true, Result: "fail"})},
		{"failing tests at site 7 last month", all(Query{AnyTest: true, Result: "fail", Site: "7", From: "2025-07-01", To: "2025-07-31"})},
		{"last passing test", one(Query{AnyTest: true, Result: "pass"})},
		{"tests that did not pass", all(Query{AnyTest: true, Result: NotPass})},
		{"tank tests not passing since March 1, 2025", all(Query{Kind: record.TankTest, Result: NotPass, From: "2025-03-01"})},
		{"which tank tests didn't pass?", all(Query{Kind: record.TankTest, Result: NotPass})},
		{"inconclusive tank tests", all(Query{Kind: record.TankTest, Result: "inconclusive"})},
		{"any aborted line tests?", all(Query{Kind: record.LineTest, Result: "aborted"})},
		{"all passing tests on the midgrade tank before 2025-03-14", all(Query{Kind: record.TankTest, Result: "pass", Grade: "midgrade", To: "2025-03-13"})},
		{"tank tests after 3/4/2025", all(Query{Kind: record.TankTest, From: "2025-03-05"})},
		{"tank tests on 3/14/25", all(Query{Kind: record.TankTest, From: "2025-03-14", To: "2025-03-14"})},
		{"tank tests on 14/3/2025", all(Query{Kind: record.TankTest, From: "2025-03-14", To: "2025-03-14"})},
		{"tank tests between Jan 5 and Feb 10 2025", all(Query{Kind: record.TankTest, From: "2025-01-05", To: "2025-02-10"})},
		{"tank tests from 2025-01-05 to 2025-02-10", all(Query{Kind: record.TankTest, From: "2025-01-05", To: "2025-02-10"})},
		{"tank tests between March 2025 and January 2025", all(Query{Kind: record.TankTest, From: "2025-01-01", To: "2025-03-31"})},
		{"line tests in March 2025", all(Query{Kind: record.LineTest, From: "2025-03-01", To: "2025-03-31"})},
		{"line tests in december", all(Query{Kind: record.LineTest, From: "2024-12-01", To: "2024-12-31"})},
		{"line tests on the 14th of March 2025", all(Query{Kind: record.LineTest, From: "2025-03-14", To: "2025-03-14"})},
		{"line tests this month", all(Query{Kind: record.LineTest, From: "2025-08-01", To: "2025-08-31"})},
		{"alarms last quarter", all(Query{Kind: record.Alarm, State: "raised", From: "2025-04-01", To: "2025-06-30"})},
		{"alarms in q1 2024", all(Query{Kind: record.Alarm, State: "raised", From: "2024-01-01", To: "2024-03-31"})},
		{"alarms in the first quarter of 2025", all(Query{Kind: record.Alarm, State: "raised", From: "2025-01-01", To: "2025-03-31"})},
		{"alarms in the past 12 months", all(Query{Kind: record.Alarm, State: "raised", From: "2024-08-20", To: "2025-08-20"})},
		{"alarms over the last 30 days", all(Query{Kind: record.Alarm, State: "raised", From: "2025-07-21", To: "2025-08-20"})},
		{"alarms yesterday", all(Query{Kind: record.Alarm, State: "raised", From: "2025-08-19", To: "2025-08-19"})},
		{"alarms last week", all(Query{Kind: record.Alarm, State: "raised", From: "2025-08-11", To: "2025-08-17"})},
		{"alarms last monday", all(Query{Kind: record.Alarm, State: "raised", From: "2025-08-18", To: "2025-08-18"})},
		{"alarms last wednesday", all(Query{Kind: record.Alarm, State: "raised", From: "2025-08-13", To: "2025-08-13"})},
		{"alarms since two weeks ago", all(Query{Kind: record.Alarm, State: "raised", From: "2025-08-06"})},
		{"alarms until March", all(Query{Kind: record.Alarm, State: "raised", To: "2025-03-31"})},
		{"fuel alarms at site 114", all(Query{Kind: record.Alarm, State: "raised", Site: "114", Words: []string{"fuel"}})},
		{"high water alarms on tank 2", all(Query{Kind: record.Alarm, State: "raised", Tank: "2", Words: []string{"high", "water"}})},
		{"last sensor alarm", one(Query{Kind: record.Alarm, State: "raised", Device: "sensor"})},
		{"cleared overfill alarms", all(Query{Kind: record.Alarm, State: "cleared", Words: []string{"overfill"}})},
		{"active alarms", all(Query{Kind: record.Alarm, State: "raised"})},
		{"sensor status at Oak Street", all(Query{Kind: record.SensorStatus, Site: "Oak Street"})},
		{"last sensor 4 status", one(Query{Kind: record.SensorStatus, Sensor: "4"})},
		{"sensor status fuel", all(Query{Kind: record.SensorStatus, State: "fuel"})},
		{"last delivery of diesel at store #0114", one(Query{Kind: record.Delivery, Grade: "diesel", Site: "0114"})},
		{"last delivery at the Oak Street station in June", one(Query{Kind: record.Delivery, Site: "Oak Street", From: "2025-06-01", To: "2025-06-30"})},
		{`deliveries at "North End 2"`, all(Query{Kind: record.Delivery, Site: "North End 2"})},
		{"how much diesel at site 114", one(Query{Kind: record.Inventory, Grade: "diesel", Site: "114"})},
		{"latest inventory for tank 3", one(Query{Kind: record.Inventory, Tank: "3"})},
		{"tank limits of tank 3", all(Query{Kind: record.TankLimits, Tank: "3"})},
		{"reconciliation for March 2025 premium", all(Query{Kind: record.Reconciliation, Grade: "premium", From: "2025-03-01", To: "2025-03-31"})},
		{"last line summary", one(Query{Kind: record.LineSummary})},
		{"tank 2", all(Query{Tank: "2"})},
		{"e85 tank test", all(Query{Kind: record.TankTest, Grade: "e85"})},
		{"last pass for the 87 tank", one(Query{Kind: record.TankTest, Result: "pass", Grade: "regular"})},
		{"#2 tank last 0.2", one(Query{Kind: record.TankTest, TestClass: "0.2", Tank: "2"})},
		{"last test of tank 3", one(Query{Kind: record.TankTest, Tank: "3"})},
		{"deliveries at site 2014", all(Query{Kind: record.Delivery, Site: "2014"})},
		{"status of sensor 4", all(Query{Kind: record.SensorStatus, Sensor: "4"})},
		{"tank2 0.2gph passed", all(Query{Kind: record.TankTest, TestClass: "0.2", Tank: "2", Result: "pass"})},
		{`tank tests with "operator initials"`, all(Query{Kind: record.TankTest, Words: []string{"operator initials"}})},
		{"overspill bucket", all(Query{Words: []string{"overspill", "bucket"}})},
		{"last pasing test on the deisel tank", one(Query{Kind: record.TankTest, Result: "pass", Grade: "diesel"})},
		// What cannot be used is said.
		{"last purple tank test", one(Query{Kind: record.TankTest, NotUnderstood: []string{"purple"}})},
		{"last test of tanks 1 and 2", one(Query{Kind: record.TankTest, Tank: "1,2", Per: "tank"})},
		{"tank tests without alarms", all(Query{Kind: record.TankTest, NotUnderstood: []string{"without", "alarms"}})},
		{"alarms besides tank 4", all(Query{Kind: record.Alarm, State: "raised", NotTank: "4"})},
		{"inventory except tanks 1 and 2", all(Query{Kind: record.Inventory, NotTank: "1,2"})},
		{"inventory or delivery records corrected", all(Query{Kind: record.Inventory, OrKind: record.Delivery, Marks: []string{"corrected"}})},
		{"lines that failed more than once", Query{Kind: record.LineTest, Result: "fail", Per: "line", Count: true, Often: 2, Order: Latest}},
		{"did tank 2 pass its last three tests", Query{Kind: record.TankTest, Tank: "2", Order: Latest, Limit: 3}},
		{"tank tests 2 to 9 May 2024", all(Query{Kind: record.TankTest, From: "2024-05-02", To: "2024-05-09"})},
		{"tank tests in march except diesel", all(Query{Kind: record.TankTest, NotGrade: "diesel", From: "2025-03-01", To: "2025-03-31"})},
		{"passed or failed tank tests", all(Query{Kind: record.TankTest, Result: "pass,fail"})},
		{"alarms in march and in april", all(Query{Kind: record.Alarm, State: "raised", From: "2025-03-01", To: "2025-03-31", NotUnderstood: []string{"in", "april"}})},
		{"alarms on 2025-02-30", all(Query{Kind: record.Alarm, State: "raised", Words: []string{"2025-02-30"}})},
		{"", all(Query{})},
		{"???", all(Query{})},
	} {
		t.Run(c.ask, func(t *testing.T) {
			if diff := cmp.Diff(c.want, parse(c.ask), notes); diff != "" {
				t.Errorf("-want +got\n%s", diff)
			}
		})
	}
}

func TestAssumptionsAreSaid(t *testing.T) {
	for ask, want := range map[string]string{
		"0.2 test":                   "taken to be a tank test",
		"last 3.0 test":              "taken to be a line test",
		"tests on 3/4/2025":          "month first, as 2025-03-04",
		"line tests in december":     "that of 2024",
		"latest deliveries":          "up to 10",
		"deisel tank":                "deisel is taken as diesel",
		"how much diesel":            "inventory",
		"unleaded tank test":         "unleaded is taken as the grade regular",
		"tests from 2025-03-04":      "on that day",
		"between 2025-03 and 2025-1": "later date",
		"active alarms":              "say raised",
	} {
		if got := strings.Join(parse(ask).Assumed, "; "); !strings.Contains(got, want) {
			t.Errorf("%q: assumed %q, want %q", ask, got, want)
		}
	}
	if got := parse("last passing 0.2 test on the diesel tank").Assumed; len(got) != 0 {
		t.Errorf("nothing is assumed there: %q", got)
	}
}

func TestString(t *testing.T) {
	for ask, want := range map[string]string{
		"last passing 0.2 test on the diesel tank":     "latest passing 0.2 gal/h tank test, product diesel",
		"how many tests failed in 2025 at Oak Street?": `how many failing tests, site "Oak Street", from 2025-01-01 to 2025-12-31`,
		"high water alarms on tank 2":                  `all alarms, state raised, tank 2, with "high", with "water", newest first`,
		"first 2 deliveries since 2025-03-01":          "first 2 deliveries, since 2025-03-01",
		"":                                             "all records, newest first",
	} {
		if got := parse(ask).String(); got != want {
			t.Errorf("%q: %q, want %q", ask, got, want)
		}
	}
}

// sameAgain asks what was understood once more: it must mean the same.
func sameAgain(t *testing.T, ask string) {
	t.Helper()
	q := parse(ask)
	if words, rest := split(q.String()); rest || len(words) == maxWords {
		return // saying it takes more words than a question may have
	}
	again := parse(q.String())
	q.Assumed, again.Assumed = nil, nil
	q.NotUnderstood, q.Readings, again.Readings = nil, nil, nil
	if diff := cmp.Diff(q, again, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("%q was understood as %q, which is understood as %q\n%s", ask, q.String(), again.String(), diff)
	}
}

func TestStringMeansTheSame(t *testing.T) {
	for _, head := range []string{"", "last", "last 4", "first", "all", "how many"} {
		for _, what := range []string{"tank test", "line tests", "line summary", "sensor status", "alarms", "inventory", "deliveries", "tank limits", "reconciliation", "tests", "records"} {
			for _, more := range []string{"", "passing", "that did not pass", "aborted 0.1", "failed 3.0", "for diesel", "def", "waste oil", "tank 3", "line 12", "sensor 4 at 114",
				"since 2024-02-29", "before march 2025", "last month", "at Oak Street", `with "two words"`, "raised", "normal", "tank 1 line 2"} {
				sameAgain(t, head+" "+what+" "+more)
			}
		}
	}
}

func TestStringOfMore(t *testing.T) {
	for _, what := range []string{"highest water in tank 3", "lowest 4 temperatures", "deliveries over 8,000 gallons", "tests of at least 3 hours", "largest delivery of each month",
		"total delivered in 2024", "how much diesel was delivered last year", "average leak rate", "which tanks have no passing 0.2 test since March", "months without a line test for line 2",
		"which sites had a fuel alarm in 2025", "how many tests per site", "alarms in the dispenser pans not yet followed up", "sensors not normal now", "doubtful tests typed in by hand",
		"failed or inconclusive tests", "tanks 1, 2 and 3 inventory", "premium and diesel deliveries", "deliveries except diesel", "tests at any site but 114", "continuous tests", "high water limit of tank 2",
		"confirmed tests", "corrected deliveries below 100 litres", "lines never tested", "sensors without a status this year", "which stations had a delivery yesterday", "inventory between 30 and 40 percent",
		"passes in 24 hours over 3", "overage under 10 gallons", "tests longer than 90 minutes", "temperature above 30 celsius"} {
		sameAgain(t, what)
		sameAgain(t, what+" at Oak Street in may 2025")
	}
}

func TestReadings(t *testing.T) {
	for ask, want := range map[string]string{
		"tests on 02/03/2025":          "all tests, from 2025-03-02 to 2025-03-02, newest first",
		"tests last month":             "all tests, from 2025-07-20 to 2025-08-20, newest first",
		"tests in the past month":      "all tests, from 2025-07-01 to 2025-07-31, newest first",
		"tests in winter 2024":         "all tests, from 2024-12-01 to 2025-02-28, newest first",
		"last 0.2 test":                "latest 0.2 gal/h line test",
		"deliveries of super":          `all deliveries, with "super", newest first`,
		"tests from 2025-03-04":        "all tests, since 2025-03-04, newest first",
		"which tanks did not pass":     "latest not passing tank test, for each tank",
		"tests before 02/03/2025":      "all tests, until 2025-03-01, newest first",
		"alarms last may":              "all alarms, state raised, from 2024-05-01 to 2024-05-31, newest first",
		"tests since last quarter":     "all tests, since 2025-05-20, newest first",
		"tests since 2025-08-01 daily": "",
	} {
		var got []string
		for _, r := range parse(ask).Readings {
			got = append(got, r.Ask)
		}
		got = slices.DeleteFunc(got, func(ask string) bool { return strings.Contains(ask, "raised or cleared") }) // of any question for alarms
		if want == "" && len(got) > 0 || want != "" && (len(got) != 1 || got[0] != want) {
			t.Errorf("%q can also mean %q, want %q", ask, got, want)
		}
	}
}

func TestSites(t *testing.T) {
	sites := []Site{{"101", "MAPLE STREET"}, {"102", "HARBOR ROAD"}, {"108", "STATION SQUARE"}, {"104", "MILL LANE"}, {"105", "MILL CREEK"}, {"122", "GRANITE PASS"},
		{"128", "MARCH AVENUE"}, {"", "PREMIUM PLAZA"}, {"7", "LAKESIDE"}, {"2014", "OLD ORCHARD"}}
	names := NewNames(sites)
	for ask, want := range map[string]string{
		"last test at maple st":                  "101",
		"harbor road tests":                      "102",
		"hrabor road tests":                      "102",
		"last test at Harbour":                   "102",
		"station square deliveries":              "108",
		"tests at the Station Square station":    "108",
		"last delivery mill creek":               "105",
		"tests at mill":                          "104", // and a reading
		"last delivery at granite pass":          "122",
		"tests at granite pass that failed":      "122",
		"deliveries at March Avenue in march":    "128",
		"premium plaza deliveries":               "PREMIUM PLAZA",
		"premium deliveries":                     "",
		"passing tests in march":                 "",
		"lake side last delivery":                "7",
		"tests in 2014":                          "",
		"tests at 2014":                          "2014",
		"101 last delivery":                      "101",
		"last 7 deliveries":                      "",
		"deliveries at harbor road and lakeside": "102,7",
		"tests for 102":                          "102",
		"tests at nowhere special":               "nowhere special",
		"lattest tests":                          "",
	} {
		if got := ParseFor(ask, wednesday, lexicon.Default(), names); got.Site != want {
			t.Errorf("%q: site %q, want %q (%s)", ask, got.Site, want, got)
		}
	}
	if got := ParseFor("tests at mill", wednesday, lexicon.Default(), names).Readings; len(got) != 1 || !strings.Contains(got[0].Ask, "105") {
		t.Errorf("the other mill is no reading: %v", got)
	}
}

// TestHostile: whatever is asked, there is an answer soon.
func TestHostile(t *testing.T) {
	var sites []Site
	for i := range 2000 {
		sites = append(sites, Site{strconv.Itoa(i), "AAAA AAAB AAAC " + strconv.Itoa(i)})
	}
	names := NewNames(sites)
	for _, ask := range []string{
		strings.Repeat("a", 1<<20), strings.Repeat("aaaa aaab ", 1<<16), strings.Repeat("not ", 5000), strings.Repeat("at ", 5000), strings.Repeat("and 1 ", 5000),
		strings.Repeat("(", 5000), `kind:tank_test AND site:* OR NOT (x^2~9)`, `"; DROP TABLE records; --`, "tests over " + strings.Repeat("9", 400) + " gallons",
		"last 99999999999999999999 tests", "tests in 0000", "tests on 31/31/9999", "\u202eetarts 411 ta tset tsal", "مايو 2025 الخزان ٢", "テスト タンク ２", "🛢️🛢️ tank 2 🔥",
		"tank -2", "tank 2.5", "over -1e309 gallons", "%s%n%x", "<script>alert(1)</script>", "tests of tanks " + strings.Repeat("1, ", 3000) + "2", "e\u0301\u0301\u0301\u0301 test",
		strings.Repeat("or diesel ", 3000), "first week of first week of first week of may", "0x10 tests", "tests ../../etc/passwd", "\x00\xff\xfe tests",
	} {
		q := ParseFor(ask, wednesday, lexicon.Default(), names)
		if s := q.String(); s == "" || len(s) > 20000 {
			t.Errorf("%.40q: understood %d bytes", ask, len(s))
		}
		if q.Anything() && len(q.NotUnderstood) == 0 && len(q.Words) == 0 {
			t.Errorf("%.40q: everything asked for in silence", ask)
		}
	}
}

// BenchmarkParse asks an ordinary question; Long asks the longest, of words
// that could each begin a site's name.
func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		parse("last passing 0.2 test on the diesel tank at Oak Street in March 2025")
	}
}

func BenchmarkParseLong(b *testing.B) {
	ask := strings.Repeat("at oak street number of the ", 60)
	for b.Loop() {
		parse(ask)
	}
}

// BenchmarkParseSites asks where two thousand sites are known.
func BenchmarkParseSites(b *testing.B) {
	var sites []Site
	for i := range 2000 {
		sites = append(sites, Site{strconv.Itoa(1000 + i), fmt.Sprintf("OAK STREET %c%c%c", 'A'+i%26, 'A'+i/26%26, 'A'+i/676)})
	}
	names := NewNames(sites)
	for b.Loop() {
		ParseFor("last passing 0.2 test on the diesel tank at ok street bcb in March 2025", wednesday, lexicon.Default(), names)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"last passing 0.2 test on the diesel tank", "tests between 1/2/2025 and 3.4.24", `at "x`, `with "" "a b"`, "at at at", "#", "# 2", "tank", "tank #",
		"a", "last a dozen", "couple of", "from", "since the", "in may", "may 5", "Q9", "first quarter of", "9999 years ago", "at \xff\xfe", "site", "at the", "how", "0x10", "２０２５",
		"product", "state", "device", "- . ,", "may", "1 of", "last 10000 years", "in 0000-00-00", "tank 007", "at 000", "İ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, ask string) {
		q := parse(ask)
		for _, d := range []string{q.From, q.To} {
			if _, err := time.Parse(isoDate, d); d != "" && err != nil {
				t.Fatalf("%q: %v", ask, err)
			}
		}
		if q.From != "" && q.To != "" && q.From > q.To {
			t.Fatalf("%q: from %s to %s", ask, q.From, q.To)
		}
		sameAgain(t, ask)
	})
}
