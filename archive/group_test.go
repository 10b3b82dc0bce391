package archive

import (
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"tankroll/record"
)

// paper is a printout that pictures are taken of.
func paper(fields map[string]any) record.Record {
	r := record.Record{Kind: record.TankTest, Fields: record.Fields{}}
	for name, v := range fields {
		r.Fields[name] = printed(v, record.Box{X: 40, Y: 100, W: 300, H: 200})
	}
	return r
}

func marchTest() map[string]any {
	return map[string]any{"tank": "2", "test_class": "0.2", "started_at": "2025-03-14T02:41", "ended_at": "2025-03-14T06:41",
		"leak_rate": -0.013, "result": "pass"}
}

// photo keeps a picture of records and gives their rows' ids.
func photo(t *testing.T, s *Store, records ...record.Record) []string {
	t.Helper()
	list, err := s.Captures(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	text := fmt.Sprintf("%s %d", t.Name(), len(list))
	c, _, err := s.Keep(t.Context(), text+".jpg", []byte(text), "")
	if err != nil {
		t.Fatal(err)
	}
	p := tankTest("", "", "")
	p.Slips[0].Report.Records = records
	if err := s.SaveReadings(t.Context(), c.ID, []Reading{p}); err != nil {
		t.Fatal(err)
	}
	rows, err := s.Rows(t.Context(), Filter{Capture: c.ID})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(rows, func(a, b Row) int { return a.Index - b.Index })
	var ids []string
	for _, r := range rows {
		ids = append(ids, r.ID)
	}
	return ids
}

// hasty opens an archive that does not wait for the disk.
func hasty(t *testing.T) *Store {
	t.Helper()
	s := open(t, t.TempDir())
	s.db.SetMaxOpenConns(1)
	if _, err := s.db.Exec(`PRAGMA synchronous = OFF`); err != nil {
		t.Fatal(err)
	}
	return s
}

func row(t *testing.T, s *Store, id string) Row {
	t.Helper()
	r, err := s.Record(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func change(r record.Record, name string, v any, sure bool) record.Record {
	r.Fields = maps.Clone(r.Fields)
	if v == nil {
		delete(r.Fields, name)
		return r
	}
	f := printed(v, record.Box{X: 40, Y: 100, W: 300, H: 200})
	if f.Sure = sure; !sure {
		f.Confidence = 0.7
		r.Doubts = append(slices.Clone(r.Doubts), record.Doubt{Field: name, Why: "faint"})
	}
	r.Fields[name] = f
	return r
}

func counted(t *testing.T, s *Store) int {
	t.Helper()
	rows, err := s.Rows(t.Context(), Filter{Once: true})
	if err != nil {
		t.Fatal(err)
	}
	return len(rows)
}

// TestSamePrintoutTwice: what must become one record, and what must not.
func TestSamePrintoutTwice(t *testing.T) {
	base := paper(marchTest())
	alarm := record.Record{Kind: record.Alarm, Fields: record.Fields{}}
	for name, v := range map[string]string{"at": "2025-03-14T06:41", "device": "sensor", "device_number": "4", "event": "FUEL", "state": "raised"} {
		alarm.Fields[name] = printed(v, record.Box{X: 1, Y: 2, W: 3, H: 4})
	}
	for _, c := range []struct {
		name string
		a, b record.Record
		one  bool
	}{
		{"the very same", base, base, true},
		{"a value that only one could read", change(base, "leak_rate", nil, true), base, true},
		{"a value in doubt on one", base, change(base, "leak_rate", -0.018, false), true},
		{"another tank", base, change(base, "tank", "3", true), false},
		{"another end", base, change(base, "ended_at", "2025-03-14T06:42", true), false},
		{"another start", base, change(base, "started_at", "2025-03-14T02:40", true), false},
		{"another result", base, change(base, "result", "fail", true), false},
		{"another class", base, change(base, "test_class", "0.1", true), false},
		{"another rate, both sure", base, change(base, "leak_rate", -0.018, true), false},
		{"an end in doubt", base, change(base, "ended_at", "2025-03-14T06:41", false), false},
		{"a tank in doubt on both", change(base, "tank", "2", false), change(base, "tank", "2", false), false},
		{"no start on one", base, change(base, "started_at", nil, true), false},
		{"a date without a time", change(base, "ended_at", "2025-03-14", true), change(base, "ended_at", "2025-03-14", true), false},
		{"the same alarm", alarm, alarm, true},
		{"another sensor at the same minute", alarm, change(alarm, "device_number", "5", true), false},
		{"sensors whose numbers are not printed", change(alarm, "device_number", nil, true), change(alarm, "device_number", nil, true), false},
		{"another event at the same minute", alarm, change(alarm, "event", "WATER", true), false},
		{"the same alarm cleared", alarm, change(alarm, "state", "cleared", true), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, turned := range []bool{false, true} {
				s := hasty(t)
				a, b := c.a, c.b
				if turned {
					a, b = b, a
				}
				first, second := photo(t, s, a)[0], photo(t, s, b)[0]
				want := 2
				if c.one {
					want = 1
				}
				if n := counted(t, s); n != want {
					t.Fatalf("%d records, want %d", n, want)
				}
				x, y := row(t, s, first), row(t, s, second)
				if c.one != (y.One == first && slices.Equal(x.With, []string{second})) || x.One != "" {
					t.Errorf("%s is one with %q, %s has %v", second, y.One, first, x.With)
				}
				if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
					t.Errorf("check: %v %v", bad, err)
				}
			}
		})
	}
}

// TestTwoPicturesFill: what one picture cannot show the other does, and each
// value leads to the picture that it was read from. Where they disagree nothing
// is sure.
func TestTwoPicturesFill(t *testing.T) {
	s := hasty(t)
	base := paper(marchTest())
	a := change(change(base, "leak_rate", -0.018, false), "end_volume", 5021.0, false)
	b := change(change(base, "start_volume", 5020.0, true), "end_volume", 5021.0, true)
	first, second := photo(t, s, a)[0], photo(t, s, b)[0]
	for _, id := range []string{first, second} {
		r := row(t, s, id)
		leak := r.Record.Fields["leak_rate"]
		if leak.Value != -0.013 || leak.Sure || len(doubtsAbout(r.Record, "leak_rate")) != 1 || r.Sure() {
			t.Errorf("%s: pictures that disagree: %+v, doubts %v", id, leak, r.Record.Doubts)
		}
		for _, name := range []string{"end_volume", "start_volume"} {
			f := r.Record.Fields[name]
			if on := r.On(f.Box); !f.Sure || on.Capture != "c2" {
				t.Errorf("%s: %s %+v is on %s, want c2", id, name, f, on.Capture)
			}
		}
		if len(r.Parts) != 2 || len(doubtsAbout(r.Record, "end_volume")) != 0 {
			t.Errorf("%s: %d pictures, doubts %v", id, len(r.Parts), r.Record.Doubts)
		}
	}
	// A decision about either holds for both, and so does its undoing.
	decide(t, s, Decision{Record: second, Action: Correct, Field: "leak_rate", Value: "-0.013"})
	decide(t, s, Decision{Record: first, Action: Confirm})
	for _, id := range []string{first, second} {
		if r := row(t, s, id); !r.Sure() || !r.Confirmed {
			t.Errorf("%s: %v, confirmed %v", id, r.Record.Doubts, r.Confirmed)
		}
	}
	decide(t, s, Decision{Record: first, Action: Undo})
	decide(t, s, Decision{Record: first, Action: Undo}) // the correction, noted with the other
	if r := row(t, s, second); r.Confirmed || r.Record.Fields["leak_rate"].Sure || len(r.With) != 1 {
		t.Errorf("taken back: %+v", r)
	}
	// A value that a person puts right holds for all pictures; which event it is,
	// for the one that was looked at.
	decide(t, s, Decision{Record: second, Action: Correct, Field: "leak_rate", Value: "-0.02"})
	if r := row(t, s, first); r.Record.Fields["leak_rate"].Value != -0.02 || counted(t, s) != 1 {
		t.Errorf("after a correction: %+v", r)
	}
	decide(t, s, Decision{Record: second, Action: Correct, Field: "tank", Value: "8"})
	if x, y := row(t, s, first), row(t, s, second); x.Record.Text("tank") != "2" || y.Record.Text("tank") != "8" || len(x.With)+len(y.With) > 0 {
		t.Errorf("after a correction of the tank: %+v %+v", x, y)
	}
	decide(t, s, Decision{Record: second, Action: Undo})
	if r := row(t, s, second); r.One != first {
		t.Errorf("taken back, it is one again: %+v", r)
	}
	decide(t, s, Decision{Record: first, Action: Reject})
	if x, y := row(t, s, first), row(t, s, second); !x.Rejected || y.Rejected || counted(t, s) != 1 {
		t.Errorf("one picture rejected: %+v %+v", x, y)
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}

// TestSameAndDiffer: a person's word stands above what the readings say, and the
// contrary word takes it back.
func TestSameAndDiffer(t *testing.T) {
	s := hasty(t)
	base := paper(marchTest())
	r1, r2 := photo(t, s, base)[0], photo(t, s, base)[0]
	r3 := photo(t, s, change(base, "ended_at", "2025-03-14T08:41", false))[0]
	facts := func() map[string]bool {
		out := map[string]bool{}
		for _, id := range []string{r1, r2, r3} {
			out[row(t, s, id).Fact] = true
		}
		return out
	}
	for _, step := range []struct {
		action, a, b string
		records      int
		events       int
	}{
		{Differ, r1, r2, 3, 3}, {Same, r2, r1, 2, 2}, {Same, r1, r3, 1, 1}, {Differ, r3, r1, 2, 2}, {Same, r2, r3, 1, 0},
	} {
		err := s.Decide(t.Context(), Decision{Record: step.a, Action: step.action, Other: step.b, By: "ann"})
		if step.events == 0 { // r1 and r2 are one, r1 and r3 are not
			if err == nil || !strings.Contains(err.Error(), "both one record and two") {
				t.Errorf("%+v: %v", step, err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if n, e := counted(t, s), len(facts()); n != step.records || e != step.events {
			t.Errorf("%+v: %d records of %d events", step, n, e)
		}
	}
	h, err := s.History(t.Context(), r3)
	if err != nil || len(h) != 2 || h[0].Action != Same || h[1].Action != Differ || h[1].Other != r1 || h[1].By != "ann" {
		t.Errorf("history: %+v %v", h, err)
	}
	two := photo(t, s, base, change(base, "tank", "7", true))
	for _, d := range []Decision{
		{Record: r1, Action: Same, Other: r1}, {Record: r1, Action: Same, Other: "r99"}, {Record: r1, Action: Same},
		{Record: two[0], Action: Same, Other: two[1]},
	} {
		if err := s.Decide(t.Context(), d); err == nil {
			t.Errorf("%+v was taken", d)
		}
	}
	if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
		t.Errorf("check: %v %v", bad, err)
	}
}

// TestListedTwice: a slip that lists the same thing twice means two things, on
// each of its pictures.
func TestListedTwice(t *testing.T) {
	s := hasty(t)
	base := paper(marchTest())
	a := photo(t, s, base, base)
	if n := counted(t, s); n != 2 {
		t.Fatalf("%d records on one slip, want 2", n)
	}
	b := photo(t, s, base, base)
	if n := counted(t, s); n != 2 || row(t, s, b[0]).One != a[0] || row(t, s, b[1]).One != a[1] {
		t.Errorf("%d records, %s with %s, %s with %s", n, b[0], row(t, s, b[0]).One, b[1], row(t, s, b[1]).One)
	}
}

// TestOrderOfAdding: which records are one, and what they say, does not depend
// on the order in which the pictures came.
func TestOrderOfAdding(t *testing.T) {
	rng := rand.New(rand.NewSource(number64(t, "ARCHIVE_TEST_SEED", 7)))
	for round := range 6 {
		var pictures [][]record.Record
		for range 7 {
			var on []record.Record
			for range 1 + rng.Intn(2) {
				r := paper(marchTest())
				for range rng.Intn(3) {
					switch rng.Intn(5) {
					case 0:
						r = change(r, "tank", []string{"2", "3"}[rng.Intn(2)], rng.Intn(3) > 0)
					case 1:
						r = change(r, "leak_rate", []float64{-0.013, -0.018, 0.02}[rng.Intn(3)], rng.Intn(2) > 0)
					case 2:
						r = change(r, "leak_rate", nil, true)
					case 3:
						r = change(r, "end_volume", []float64{5000, 5001}[rng.Intn(2)], rng.Intn(2) > 0)
					case 4:
						r = change(r, "ended_at", "2025-03-14T06:41", rng.Intn(4) > 0)
					}
				}
				on = append(on, r)
			}
			pictures = append(pictures, on)
		}
		want := ""
		for try := range 3 {
			s := hasty(t)
			ids := map[string]string{} // by picture and place
			for _, i := range rng.Perm(len(pictures)) {
				for k, id := range photo(t, s, pictures[i]...) {
					ids[id] = fmt.Sprintf("%d/%d", i, k)
				}
			}
			var lines []string
			for id, at := range ids {
				r := row(t, s, id)
				mates := []string{at}
				for _, o := range r.With {
					mates = append(mates, ids[o])
				}
				slices.Sort(mates)
				line := fmt.Sprint(at, mates, r.Record.Doubts)
				for _, n := range r.Record.FieldNames() {
					line += fmt.Sprint(" ", n, shortValue(r.Record.Fields[n]), r.Record.Fields[n].Sure)
				}
				lines = append(lines, line)
			}
			slices.Sort(lines)
			if bad, err := s.Check(t.Context()); err != nil || len(bad) > 0 {
				t.Errorf("check: %v %v", bad, err)
			}
			got := strings.Join(lines, "\n")
			if try == 0 {
				want = got
			} else if got != want {
				t.Fatalf("round %d: in another order\n%s\nbefore\n%s", round, got, want)
			}
		}
	}
}
