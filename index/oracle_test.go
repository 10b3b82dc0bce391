package index

import (
	"context"
	"fmt"
	"math/rand"
	"os"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

func seed(t *testing.T) *rand.Rand {
	t.Helper()
	n := time.Now().UnixNano()
	if v := os.Getenv("INDEX_TEST_SEED"); v != "" {
		var err error
		if n, err = strconv.ParseInt(v, 10, 64); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("INDEX_TEST_SEED=%d", n)
	return rand.New(rand.NewSource(n))
}

func pick(rng *rand.Rand, list ...string) string { return list[rng.Intn(len(list))] }

// generate fills an archive with invented slips of few values, so that many
// answer the same question; some values are missing or in doubt.
func generate(t testing.TB, s *archive.Store, rng *rand.Rand, slips int) {
	t.Helper()
	ctx := context.Background()
	for range slips {
		var records []record.Record
		for range 1 + rng.Intn(3) {
			records = append(records, randomRecord(rng))
		}
		put(t, s, pick(rng, "1", "2", "114", "?114", ""), []string{pick(rng, "OAK STREET", "NORTH END"), pick(rng, "D1ESEL", "DIESEL", "PREMIUM")}, records...)
	}
	rows, err := s.Rows(ctx, archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		d := archive.Decision{Record: r.ID}
		switch rng.Intn(12) {
		case 0:
			d.Action = archive.Reject
		case 1:
			d.Action = archive.Confirm
		case 2:
			d.Action, d.Field, d.Value = archive.Correct, "site_number", pick(rng, "1", "77")
		default:
			continue
		}
		if err := s.Decide(ctx, d); err != nil {
			t.Fatal(err)
		}
	}
}

func randomRecord(rng *rand.Rand) record.Record {
	at := fmt.Sprintf("2025-%02d-%02d", 1+rng.Intn(6), 1+rng.Intn(28))
	switch rng.Intn(4) {
	case 0:
		at += fmt.Sprintf("T%02d:%02d", rng.Intn(24), rng.Intn(2))
	case 1:
		at += "T03:00"
	case 2:
		at += "T03:00:07"
	}
	var r record.Record
	switch rng.Intn(5) {
	case 0, 1:
		r = rec(record.TankTest, "tank", pick(rng, "1", "2", "3"), "test_class", pick(rng, "0.1", "0.2"), "ended_at", at, "result", pick(rng, "pass", "pass", "fail", "inconclusive", "aborted"))
	case 2:
		r = rec(record.LineTest, "line", pick(rng, "1", "2"), "test_class", pick(rng, "0.1", "0.2", "3.0"), "ended_at", at, "result", pick(rng, "pass", "fail"))
	case 3:
		r = rec(record.Alarm, "device", pick(rng, "tank", "sensor", "system"), "device_number", pick(rng, "1", "2"), "event", pick(rng, "HIGH WATER", "FUEL"), "state", pick(rng, "raised", "cleared"), "at", at)
	default:
		r = rec(record.SensorStatus, "sensor", pick(rng, "1", "2"), "state", pick(rng, "normal", "fuel"), "at", at)
	}
	if r.Kind == record.TankTest || r.Kind == record.LineTest {
		r.Fields["grade"] = field(pick(rng, "diesel", "premium", "regular"))
	}
	for name, f := range r.Fields {
		switch rng.Intn(15) {
		case 0:
			if name != "grade" { // a tank without a product takes it from other slips; see TestProductOfTank
				delete(r.Fields, name)
			}
		case 1:
			f.Sure = false
			r.Fields[name] = f
		}
	}
	return r
}

func randomQuery(rng *rand.Rand) query.Query {
	q := query.Query{Order: pick(rng, query.Latest, query.First), Limit: rng.Intn(4)}
	some := func(list ...string) string {
		if rng.Intn(6) > 0 {
			return ""
		}
		return pick(rng, list...)
	}
	q.Kind = record.Kind(pick(rng, "tank_test", "tank_test", "line_test", "alarm", "sensor_status", "delivery", "", "", ""))
	q.AnyTest = q.Kind == "" && rng.Intn(2) == 0
	q.TestClass = some("0.1", "0.2", "3.0")
	q.Result = some("pass", "fail", query.NotPass)
	q.State = some("raised", "normal", "fuel")
	q.Grade = some("diesel", "premium")
	q.Tank, q.Line, q.Sensor = some("1", "2"), some("1"), some("2")
	q.Device = some("tank", "sensor")
	q.Site = some("114", "0001", "77")
	q.From = some("2025-02-01", "2025-03-15")
	q.To = some("2025-03-15", "2025-05-31")
	return q
}

// slow is the obvious way: look at every record.
func slow(rows []archive.Row, q query.Query) []string {
	// What a tank or line holds by the slips that surely say so.
	holds := map[string]bool{}
	for _, r := range rows {
		g, ok := r.Record.Fields["grade"]
		n, what := r.Record.Fields["tank"], "tank"
		if n.Value == nil {
			n, what = r.Record.Fields["line"], "line"
		}
		if ok && g.Sure && n.Sure && n.Value != nil && r.SiteSure && r.Site != "" {
			holds[fmt.Sprint(g.Value, r.Site, what, n.Value)] = true
		}
	}
	var found []archive.Row
	for _, r := range eventsOf(rows) {
		if answers(r, q, holds) {
			found = append(found, r)
		}
	}
	no := func(r archive.Row) int { n, _ := strconv.Atoi(r.ID[1:]); return n }
	sort.Slice(found, func(i, j int) bool {
		a, b := found[i], found[j]
		if (a.At == "") != (b.At == "") {
			return a.At != ""
		}
		if q.Order != query.First {
			a, b = b, a
		}
		return a.At < b.At || a.At == b.At && no(a) < no(b)
	})
	out := []string{}
	for _, r := range found {
		out = append(out, r.ID)
	}
	return out
}

func answers(r archive.Row, q query.Query, holds map[string]bool) bool {
	f := func(name string) string { s, _ := r.Record.Fields[name].Value.(string); return s }
	is := func(want, have string) bool { return want == "" || want == have }
	numbered := func(device, want string) bool {
		return want == "" || f(device) == want || f("device") == device && f("device_number") == want
	}
	result := is(q.Result, f("result"))
	if q.Result == query.NotPass {
		result = f("result") != "" && f("result") != "pass"
	}
	state := is(q.State, f("state")) || q.State == "raised" && f("state") == "" && r.Record.Kind == record.Alarm // printed without one
	grade := is(q.Grade, f("grade"))
	if f("grade") == "" && !grade {
		for _, device := range []string{"tank", "line"} {
			no := f(device)
			if no == "" && f("device") == device {
				no = f("device_number")
			}
			grade = grade || no != "" && holds[q.Grade+r.Site+device+no]
		}
	}
	return is(string(q.Kind), string(r.Record.Kind)) &&
		(!q.AnyTest || r.Record.Kind == record.TankTest || r.Record.Kind == record.LineTest) &&
		is(q.TestClass, f("test_class")) && result && state && grade && is(q.Device, f("device")) &&
		numbered("tank", q.Tank) && numbered("line", q.Line) && numbered("sensor", q.Sensor) &&
		is(strings.TrimLeft(q.Site, "0"), r.Site) &&
		(q.From == "" || r.At >= q.From) && (q.To == "" || r.At != "" && r.At[:10] <= q.To)
}

// TestAgainstSlowSearch compares typed questions with a look at every record,
// then deletes the index and asks again.
func TestAgainstSlowSearch(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	rng := seed(t)
	s, dir := newArchive(t)
	ix := openIndex(t, dir, s) // so that most comes by catching up
	generate(t, s, rng, 60)
	if err := ix.CatchUp(ctx); err != nil {
		t.Fatal(err)
	}
	generate(t, s, rng, 40)
	rows, err := s.Rows(ctx, archive.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(rows, func(a, b archive.Row) int {
		x, _ := strconv.Atoi(a.ID[1:])
		y, _ := strconv.Atoi(b.ID[1:])
		return x - y
	})
	var first []string
	queries := []query.Query{}
	for range 150 {
		queries = append(queries, randomQuery(rng))
	}
	answered := 0
	for round := range 2 {
		for i, q := range queries {
			a, err := ix.Ask(ctx, q)
			if err != nil {
				t.Fatalf("%s: %v", q, err)
			}
			want := slow(rows, q)
			if a.Total != len(want) {
				t.Fatalf("%s: %d, want %d (%v)", q, a.Total, len(want), want)
			}
			if q.Limit > 0 {
				want = want[:min(len(want), q.Limit)]
			}
			if got := strings.Fields(idsOf(a.Rows)); !slices.Equal(got, want) && len(got)+len(want) > 0 {
				t.Fatalf("%s:\n%v, want\n%v", q, got, want)
			}
			if (a.Why == "") != (a.Total > 0) {
				t.Fatalf("%s: %d answers and %q", q, a.Total, a.Why)
			}
			if a.Total > 0 {
				answered++
			}
			all := fmt.Sprint(idsOf(a.Rows), a.Total, a.Why, a.Notes, idsOf(a.Maybe), a.NewestSure)
			if round == 0 {
				first = append(first, all)
			} else if all != first[i] {
				t.Fatalf("%s: after the index was deleted\n%s\nbefore\n%s", q, all, first[i])
			}
		}
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
	}
	if answered < 60 {
		t.Errorf("only %d of %d questions had an answer: the test says little", answered, 2*len(queries))
	}
}
