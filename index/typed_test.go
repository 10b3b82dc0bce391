package index

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tankroll/archive"
	"tankroll/index/query"
	"tankroll/record"
)

// typed is a random question as a Query and, made beside it, as conditions for
// the slow scan.
type typed struct {
	rng   *rand.Rand
	q     query.Query
	conds []string
}

// maybe takes, now and then, one of some values, or two.
func (a *typed) maybe(often int, name string, put func(string), list ...string) {
	if a.rng.Intn(often) > 0 {
		return
	}
	v := pick(a.rng, list...)
	if strings.HasPrefix(name, "*") {
		if w := pick(a.rng, list...); w != v && a.rng.Intn(3) == 0 {
			v += "," + w
		}
	}
	put(v)
	a.conds = append(a.conds, strings.TrimPrefix(name, "*")+"="+v)
}

func randomTyped(rng *rand.Rand) *typed {
	a := &typed{rng: rng}
	q := &a.q
	a.maybe(2, "kind", func(v string) { q.Kind = record.Kind(v) }, "tank_test", "tank_test", "line_test", "alarm", "sensor_status", "delivery", "inventory", "reconciliation", "tank_limits")
	a.maybe(8, "*class", func(v string) { q.TestClass = v }, "0.1", "0.2", "3.0")
	a.maybe(7, "*result", func(v string) { q.Result = v }, "pass", "fail", "inconclusive", "aborted")
	a.maybe(9, "method", func(v string) { q.Method = v }, "static", "continuous")
	a.maybe(9, "state", func(v string) { q.State = v }, "raised", "cleared", "normal", "fuel", "out")
	a.maybe(7, "*grade", func(v string) { q.Grade = v }, "diesel", "premium", "regular", "e85", "midgrade", "kerosene")
	a.maybe(7, "*tank", func(v string) { q.Tank = v }, "1", "2", "3", "4", "9")
	a.maybe(8, "line", func(v string) { q.Line = v }, "1", "2", "3")
	a.maybe(9, "sensor", func(v string) { q.Sensor = v }, "1", "4")
	a.maybe(9, "device", func(v string) { q.Device = v }, "tank", "line", "sensor")
	a.maybe(9, "place", func(v string) { q.Place = v }, "dispenser", "sump", "interstice")
	a.maybe(7, "mark", func(v string) { q.Marks = []string{v} }, query.Marks()...)
	a.maybe(3, "from", func(v string) { q.From = v }, "2022-12-24", "2024-02-29", "2025-04-01")
	a.maybe(3, "to", func(v string) { q.To = v }, "2023-06-30", "2024-12-31", "2025-06-11")
	if n := rng.Intn(40); n < 14 {
		q.Site, q.SiteName = fmt.Sprint(101+n), strings.ToUpper(worldNames[n])
		a.conds = append(a.conds, "site="+q.Site)
	} else if n < 18 {
		q.NotSite = fmt.Sprint(101 + n)
		a.conds = append(a.conds, "site!="+q.NotSite)
	}
	if rng.Intn(4) == 0 {
		a.measure()
	}
	a.leftOut()
	a.says()
	a.twoKinds()
	return a
}

// leftOut leaves tanks, products and sites out, one or several.
func (a *typed) leftOut() {
	q := &a.q
	some := func(list ...string) string {
		a.rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		return strings.Join(list[:1+a.rng.Intn(2)], ",")
	}
	if a.rng.Intn(7) == 0 {
		q.NotTank = some("1", "2", "3", "4")
		a.conds = append(a.conds, "tank!="+q.NotTank)
	}
	if a.rng.Intn(8) == 0 {
		q.NotGrade = some("diesel", "premium", "regular", "e85")
		a.conds = append(a.conds, "grade!="+q.NotGrade)
	}
	if q.NotSite == "" && q.Site == "" && a.rng.Intn(10) == 0 {
		q.NotSite = some("103", "112", "128", "140")
		a.conds = append(a.conds, "site!="+q.NotSite)
	}
}

// says asks for what alarms say: one text, any of two, or another than one.
func (a *typed) says() {
	q := &a.q
	if q.Kind != record.Alarm {
		return
	}
	texts := []string{"HIGH WATER", "OVERFILL", "PROBE OUT", "FUEL", "PRESSURE LOW", "LINE LEAK"}
	one, two := pick(a.rng, texts...), pick(a.rng, texts...)
	said := strings.NewReplacer(" ", "+")
	switch a.rng.Intn(5) {
	case 0:
		q.Words = []string{one}
		a.conds = append(a.conds, "says="+said.Replace(one))
	case 1:
		q.Words = []string{one + query.OrWord + two}
		a.conds = append(a.conds, "says="+said.Replace(one)+","+said.Replace(two))
	case 2:
		q.NotWords = []string{one}
		a.conds = append(a.conds, "says!="+said.Replace(one))
	}
}

// twoKinds asks for two kinds at once, as a person does: inventory or delivery records.
func (a *typed) twoKinds() {
	q := &a.q
	if q.Kind == "" || len(q.Words)+len(q.NotWords) > 0 || a.rng.Intn(5) > 0 {
		return
	}
	other := record.Kind(pick(a.rng, "tank_test", "line_test", "alarm", "delivery", "inventory", "reconciliation"))
	if other == q.Kind {
		return
	}
	q.OrKind = other
	for i, c := range a.conds {
		if c == "kind="+string(q.Kind) {
			a.conds[i] += "," + string(other)
		}
	}
}

func (a *typed) measure() {
	q := &a.q
	of := map[string]int{"water_height": 2, "delivered": 8000, "leak_rate": 0, "volume": 9000, "duration": 6, "over_short": 200, "temperature": 80, "high_water": 3, "pressure": 40}
	names := []string{"delivered", "duration", "high_water", "leak_rate", "over_short", "pressure", "temperature", "volume", "water_height"}
	q.Measure = pick(a.rng, names...)
	v := float64(a.rng.Intn(of[q.Measure]*100+17)) / 100
	switch a.rng.Intn(5) {
	case 0:
		q.Over = &v
		a.conds = append(a.conds, fmt.Sprintf("%s>%g", q.Measure, v))
	case 1:
		q.Under = &v
		a.conds = append(a.conds, fmt.Sprintf("%s<%g", q.Measure, v))
	case 2:
		q.AtLeast = &v
		a.conds = append(a.conds, fmt.Sprintf("%s>=%g", q.Measure, v))
	case 3:
		q.AtMost = &v
		a.conds = append(a.conds, fmt.Sprintf("%s<=%g", q.Measure, v))
	default:
		a.conds = append(a.conds, "has="+q.Measure)
	}
}

// typedAsked is how many random questions are asked.
const typedAsked = 220

// anyTyped asks random questions over all fields that a Query has: the answer is
// what a look at every record gives, its order, number, sums, groups and gaps.
func anyTyped(t *testing.T, ix *Index, scan *slowScan) {
	ctx := context.Background()
	rng := seed(t)
	answered := 0
	for range typedAsked {
		a := randomTyped(rng)
		how := pick(rng, "all", "oldest", "count", "per month latest", "per tank first", "per site count", "per site most", "per month most",
			"per tank often 2", "per line often 3", "per site often 4", "per month often 9", "per week count", "per grade count", "per grade most", "per sensor latest", "missing tank", "missing line", "missing site", "missing sensor")
		if m := a.q.Measure; m != "" {
			how = pick(rng, "max "+m, "min "+m, "sum "+m, how, "per tank max "+m, "per site sum "+m, "per month sum "+m)
		}
		a.order(how)
		got, err := ix.Ask(ctx, a.q)
		if err != nil {
			t.Fatalf("%s: %v", a.q, err)
		}
		want := scan.ask(t, strings.Join(a.conds, " ")+" ; "+how)
		first, _ := judge(got, want, scan)
		if want.how == "sum" && len(want.rows) == 0 && got.Figure == nil {
			first = want.value == 0
		}
		if !first {
			if len(want.groups) > 0 {
				t.Errorf("%q, want %q", groupsOf(got, scan, want.how), want.groups)
			}
			t.Fatalf("%s\n%s ; %s\nwant %s\ngot  %s", a.q, strings.Join(a.conds, " "), how, want, gave(got))
		}
		if (want.how == "all" || want.how == "oldest") && !sameOrder(got, want) {
			t.Fatalf("%s: %s, want %s", a.q, idsOf(got.Rows), idsOf(want.rows))
		}
		if got.Total > 0 {
			answered++
		}
	}
	if answered < 40 {
		t.Errorf("only %d of %d questions had an answer: the test says little", answered, typedAsked)
	}
}

// order puts the form of the answer into the query.
func (a *typed) order(how string) {
	q := &a.q
	w := strings.Fields(how)
	if w[0] == "per" {
		q.Per, q.Limit, w = w[1], 1, w[2:]
	}
	switch w[0] {
	case "missing":
		q.Missing = w[1]
	case "often":
		n, _ := strconv.Atoi(w[1])
		q.Count, q.Limit, q.Often = true, 0, n
	case "oldest", "first":
		q.Order = query.First
	case "count":
		q.Count, q.Limit = true, 0
	case "most":
		q.Count, q.Limit, q.Rank = true, 0, query.Highest
	case "max":
		q.Order, q.Limit = query.Highest, 1
	case "min":
		q.Order, q.Limit = query.Lowest, 1
	case "sum":
		q.Figure = query.Total
	}
}

// sameOrder compares times: records of one time may stand either way.
func sameOrder(got Answer, want wanted) bool {
	n := min(len(got.Rows), len(want.rows))
	return slices.EqualFunc(got.Rows[:n], want.rows[:n], func(a, b archive.Row) bool { return a.At == b.At })
}
