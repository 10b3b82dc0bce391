package intake

import (
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/parse"
	"tankroll/record"
)

func TestFolders(t *testing.T) {
	for _, c := range []struct {
		pattern, path string
		want          archive.Told
		ok            bool
	}{
		{"{site}/{year}/{month}", "114/2019/03", archive.Told{Site: "114", Year: 2019, Month: 3}, true},
		{"{site}/{year}/{month}/", "114/2019/03/box 2", archive.Told{Site: "114", Year: 2019, Month: 3}, true},
		{"{site}/{year}/{month}", "114/2019", archive.Told{}, false},
		{"{site}/{year}/{month}", "114/2019/13", archive.Told{}, false},
		{"{site}/{year}/{month}", "114/2019/0", archive.Told{}, false},
		{"{site}/{year}/{month}", "114/219/01", archive.Told{}, false},
		{"Station {site}/*/{year}-{month}", "station 0114/leak tests/2019-Sept", archive.Told{Site: "0114", Year: 2019, Month: 9}, true},
		{"Station {site}", "Shop 114", archive.Told{}, false},
		{"* {site} binder", "the 114 binder", archive.Told{Site: "114"}, true},
		{"{year} {month}", "2019 MARCH", archive.Told{Year: 2019, Month: 3}, true},
		{"{year} {month}", "2019 marvellous", archive.Told{}, false},
		{"{site}(old)", "9(OLD)", archive.Told{Site: "9"}, true},
	} {
		f, err := NewFolders(c.pattern)
		if err != nil {
			t.Errorf("%s: %v", c.pattern, err)
			continue
		}
		if got, ok := f.Told(strings.Split(c.path, "/")); got != c.want || ok != c.ok {
			t.Errorf("%s on %s: %+v %v, want %+v %v", c.pattern, c.path, got, ok, c.want, c.ok)
		}
	}
	for _, bad := range []string{"", "*", "site/year", "{site}//{year}", "{shop}", "{month}", "{site}/{site}", "{year}/{year}"} {
		if _, err := NewFolders(bad); err == nil {
			t.Errorf("the pattern %q is taken", bad)
		}
	}
}

// heard reads a typed slip in the light of what a folder tells.
func heard(number, printed string, told archive.Told) record.Report {
	text := "MARLOW CORNER FUELS\n" + number + "PRINTED " + printed + " 06:46\n\nTANK LEAK TEST\nTANK 3   DIESEL\nTEST RATE ....... 0.2 GAL/HR\n" +
		"ENDED ........... " + printed + " 05:55\nLEAK RATE ....... -0.016 GAL/HR\nTHRESHOLD ....... 0.100 GAL/HR\nRESULT .......... PASSED\n"
	h := Hints(time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC), "")
	s := parse.Typed(text)[0]
	return heed(s, parse.Slip(s, h), h, told)
}

// TestHeedSite: a sure number on the paper stands, another in the folder is a
// doubt, and where the paper names none the folder's is taken.
func TestHeedSite(t *testing.T) {
	for _, c := range []struct {
		name, number, told, want string
		sure                     bool
		doubts                   int
		origin                   record.Origin
	}{
		{"the same", "SITE NO. 9\n", "9", "9", true, 0, record.Printed},
		{"another", "SITE NO. 9\n", "114", "9", false, 1, record.Printed},
		{"not printed", "", "114", "114", true, 0, record.Entered},
		{"a name beside a number", "SITE NO. 9\n", "OAK STREET", "9", true, 0, record.Printed},
	} {
		r := heard(c.number, "2026-03-05", archive.Told{Site: c.told})
		n := r.Header.SiteNumber
		if n == nil || n.String() != c.want || n.Sure != c.sure || n.Origin != c.origin || len(r.Records) != 1 || len(r.Records[0].Doubts) != c.doubts {
			t.Errorf("%s: %+v, records %+v", c.name, n, r.Records)
		}
	}
	// A number that was read and is doubtful.
	for told, sure := range map[string]bool{"9": true, "114": false} {
		r := heard("SITE NO. 9\n", "2026-03-05", archive.Told{})
		r.Header.SiteNumber.Sure = false
		heedSite(&r, told)
		n := r.Header.SiteNumber
		if n.String() != told || n.Sure != sure || n.Text == "" || (len(r.Records[0].Doubts) == 0) != sure {
			t.Errorf("doubtful 9 in the folder of %s: %+v, %v", told, n, r.Records[0].Doubts)
		}
	}
}

// TestHeedDate: a folder makes no date; it only tells which of two readings of a
// printed one is meant, and that one stays in doubt.
func TestHeedDate(t *testing.T) {
	for _, c := range []struct {
		name, printed string
		told          archive.Told
		want          string
		sure          bool
		doubt         string
	}{
		{"either order, July", "05/07/26", archive.Told{Year: 2026, Month: 7}, "2026-07-05T05:55", false, "its folder says July 2026"},
		{"either order, May", "05/07/26", archive.Told{Year: 2026, Month: 5}, "2026-05-07T05:55", false, "its folder says May 2026"},
		{"either order, neither fits", "05/07/26", archive.Told{Year: 2024, Month: 1}, "", false, parse.SwappedDoubt},
		{"either order, year alone", "05/07/26", archive.Told{Year: 2026}, "", false, parse.SwappedDoubt},
		{"sure and fitting", "2026-03-05", archive.Told{Year: 2026, Month: 2}, "2026-03-05T05:55", true, ""},
		{"sure and in another year", "2026-03-05", archive.Told{Year: 2019}, "2026-03-05T05:55", true, "but its folder says 2019"},
	} {
		r := heard("SITE NO. 9\n", c.printed, c.told)
		f := r.Records[0].Fields["ended_at"]
		if c.want != "" && f.String() != c.want || f.Sure != c.sure {
			t.Errorf("%s: %v, sure %v", c.name, f.Value, f.Sure)
		}
		doubts := ""
		for _, d := range r.Records[0].Doubts {
			doubts += d.Why + "\n"
		}
		if (c.doubt == "") != (doubts == "") || !strings.Contains(doubts, c.doubt) {
			t.Errorf("%s: doubts %q", c.name, doubts)
		}
		if c.doubt != "" && r.Header.PrintedAt.Sure {
			t.Errorf("%s: the printed date is sure", c.name)
		}
	}
	if r := heard("", "", archive.Told{Year: 2019, Month: 3}); r.Header.PrintedAt != nil {
		t.Errorf("a date out of nothing: %+v", r.Header.PrintedAt)
	}
}

// TestToldStays: what a folder tells is heeded whenever the grammar runs again,
// and other slips of the site settle the order all the same.
func TestToldStays(t *testing.T) {
	d := desk(t, t.TempDir())
	text := "MARLOW CORNER FUELS\nPRINTED 05/07/26 06:46\n\nTANK LEAK TEST\nTANK 3   DIESEL\nTEST RATE ....... 0.2 GAL/HR\n" +
		"ENDED ........... 05/07/26 05:55\nLEAK RATE ....... -0.016 GAL/HR\nTHRESHOLD ....... 0.100 GAL/HR\nRESULT .......... PASSED\n"
	c, _, err := d.Store().KeepTold(t.Context(), "a.jpg", []byte(text), "", archive.Told{Site: "9", Year: 2026, Month: 7}, "")
	if err != nil {
		t.Fatal(err)
	}
	s := parse.Typed(text)[0]
	if _, err := d.save(t.Context(), c, []archive.Reading{{Page: 1, Slips: []archive.SlipReading{{Slip: s, Report: parse.Slip(s, Hints(d.now(), ""))}}}}); err != nil {
		t.Fatal(err)
	}
	rows, err := d.Store().Rows(t.Context(), archive.Filter{Site: "9"})
	if err != nil || len(rows) != 1 || !rows[0].SiteSure || rows[0].At != "2026-07-05T05:55" || rows[0].Sure() {
		t.Fatalf("%+v %v", rows, err)
	}
	keepTyped(t, d, "b", "14/05/26", "14/05/26")
	keepTyped(t, d, "c", "18/06/26", "18/06/26")
	if n, err := d.Settle(t.Context()); err != nil || n != 1 {
		t.Errorf("settled %d, %v", n, err)
	}
	rows, err = d.Store().Rows(t.Context(), archive.Filter{Capture: c.ID})
	if err != nil || len(rows) != 1 || rows[0].Site != "9" || rows[0].At != "2026-07-05T05:55" || !rows[0].Sure() {
		t.Errorf("%+v %v", rows, err)
	}
}
