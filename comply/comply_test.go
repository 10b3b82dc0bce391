package comply

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"
	"time"

	"tankroll/record"
)

func d(s string) Date {
	v, err := ParseDate(s)
	if err != nil {
		panic(err)
	}
	return v
}

func passOn(days ...string) []Test {
	var out []Test
	for i, day := range days {
		out = append(out, Test{ID: fmt.Sprintf("r%d", i+1), Site: "114", Tank: "2", Class: "0.2", Result: "pass", At: day, Sure: true})
	}
	return out
}

var tank2 = Equipment{Site: "114", Tank: "2", Installed: Date{1998, 5, 1}}

func judgeOne(t *testing.T, tests []Test, from, to string, p Policy) Requirement {
	t.Helper()
	out := Tanks([]Equipment{tank2}, tests, d(from), d(to), p)
	if len(out) != 1 {
		t.Fatalf("%d requirements for one tank", len(out))
	}
	return out[0]
}

func firsts(year int) []string {
	var out []string
	for m := range 12 {
		out = append(out, fmt.Sprintf("%d-%02d-01T02:00", year, m+1))
	}
	return append(out, fmt.Sprintf("%d-01-01T02:00", year+1))
}

// TestThirtyDays checks the arithmetic of 40 CFR 280.41(a)(1), "at least every
// 30 days", as Wis. Admin. Code ATCP 93.515(5)(a)1 reads it: no more than 30
// days may elapse between tests. The figures follow from the calendar.
func TestThirtyDays(t *testing.T) {
	r := judgeOne(t, passOn(firsts(2025)...), "2025-01-01", "2026-01-01", Federal())
	if len(r.Gaps) != 7 || r.Verdict != Lapse {
		t.Errorf("tests on the first of each month of 2025: %d of 12 late, want 7: %+v", len(r.Gaps), r.Gaps)
	}
	for _, g := range r.Gaps {
		if g.Days != 31 || g.To.DaysSince(g.Due) != 1 {
			t.Errorf("%+v", g)
		}
	}
	for from, due := range map[string]string{
		"2024-01-31": "2024-03-01", // leap year
		"2025-01-01": "2025-01-31",
		"2025-01-31": "2025-03-02",
	} {
		if r := judgeOne(t, passOn(from), from, from, Federal()); r.NextDue != due || r.Verdict != Covered {
			t.Errorf("after %s: due %s, want %s; %s", from, r.NextDue, due, r.Verdict)
		}
	}
	// 365 days need 13 tests: with 12 as late as allowed, the last days are open.
	var days []string
	for day := d("2025-01-01"); len(days) < 13; day = day.AddDays(30) {
		days = append(days, day.String())
	}
	if r := judgeOne(t, passOn(days[:12]...), "2025-01-01", "2025-12-31", Federal()); r.Verdict != Lapse || len(r.Gaps) != 1 {
		t.Errorf("12 tests: %s %+v", r.Verdict, r.Gaps)
	}
	if r := judgeOne(t, passOn(days...), "2025-01-01", "2025-12-31", Federal()); r.Verdict != Covered || len(r.Evidence) != 13 || len(r.Gaps) != 0 {
		t.Errorf("13 tests: %s %+v", r.Verdict, r.Gaps)
	}
}

func TestGapEdges(t *testing.T) {
	for _, c := range []struct {
		name     string
		passes   []string
		from, to string
		verdict  string
		gaps     string
	}{
		{"thirty days between", []string{"2025-01-01", "2025-01-31"}, "2025-01-01", "2025-02-15", Covered, ""},
		{"thirty-one days between", []string{"2025-01-01", "2025-02-01"}, "2025-01-01", "2025-02-15", Lapse, "2025-01-01 2025-02-01 31;"},
		{"local dates, not hours", []string{"2025-01-01T00:01", "2025-01-31T23:59"}, "2025-01-01", "2025-02-15", Covered, ""},
		{"the end is open", []string{"2025-01-01"}, "2025-01-01", "2025-02-01", Lapse, "2025-01-01 2025-02-01 31;"},
		{"the end is just covered", []string{"2025-01-01"}, "2025-01-01", "2025-01-31", Covered, ""},
		{"a pass before the period is its start", []string{"2024-12-20", "2025-01-15"}, "2025-01-01", "2025-01-31", Covered, ""},
		{"a gap reaches into the period", []string{"2024-12-01", "2025-01-15"}, "2025-01-01", "2025-01-31", Lapse, "2024-12-01 2025-01-15 45;"},
		{"a gap before the period is not its own", []string{"2024-11-01", "2025-01-01"}, "2025-01-01", "2025-01-31", Covered, ""},
		{"a leading stretch is unknown", []string{"2025-01-15"}, "2025-01-01", "2025-01-31", Unknown, ""},
		{"a leading stretch and a gap", []string{"2025-01-15"}, "2025-01-01", "2025-03-31", Lapse, "2025-01-15 2025-03-31 75;"},
		{"nothing known", nil, "2025-01-01", "2025-12-31", Unknown, ""},
		{"a pass after the period does not reach back", []string{"2025-02-01"}, "2025-01-01", "2025-01-31", Unknown, ""},
		{"order of reading does not matter", []string{"2025-02-20", "2025-01-01", "2025-01-25"}, "2025-01-01", "2025-02-28", Covered, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := judgeOne(t, passOn(c.passes...), c.from, c.to, Federal())
			got := ""
			for _, g := range r.Gaps {
				got += fmt.Sprintf("%s %s %d;", g.From, g.To, g.Days)
			}
			if r.Verdict != c.verdict || got != c.gaps {
				t.Errorf("%s %q, want %s %q", r.Verdict, got, c.verdict, c.gaps)
			}
		})
	}
}

// TestWhatDoesNotCount: "Results from periodic release detection must be
// conclusive", WAC 173-360A-0600(3).
func TestWhatDoesNotCount(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Test)
		note   string
	}{
		"aborted":      {func(x *Test) { x.Result = "aborted" }, "r2 of 2025-01-25 (aborted)"},
		"inconclusive": {func(x *Test) { x.Result = "inconclusive" }, "r2 of 2025-01-25 (inconclusive)"},
		"fail":         {func(x *Test) { x.Result = "fail" }, "failed: r2 of 2025-01-25"},
		"undated":      {func(x *Test) { x.At = "" }, "without a date"},
		"bad date":     {func(x *Test) { x.At = "2025-02-30" }, "without a date"},
		"other tank":   {func(x *Test) { x.Tank = "3" }, ""},
		"other site":   {func(x *Test) { x.Site = "9" }, ""},
		"no tank":      {func(x *Test) { x.Tank = "" }, "without a tank number"},
		"3.0 gal/h":    {func(x *Test) { x.Class = "3.0" }, "not a 0.2 or 0.1"},
	} {
		t.Run(name, func(t *testing.T) {
			tests := passOn("2025-01-01", "2025-01-25", "2025-02-20")
			if r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal()); r.Verdict != Covered {
				t.Fatalf("with the test: %s", r.Verdict)
			}
			c.change(&tests[1])
			r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal())
			if r.Verdict != Lapse || len(r.Gaps) != 1 || r.Gaps[0].Days != 50 || !strings.Contains(strings.Join(r.Notes, "\n"), c.note) {
				t.Errorf("%s %+v %q", r.Verdict, r.Gaps, r.Notes)
			}
			for _, e := range r.Evidence {
				if e.ID == "r2" {
					t.Error("it passes for evidence")
				}
			}
		})
	}
	for _, class := range []string{"0.1", "0.2"} {
		tests := passOn("2025-01-01")
		tests[0].Class = class
		if r := judgeOne(t, tests, "2025-01-01", "2025-01-20", Federal()); r.Verdict != Covered {
			t.Errorf("class %s: %s", class, r.Verdict)
		}
	}
}

func TestDoubtfulPassNeverCovers(t *testing.T) {
	for name, doubt := range map[string]func(*Test){
		"in doubt":              func(x *Test) { x.Sure = false },
		"class not known":       func(x *Test) { x.Class = "" },
		"result not readable":   func(x *Test) { x.Result, x.Sure = "", false },
		"result not even there": func(x *Test) { x.Result = "" },
	} {
		tests := passOn("2025-01-01", "2025-01-25", "2025-02-20")
		doubt(&tests[1])
		r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal())
		if r.Verdict != Unknown || len(r.Gaps) != 0 || len(r.Unknown) != 1 || r.Unknown[0].Days != 50 || len(r.Evidence) != 2 {
			t.Errorf("%s: %s %+v %+v", name, r.Verdict, r.Gaps, r.Unknown)
		}
		if !strings.Contains(strings.Join(r.Notes, "\n"), "r2 of 2025-01-25") {
			t.Errorf("%s: %q", name, r.Notes)
		}
	}
	// Even if it is a pass, 36 days are too many.
	tests := passOn("2025-01-01", "2025-01-15", "2025-02-20")
	tests[1].Sure = false
	if r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal()); r.Verdict != Lapse || r.Gaps[0].Days != 36 {
		t.Errorf("%s %+v", r.Verdict, r.Gaps)
	}
	// What it does not alone cover stays covered.
	tests = passOn("2025-01-01", "2025-01-15", "2025-01-31")
	tests[1].Sure = false
	if r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal()); r.Verdict != Covered {
		t.Errorf("%s", r.Verdict)
	}
	// The next date never rests on it.
	tests = passOn("2025-01-01", "2025-01-15")
	tests[1].Sure = false
	if r := judgeOne(t, tests, "2025-01-01", "2025-01-20", Federal()); r.NextDue != "2025-01-31" {
		t.Errorf("due %s", r.NextDue)
	}
	if r := judgeOne(t, tests[1:], "2025-01-01", "2025-01-20", Federal()); r.NextDue != "" || r.Verdict != Unknown || len(r.Evidence) != 0 {
		t.Errorf("%+v", r)
	}
}

// TestPolicies: Fla. Admin. Code 62-761.600(1)(d), once every calendar month but
// not exceeding 35 days; Haw. Admin. Rules 11-280.1, every 31 days.
func TestPolicies(t *testing.T) {
	all := Policies()
	if r := judgeOne(t, passOn(firsts(2025)...), "2025-01-01", "2025-12-31", all["HI"]); r.Verdict != Covered {
		t.Errorf("first of each month, 31 days: %s %+v", r.Verdict, r.Gaps)
	}
	if r := judgeOne(t, passOn(firsts(2025)...), "2025-01-01", "2025-12-31", all["FL"]); r.Verdict != Covered {
		t.Errorf("first of each month, calendar month: %s %+v", r.Verdict, r.Gaps)
	}
	// Once in each calendar month allows 61 days, 1 July to 31 August.
	month := Policy{CalendarMonth: true, Source: "test"}
	if g := d("2025-08-31").DaysSince(d("2025-07-01")); g != 61 {
		t.Errorf("1 July to 31 August: %d days", g)
	}
	july := passOn("2025-07-01", "2025-08-31")
	if r := judgeOne(t, july, "2025-07-01", "2025-08-31", month); r.Verdict != Covered || r.NextDue != "2025-09-30" {
		t.Errorf("calendar month alone: %s %+v due %s", r.Verdict, r.Gaps, r.NextDue)
	}
	if r := judgeOne(t, july, "2025-07-01", "2025-08-31", all["FL"]); r.Verdict != Lapse || r.Gaps[0].Days != 61 {
		t.Errorf("not exceeding 35 days: %s %+v", r.Verdict, r.Gaps)
	}
	// 34 days apart, and yet no test in February.
	feb := passOn("2025-01-30", "2025-03-01")
	if r := judgeOne(t, feb, "2025-01-30", "2025-03-10", all["FL"]); r.Verdict != Lapse || r.Gaps[0].From != d("2025-02-01") || r.Gaps[0].Days != 28 {
		t.Errorf("February without a test: %s %+v", r.Verdict, r.Gaps)
	}
	feb[1].Sure = false
	if r := judgeOne(t, append(feb, passOn("2025-02-28")...), "2025-01-30", "2025-03-10", all["FL"]); r.Verdict != Covered {
		t.Errorf("a month that is not over: %s %+v", r.Verdict, r.Gaps)
	}
	if r := judgeOne(t, passOn("2025-01-30"), "2025-01-30", "2025-02-10", all["FL"]); r.NextDue != "2025-02-28" {
		t.Errorf("due %s", r.NextDue)
	}
	for code, p := range all {
		if p.Source == "" || p.MaxGapDays == 0 {
			t.Errorf("%q: %+v", code, p)
		}
	}
}

// TestFailedTest: 40 CFR 280.50 and 280.52.
func TestFailedTest(t *testing.T) {
	tests := passOn("2025-01-01", "2025-01-20", "2025-01-25")
	tests[1].Result = "fail"
	r := judgeOne(t, tests, "2025-01-01", "2025-01-31", Federal())
	notes := strings.Join(r.Notes, "\n")
	for _, want := range []string{"r2 of 2025-01-20", "24 hours", "280.50", "7 days", "280.52", "licensed", "local"} {
		if !strings.Contains(notes, want) {
			t.Errorf("%q is missing: %s", want, notes)
		}
	}
	if r.Verdict != Covered {
		t.Errorf("the passes still stand: %s", r.Verdict)
	}
	tests[1].Sure = false
	if notes := strings.Join(judgeOne(t, tests, "2025-01-01", "2025-01-31", Federal()).Notes, "\n"); !strings.Contains(notes, "may have failed") {
		t.Errorf("%q", notes)
	}
}

// TestNewTanks: 40 CFR 280.41(a)(2).
func TestNewTanks(t *testing.T) {
	e := []Equipment{{Site: "114", Tank: "2"}, {Site: "114", Tank: "2", Installed: d("2016-04-11")}, {Site: "114", Tank: "2", Installed: d("2016-04-12")}}
	out := Tanks(e, passOn("2025-01-01"), d("2025-01-01"), d("2025-01-20"), Federal())
	if out[0].Verdict != Covered || !strings.Contains(strings.Join(out[0].Notes, "\n"), "is not known here") {
		t.Errorf("install date not known: %+v", out[0])
	}
	if out[1].Verdict != Covered || len(out[1].Notes) != 0 {
		t.Errorf("installed on the last day: %+v", out[1])
	}
	if out[2].Verdict != Unknown || !strings.Contains(strings.Join(out[2].Notes, "\n"), "280.41(a)(2)") || out[2].NextDue != "" {
		t.Errorf("installed the day after: %+v", out[2])
	}
}

func TestSameTestTwice(t *testing.T) {
	tests := passOn("2025-01-01T02:00", "2025-01-01T02:00")
	tests[0].Sure = false
	r := judgeOne(t, tests, "2025-01-01", "2025-01-20", Federal())
	if len(r.Evidence) != 1 || r.Evidence[0].ID != "r2" || r.Verdict != Covered {
		t.Errorf("%+v", r)
	}
}

// TestAgainstDays compares with the slow way, day by day.
func TestAgainstDays(t *testing.T) {
	seed := time.Now().UnixNano()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewSource(seed))
	for range 500 {
		p := Policy{MaxGapDays: 5 + rng.Intn(40), Source: "test"}
		from := d("2024-01-15").AddDays(rng.Intn(60))
		to := from.AddDays(rng.Intn(200))
		var days []string
		for range rng.Intn(14) {
			days = append(days, from.AddDays(rng.Intn(260)-50).String())
		}
		tests := passOn(days...)
		for i := range tests {
			tests[i].Sure = rng.Intn(4) > 0
		}
		want := slowVerdict(tests, from, to, p)
		r := Tanks([]Equipment{tank2}, tests, from, to, p)[0]
		if r.Verdict != want {
			t.Fatalf("%v from %s to %s within %d days: %s, want %s; gaps %v unknown %v", tests, from, to, p.MaxGapDays, r.Verdict, want, r.Gaps, r.Unknown)
		}
	}
}

// slowVerdict looks at each day by itself: when it ends, a pass of an earlier
// day must be no more than so many days old. A pass on the day itself comes too
// late for it, except on the first, where the reckoning starts.
func slowVerdict(tests []Test, from, to Date, p Policy) string {
	within := func(day Date, most int, sureOnly bool) bool {
		for _, x := range tests {
			n := day.DaysSince(d(x.At))
			if (x.Sure || !sureOnly) && n <= most && (n >= 1 || n == 0 && day == from) {
				return true
			}
		}
		return false
	}
	verdict := Covered
	for day := from; !to.Before(day); day = day.AddDays(1) {
		known := within(day, 1000, true)
		switch {
		case within(day, p.MaxGapDays, true):
		case !known || within(day, p.MaxGapDays, false):
			if verdict == Covered {
				verdict = Unknown
			}
		default:
			verdict = Lapse
		}
	}
	return verdict
}

func TestNewTest(t *testing.T) {
	f := func(v any, sure bool) record.Field { return record.Field{Value: v, Sure: sure} }
	full := func() record.Record {
		return record.Record{Kind: record.TankTest, Fields: record.Fields{"tank": f("2", true), "test_class": f("0.2", true),
			"result": f("pass", true), "ended_at": f("2025-03-14T06:41", true), "height": f(40.0, false)}}
	}
	printed := f("2025-05-01T08:00", true)
	h := record.Header{PrintedAt: &printed}
	for _, c := range []struct {
		name   string
		change func(*record.Record)
		at     string
		sure   bool
	}{
		{"all there; a doubtful height does not matter", func(*record.Record) {}, "2025-03-14T06:41", true},
		{"doubtful tank", func(r *record.Record) { r.Fields["tank"] = f("2", false) }, "2025-03-14T06:41", false},
		{"doubt about the end", func(r *record.Record) { r.Doubts = []record.Doubt{{Field: "ended_at"}} }, "2025-03-14T06:41", false},
		{"doubt about the height", func(r *record.Record) { r.Doubts = []record.Doubt{{Field: "height"}} }, "2025-03-14T06:41", true},
		{"doubt about all", func(r *record.Record) { r.Doubts = []record.Doubt{{}} }, "2025-03-14T06:41", false},
		{"no class", func(r *record.Record) { delete(r.Fields, "test_class") }, "2025-03-14T06:41", false},
		{"only the day of printing", func(r *record.Record) { delete(r.Fields, "ended_at") }, "2025-05-01T08:00", false},
		{"start and duration", func(r *record.Record) {
			delete(r.Fields, "ended_at")
			r.Fields["started_at"], r.Fields["duration"] = f("2025-03-13T23:30", true), f(2.5, true)
		}, "2025-03-14T02:00", true},
		{"start alone", func(r *record.Record) {
			delete(r.Fields, "ended_at")
			r.Fields["started_at"] = f("2025-03-13T23:30", true)
		}, "2025-03-13T23:30", false},
	} {
		r := full()
		c.change(&r)
		got, ok := NewTest("r1", "114", true, r, h)
		if !ok || got.At != c.at || got.Sure != c.sure || got.Tank != "2" {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	if got, _ := NewTest("r1", "114", false, full(), h); got.Sure {
		t.Error("a doubtful site is a doubt")
	}
	if _, ok := NewTest("r1", "114", true, record.Record{Kind: record.Inventory}, h); ok {
		t.Error("an inventory is no test")
	}
}

// TestMisreadTank: a doubtful test of a tank that does not exist may be of any
// tank of the site, and each of them says so.
func TestMisreadTank(t *testing.T) {
	tests := passOn("2025-01-01", "2025-01-25", "2025-02-20")
	tests[1].Tank, tests[1].Sure = "8", false
	r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal())
	if r.Verdict != Lapse || !strings.Contains(strings.Join(r.Notes, "\n"), "could be trusted, so they count for no tank until a person corrects it: r2") {
		t.Errorf("%s %q", r.Verdict, r.Notes)
	}
	tests[1].Sure = true // surely of another tank
	if r := judgeOne(t, tests, "2025-01-01", "2025-02-20", Federal()); len(r.Notes) != 0 {
		t.Errorf("%q", r.Notes)
	}
}

// TestNoVerdictWords: the program says what records show, and leaves the rest
// to people.
func TestNoVerdictWords(t *testing.T) {
	tests := passOn("2025-01-01", "2025-01-20", "2025-01-25", "2025-03-25")
	tests[1].Result, tests[2].Sure = "fail", false
	for _, e := range []Equipment{tank2, {Site: "114", Tank: "2"}} {
		for _, p := range Policies() {
			r := Tanks([]Equipment{e}, tests, d("2024-12-01"), d("2025-06-01"), p)[0]
			if s := strings.ToLower(fmt.Sprintf("%+v", r)); strings.Contains(s, "complian") || strings.Contains(s, "violat") {
				t.Errorf("%s", s)
			}
		}
	}
}

func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2025-03-14", "2025-03-14T06:41", "", "2025-02-30", "T", "0000-00-00", "2025-03-14 06:41", "9999-12-31"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseDate(s)
		if err != nil {
			return
		}
		if again, err := ParseDate(v.String()); err != nil || again != v || v.AddDays(31).DaysSince(v) != 31 {
			t.Errorf("%q: %v then %v %v", s, v, again, err)
		}
	})
}
