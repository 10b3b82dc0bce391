package index

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/record"
)

// findAll gives the captures that a search finds, in their order.
func findAll(t *testing.T, ix *Index, s Search) (string, Found) {
	t.Helper()
	f, err := ix.Find(context.Background(), s)
	if err != nil {
		t.Fatalf("%+v: %v", s, err)
	}
	out := ""
	for _, h := range f.Hits {
		out += h.Capture + " "
	}
	if f.Total < len(f.Hits) {
		t.Errorf("%+v: %d in all, %d given", s, f.Total, len(f.Hits))
	}
	return out, f
}

func searchable(t *testing.T) *Index {
	t.Helper()
	s, dir := newArchive(t)
	put(t, s, "114", []string{"OAK STREET", "TIGHTNESS REPORT", "TANK 3 D1ESEL"}, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"))
	put(t, s, "77", []string{"NORTH END", "TIGHTNESS REPORT", "TANK 1 DIESEL"}, test("1", "diesel", "0.2", "2025-03-01T03:00", "fail"), test("2", "premium", "0.2", "2025-02-01T03:00", "pass"))
	put(t, s, "77", []string{"NORTH END", "ALARM HISTORY", "HIGH WATER"}, rec(record.Alarm, "device", "tank", "device_number", "2", "event", "HIGH WATER", "state", "raised", "at", "2025-05-01T03:00"))
	put(t, s, "9", []string{"NO RECORDS AT ALL", "TIGHTNES5 REPOR7"})
	return openIndex(t, dir, s)
}

// TestFindFilters: all filters must hold for one record of the slip.
func TestFindFilters(t *testing.T) {
	ix := searchable(t)
	for typed, want := range map[string]string{
		"report site:77":                 "c2 ",
		"site:0077":                      "c3 c2 ",
		"site:77 -alarm":                 "c2 ",
		"kind:alarm":                     "c3 ",
		`kind:"Tank tests"`:              "c1 c2 ",
		"kind:tank-test result:failed":   "c2 ",
		"product:diesel result:pass":     "c1 ", // c2 has a diesel that failed and a premium that passed
		"product:premium":                "c2 ",
		`product:"high water"`:           "c3 ", // a label
		"from:2025-03 to:2025-05":        "c3 c2 ",
		"from:2025-06":                   "c1 ",
		"to:2024":                        "",
		"tightness from:2025-02 to:2025": "c1 c2 ",
		`"north end" "tightness report"`: "c2 ",
		"report":                         "c1 c2 c4 ", // a 7 for a T as well
		`-"north end" report`:            "c1 c4 ",
		"KIND:ALARM":                     "c3 ",
		"03:00":                          "",
		"tank_test":                      "",
	} {
		if got, f := findAll(t, ix, Search{Text: typed}); got != want {
			t.Errorf("%s (%s): %q, want %q", typed, f.Understood, got, want)
		}
	}
	for typed, want := range map[string]string{
		"kind:slip": "give one of tank_test", "result:good": "give pass", "from:soon": "give 2024, 2024-05", "to:2025-02-31": "is no date", "site:elsewhere": "no site",
		"site:1 site:2": "twice", "-site:77": "no minus", "site: x": "wants a value", "-x": "no word to look for", strings.Repeat("a ", 40): "more than 32",
		strings.Repeat("x", 2000): "give fewer words",
	} {
		_, err := ix.Find(context.Background(), Search{Text: typed})
		if err == nil || !errors.Is(err, ErrSearch) || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.40s: %v, want %q", typed, err, want)
		}
	}
}

// putPrinted keeps a slip with the date that it was printed.
func putPrinted(t *testing.T, s *archive.Store, day string, r record.Record) {
	t.Helper()
	rep := record.Report{Records: []record.Record{r}}
	if day != "" {
		f := field(day + "T12:00")
		rep.Header.PrintedAt = &f
	}
	keep(t, s, record.Slip{Lines: []record.Line{{Words: []record.Word{{Text: "TIGHTNESS"}}}}}, rep)
}

// putWords keeps a slip without records, each word with a place of its own.
func putWords(t *testing.T, s *archive.Store, lines ...string) {
	t.Helper()
	slip := record.Slip{}
	for i, l := range lines {
		line := record.Line{Box: record.Box{X: 1, Y: 20 * i, W: 200, H: 10}}
		for k, w := range strings.Fields(l) {
			line.Words = append(line.Words, record.Word{Text: w, Box: record.Box{X: 1 + 50*k, Y: 20 * i, W: 40, H: 10}})
		}
		slip.Lines = append(slip.Lines, line)
	}
	keep(t, s, slip, record.Report{})
}

func keep(t *testing.T, s *archive.Store, slip record.Slip, rep record.Report) {
	t.Helper()
	c, _, err := s.Keep(context.Background(), "a.jpg", fmt.Appendf(nil, "%v %v %d", slip, rep, rand.Int63()), "")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SaveReadings(context.Background(), c.ID, []archive.Reading{{Page: 1, Slips: []archive.SlipReading{{Slip: slip, Report: rep}}}}); err != nil {
		t.Fatal(err)
	}
}

func TestFindOrder(t *testing.T) {
	s, dir := newArchive(t)
	for i, day := range []string{"2025-02-03", "2025-02-01", "", "2025-02-02"} {
		r := test("1", "diesel", "0.2", fmt.Sprintf("2025-01-%02dT03:00", 10-i), "pass")
		if day == "" {
			delete(r.Fields, "ended_at")
		}
		putPrinted(t, s, day, r)
	}
	ix := openIndex(t, dir, s)
	for _, c := range []struct {
		s    Search
		want string
	}{
		{Search{Sort: ByPrinted}, "c1 c4 c2 c3 "},
		{Search{Sort: ByPrinted, Oldest: true}, "c2 c4 c1 c3 "},
		{Search{Sort: ByTested}, "c1 c2 c4 c3 "},
		{Search{Sort: ByTested, Limit: 2}, "c1 c2 "},
	} {
		c.s.Text = "tightness"
		if got, f := findAll(t, ix, c.s); got != c.want || f.Total != 4 {
			t.Errorf("%+v: %q, want %q; %d in all", c.s, got, c.want, f.Total)
		}
	}
	if _, err := ix.Find(context.Background(), Search{Text: "x", Sort: "size"}); !errors.Is(err, ErrSearch) {
		t.Errorf("sorted by size: %v", err)
	}
}

func TestFindFacets(t *testing.T) {
	_, f := findAll(t, searchable(t), Search{Text: "report", Limit: 1, Facets: true})
	var got []string
	for _, facet := range f.Facets {
		for _, c := range facet.Counts {
			got = append(got, fmt.Sprintf("%s %s %d", facet.Name, c.Value, c.Slips))
		}
	}
	want := "site 114 1, site 77 1, kind tank_test 2, product diesel 2, product premium 1, result pass 2, result fail 1, month 2025-06 1, month 2025-03 1"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("%s, want\n%s", s, want)
	}
}

// TestFindMarks: each word that was looked for is marked where it stands, and
// those of a phrase only where the phrase does.
func TestFindMarks(t *testing.T) {
	s, dir := newArchive(t)
	putWords(t, s, "TANK LEAK TEST", "LEAK RATE", "TEST", "LEAK", "TE5T 12:30")
	ix := openIndex(t, dir, s)
	for typed, want := range map[string]string{
		`"leak test"`: "0:LEAK,TEST 3:LEAK 4:TE5T",
		"leak":        "0:LEAK 1:LEAK 3:LEAK",
		"12:30":       "4:12:30",
		`"test leak"`: "0:TEST 1:LEAK 2:TEST 3:LEAK",
	} {
		_, f := findAll(t, ix, Search{Text: typed})
		var got []string
		for _, h := range f.Hits {
			for _, l := range h.Lines {
				var words []string
				for _, w := range l.Words {
					words = append(words, w.Text)
					if w.Box.IsZero() {
						t.Errorf("%s: %q has no place", typed, w.Text)
					}
				}
				got = append(got, fmt.Sprintf("%d:%s", l.No, strings.Join(words, ",")))
			}
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s: %s, want %s", typed, s, want)
		}
	}
}

// FuzzFind searches for anything: it finds slips or says what to change.
func FuzzFind(f *testing.F) {
	s, dir := newArchive(f)
	put(f, s, "114", []string{"OAK STREET", "TANK 3 DIESEL", "0.2 GPH"}, test("3", "diesel", "0.2", "2025-06-01T03:00", "pass"))
	ix := openIndex(f, dir, s)
	for _, typed := range []string{"diesel", `"oak street" -pass`, "site:114 kind:alarm", "*", "di*sel", "+tank -(x)", "/d.*l/", `title:"x"~2`, "diesel^3", "a AND b OR NOT c", "diesel~9",
		"[1 TO 9]", ">=5", "\x00", "\xff\xfe", "ﷺﷺﷺ", "İıſK", "e\u0301\u0301\u0301", `"`, `-"`, "--", "-:", "site:", `site:"`, "from:9999-99", "🛢️ 🛢️", strings.Repeat("diesel ", 30),
		strings.Repeat("w", 999), "0.2.3.4:5,6", ".", ",1", "|", "!!"} {
		f.Add(typed, uint8(0))
	}
	f.Fuzz(func(t *testing.T, typed string, how uint8) {
		sort := []string{ByMatch, ByPrinted, ByTested}[how%3]
		got, err := ix.Find(context.Background(), Search{Text: typed, Sort: sort, Oldest: how&4 > 0, Facets: how&8 > 0, Limit: 5})
		if err != nil && !errors.Is(err, ErrSearch) {
			t.Errorf("%q: %v", typed, err)
		}
		if err == nil && (got.Total > 1 || len(got.Hits) != got.Total) {
			t.Errorf("%q: %d of %d slips", typed, len(got.Hits), got.Total)
		}
	})
}
