package archive

import (
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"testing"
	"time"

	"tankroll/record"
)

// deed is one decision as the simple account of TestFoldAgainstAccount has it.
type deed struct {
	field  string
	value  string
	reject bool
	undone bool
}

// account is one record as a person would keep it by hand: what each reading
// said, and the decisions in their order.
type account struct {
	id     string
	read   []map[string]record.Field // nil: that reading did not show it
	deeds  []deed
	tank   string
	y      int
	change map[string][]string // what successive readings said of a field
}

// last is the newest reading that showed the record.
func (a *account) last() map[string]record.Field {
	for i := len(a.read) - 1; i >= 0; i-- {
		if a.read[i] != nil {
			return a.read[i]
		}
	}
	return nil
}

// now is what the record must show.
func (a *account) now() (fields map[string]string, rejected bool) {
	fields = map[string]string{}
	for name, f := range a.last() {
		fields[name] = fmt.Sprint(f.Value, f.Sure)
	}
	for _, d := range a.deeds {
		switch {
		case d.undone:
		case d.reject:
			rejected = true
		case d.value == "":
			delete(fields, d.field)
		default:
			fields[d.field] = d.value + "true"
		}
	}
	return fields, rejected
}

// TestFoldAgainstAccount makes random readings and decisions, and compares what
// the archive shows, and the story it tells, with an account kept by hand.
func TestFoldAgainstAccount(t *testing.T) {
	seed := number64(t, "ARCHIVE_TEST_SEED", time.Now().UnixNano())
	t.Logf("ARCHIVE_TEST_SEED=%d", seed)
	rng := rand.New(rand.NewSource(seed))
	for range 4 {
		s := hasty(t)
		c, _, err := s.Keep(t.Context(), "a.jpg", []byte("a picture"), "")
		if err != nil {
			t.Fatal(err)
		}
		var accounts []*account
		for i := range 3 {
			accounts = append(accounts, &account{tank: fmt.Sprint(i + 1), y: 100 + 400*i, change: map[string][]string{}})
		}
		for version := 1; version <= 6; version++ {
			readOnce(t, s, rng, c.ID, version, accounts)
			for range rng.Intn(4) {
				decideOnce(t, s, rng, accounts[rng.Intn(len(accounts))])
			}
			for _, a := range accounts {
				checkAccount(t, s, a)
			}
		}
		if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
			t.Errorf("check: %v %v", bad, err)
		}
	}
}

func readOnce(t *testing.T, s *Store, rng *rand.Rand, capture string, version int, accounts []*account) {
	t.Helper()
	p := tankTest("", "", "")
	p.OCRVersion, p.Slips[0].Report.Records = version, nil
	for _, a := range accounts {
		a.read = append(a.read, nil)
		if rng.Intn(5) == 0 {
			continue
		}
		box := record.Box{X: 40, Y: a.y, W: 300, H: 200}
		r := record.Record{Kind: record.TankTest, Fields: record.Fields{"tank": printed(a.tank, box), "ended_at": printed("2025-03-14T06:41", box)}}
		for name, values := range map[string][]string{"result": {"pass", "fail"}, "test_class": {"0.1", "0.2"}, "method": {"static", ""}} {
			f := printed(values[rng.Intn(2)], box)
			if f.Sure = rng.Intn(3) > 0; f.Value != "" {
				r.Fields[name] = f
			}
		}
		before := a.last()
		a.read[len(a.read)-1] = r.Fields
		for _, name := range []string{"result", "test_class", "method"} {
			was, had := before[name]
			is, has := r.Fields[name]
			if had != has || had && (was.Value != is.Value || was.Sure != is.Sure) {
				a.change[name] = append(a.change[name], fmt.Sprint(is.Value, is.Sure))
			}
		}
		p.Slips[0].Report.Records = append(p.Slips[0].Report.Records, r)
	}
	if err := s.SaveReadings(t.Context(), capture, []Reading{p}); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(t.Context(), Filter{Rejected: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		for _, a := range accounts {
			if r.Record.Area().Y == a.y && a.id == "" {
				a.id = r.ID
			}
		}
	}
}

// decideOnce decides something that can be decided about the record.
func decideOnce(t *testing.T, s *Store, rng *rand.Rand, a *account) {
	t.Helper()
	if a.id == "" {
		return
	}
	d := Decision{Record: a.id}
	field := []string{"result", "test_class"}[rng.Intn(2)]
	now, _ := a.now()
	switch rng.Intn(6) {
	case 0:
		d.Action = Reject
		a.deeds = append(a.deeds, deed{reject: true})
	case 1:
		d.Action = Undo
		i := len(a.deeds) - 1
		for i >= 0 && a.deeds[i].undone {
			i--
		}
		if i < 0 {
			return
		}
		a.deeds[i].undone = true
	case 2:
		if _, ok := now[field]; !ok {
			return
		}
		shown := row(t, s, a.id).Record.Text(field)
		d.Action, d.Field = Confirm, field
		a.deeds = append(a.deeds, deed{field: field, value: shown})
	default:
		d.Action, d.Field = Correct, field
		d.Value = map[string][]string{"result": {"aborted", "pass", ""}, "test_class": {"3.0", "0.1", ""}}[field][rng.Intn(3)]
		a.deeds = append(a.deeds, deed{field: field, value: d.Value})
	}
	if err := s.Decide(t.Context(), d); err != nil {
		t.Fatalf("%+v: %v", d, err)
	}
}

func checkAccount(t *testing.T, s *Store, a *account) {
	t.Helper()
	if a.id == "" {
		return
	}
	r := row(t, s, a.id)
	seen := a.read[len(a.read)-1] != nil
	want, rejected := a.now()
	got := map[string]string{}
	for name, f := range r.Record.Fields {
		got[name] = fmt.Sprint(f.Value, f.Sure)
	}
	if !maps.Equal(got, want) || r.Rejected != rejected {
		t.Fatalf("%s shows %v, rejected %v; want %v, %v", a.id, got, r.Rejected, want, rejected)
	}
	if r.Unseen == seen || r.Gone != (!seen && len(a.deeds) == 0) {
		t.Fatalf("%s: unseen %v, gone %v; the newest reading shows it: %v, %d decisions", a.id, r.Unseen, r.Gone, seen, len(a.deeds))
	}
	story, err := s.Story(t.Context(), a.id)
	if err != nil {
		t.Fatal(err)
	}
	told := map[int]bool{} // by version, which counts from 1
	decisions := 0
	for _, e := range story.Events {
		switch {
		case e.What == WasRead || e.What == WasUnseen:
			told[e.Reading.OCRVersion] = true
			if showed := a.read[e.Reading.OCRVersion-1] != nil; showed != (e.What == WasRead) {
				t.Errorf("%s: reading %d %s, showed it: %v", a.id, e.Reading.OCRVersion, e.What, showed)
			}
		case e.Entry > 0 && e.What != Undo:
			decisions++
		}
	}
	for i, m := range a.read { // that a record which is gone is not shown again is no news
		if m != nil && !told[i+1] {
			t.Errorf("%s: reading %d is not told of", a.id, i+1)
		}
	}
	if decisions != len(a.deeds) {
		t.Errorf("%s: %d decisions told, want %d", a.id, decisions, len(a.deeds))
	}
	for name, want := range a.change {
		var got []string
		for _, f := range story.Fields {
			for _, x := range f.Sayings {
				if f.Name == name && x.Event.What == WasRead {
					v := record.Field{}
					if x.Value != nil {
						v = *x.Value
					}
					got = append(got, fmt.Sprint(v.Value, v.Sure))
				}
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: readings said of %s %v, want %v", a.id, name, got, want)
		}
	}
}

// TestReplaceTells: what a new reading changes, finds and loses is told, and a
// dry run tells the same and changes nothing.
func TestReplaceTells(t *testing.T) {
	s := hasty(t)
	ids := photo(t, s, paper(marchTest()), record.Record{Kind: record.SensorStatus, Fields: record.Fields{
		"sensor": printed("4", record.Box{X: 40, Y: 900, W: 30, H: 20}), "state": printed("normal", record.Box{X: 90, Y: 900, W: 30, H: 20})}})
	decide(t, s, Decision{Record: ids[0], Action: Confirm, Field: "result"})
	next := change(change(paper(marchTest()), "result", "fail", true), "leak_rate", -0.018, true)
	found := record.Record{Kind: record.SensorStatus, Fields: record.Fields{"sensor": printed("5", record.Box{X: 40, Y: 1900, W: 30, H: 20})}}
	p := tankTest("", "", "")
	p.OCRVersion, p.Slips[0].Report.Records = 2, []record.Record{next, found}
	for _, dry := range []bool{true, false} {
		list, err := s.Replace(t.Context(), dry, Pages{"c1", []Reading{p}})
		if err != nil {
			t.Fatal(err)
		}
		what := map[string]Difference{}
		for _, d := range list {
			what[d.What] = d
		}
		d := what[NowOther]
		if len(list) != 3 || what[NowGone].ID != ids[1] || (what[NowNew].ID == "") != dry || d.ID != ids[0] {
			t.Fatalf("dry %v: %+v", dry, list)
		}
		if len(d.Changes) != 1 || d.Changes[0].Field != "leak_rate" || len(d.Against) != 1 || d.Against[0].Field != "result" || d.Against[0].To.Value != "fail" {
			t.Errorf("dry %v: changes %+v, against %+v", dry, d.Changes, d.Against)
		}
		if behind, err := s.Behind(t.Context(), 2, 1); err != nil || (len(behind) == 1) != dry {
			t.Errorf("dry %v: behind %v %v", dry, behind, err)
		}
	}
	if r := row(t, s, ids[0]); r.Record.Text("result") != "pass" {
		t.Errorf("a confirmed field was read over: %+v", r)
	}
}

// TestLinkSite: a picture's site can be put right, is in the journal, and can be
// taken back.
func TestLinkSite(t *testing.T) {
	s := hasty(t)
	id := photo(t, s, paper(marchTest()))[0]
	for _, step := range []struct{ site, want string }{{"0077", "77"}, {"", "114"}, {"Oak  Street", "OAK STREET"}} {
		if err := s.LinkSite(t.Context(), Decision{Record: "c1", Value: step.site, By: "ann"}); err != nil {
			t.Fatal(err)
		}
		if r := row(t, s, id); r.Site != step.want || !r.SiteSure {
			t.Errorf("linked to %q: site %q", step.site, r.Site)
		}
	}
	story, err := s.Story(t.Context(), "c1")
	if err != nil || len(story.Events) != 5 || story.Events[4].Value != "OAK STREET" || story.Events[4].By != "ann" {
		t.Errorf("story: %+v %v", story.Events, err)
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
	r := decide(t, s, Decision{Record: id, Action: FollowUp, Note: "reported by telephone"})
	if r.Followed != "reported by telephone" || r.Note != "" {
		t.Errorf("followed up: %+v", r)
	}
}

// TestAlike: what nearly agrees is proposed, what surely differs is not, and a
// person's word ends it.
func TestAlike(t *testing.T) {
	base := paper(marchTest())
	for _, c := range []struct {
		name  string
		other record.Record
		want  bool
	}{
		{"an end in doubt", change(base, "ended_at", "2025-03-14T08:41", false), true},
		{"day and month the other way round", change(paper(marchTest()), "ended_at", "2025-03-14T06:41", false), true},
		{"a rate that both are sure of", change(base, "leak_rate", -0.018, true), true},
		{"another tank", change(base, "tank", "3", true), false},
		{"another day", change(change(base, "ended_at", "2025-04-14T06:41", true), "started_at", "2025-04-14T02:41", true), false},
		{"the very same, which is one already", base, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := hasty(t)
			a, b := photo(t, s, base)[0], photo(t, s, c.other)[0]
			count := func() int {
				n := 0
				if err := s.EachAlike(t.Context(), 0, func(Alike) error { n++; return nil }); err != nil {
					t.Fatal(err)
				}
				list, err := s.MayBeSame(t.Context(), b)
				if err != nil || len(list) != n {
					t.Errorf("%d like %s, %d in all, %v", len(list), b, n, err)
				}
				return n
			}
			if n := count(); (n == 1) != c.want || n > 1 {
				t.Fatalf("%d proposals", n)
			}
			decide(t, s, Decision{Record: a, Action: Differ, Other: b})
			if n := count(); n != 0 {
				t.Errorf("%d proposals after a person's word", n)
			}
		})
	}
}
