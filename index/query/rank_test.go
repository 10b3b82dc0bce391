package query

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tankroll/record"
)

// TestRank asks which group has the most or the fewest, and near wordings that
// ask for something else.
func TestRank(t *testing.T) {
	all := func(q Query) Query { q.Order = Latest; return q }
	for _, c := range []struct {
		ask  string
		want Query
	}{
		{"which site had the most alarms", all(Query{Kind: record.Alarm, State: "raised", Per: "site", Count: true, Rank: Highest})},
		{"which tank fails most often", all(Query{Kind: record.TankTest, Result: "fail", Per: "tank", Count: true, Rank: Highest})},
		{"what month had the fewest deliveries", all(Query{Kind: record.Delivery, Per: "month", Count: true, Rank: Lowest})},
		{"which station had the highest number of failed line tests", all(Query{Kind: record.LineTest, Result: "fail", Per: "site", Count: true, Rank: Highest})},
		{"which site had the most diesel delivered", all(Query{Kind: record.Delivery, Grade: "diesel", Measure: "delivered", Figure: Total, Per: "site", Rank: Highest})},
		{"most failures by site", all(Query{AnyTest: true, Result: "fail", Per: "site", Count: true, Rank: Highest})},
		{"site with the most alarms", all(Query{Kind: record.Alarm, State: "raised", Per: "site", Count: true, Rank: Highest})},
		{"which tank fails the most", all(Query{Kind: record.TankTest, Result: "fail", Per: "tank", Count: true, Rank: Highest})},
		{"which month had the most gallons delivered", all(Query{Kind: record.Delivery, Measure: "delivered", Figure: Total, Per: "month", Rank: Highest})},
		{"diesel delivered per month", all(Query{Kind: record.Delivery, Grade: "diesel", Measure: "delivered", Figure: Total, Per: "month"})},
		{"how many gallons did each site get", all(Query{Kind: record.Delivery, Measure: "delivered", Figure: Total, Per: "site"})},
		{"biggest delivery of each month", Query{Kind: record.Delivery, Measure: "delivered", Order: Highest, Limit: 1, Per: "month"}},
		{"which sites had diesel delivered", Query{Kind: record.Delivery, Grade: "diesel", Order: Latest, Limit: 1, Per: "site"}},
		{"latest delivery per site", Query{Kind: record.Delivery, Order: Latest, Limit: 1, Per: "site"}},
		{"most recent alarm", Query{Kind: record.Alarm, State: "raised", Order: Latest, Limit: 1}},
		{"which tank had the most water", Query{Measure: "water_height", Order: Highest, Limit: 1}},
	} {
		if d := cmp.Diff(c.want, parse(c.ask), notes); d != "" {
			t.Errorf("%s\n%s", c.ask, d)
		}
		if q := parse(c.want.String()); q.String() != c.want.String() {
			t.Errorf("%s\nis read as\n%s", c.want, q)
		}
	}
}

// TestStrangersWords reads what people say who do not know the grammar.
func TestStrangersWords(t *testing.T) {
	for ask, want := range map[string]string{
		"how many deliveries did every tank get":                       "how many deliveries, for each tank",
		"when did each line last pass":                                 "latest passing line test, for each line",
		"did every site pass a line test":                              "which sites have no passing line test",
		"gallons of premium the driver unloaded last month in total":   "total deliveries, by delivered volume, product premium, from 2025-07-01 to 2025-07-31",
		"tests around March 2024":                                      "all tests, from 2024-02-01 to 2024-04-30, newest first",
		"alarms around 2025-03-14":                                     "all alarms, state raised, from 2025-03-07 to 2025-03-21, newest first",
		"deliveries roughly Q1 2024":                                   "all deliveries, from 2023-10-01 to 2024-06-30, newest first",
		"reconciliations over 1% plus 130 gallons":                     "all failing reconciliations, newest first",
		"reconciliation within limits, under 1.0 percent plus 130 gal": "all passing reconciliations, newest first",
		"last delivery plus site 130":                                  "latest delivery, product midgrade, site 130",
		"last test T2":                                                 "latest tank test, tank 2",
		"fails L03 this year":                                          "all failing line tests, line 3, from 2025-01-01 to 2025-12-31, newest first",
		"hi, I'd like all failed tests right now, thanks":              "all failing tests, newest first",
	} {
		if got := parse(ask).String(); got != want {
			t.Errorf("%s\nis read as\n%s, want\n%s", ask, got, want)
		}
	}
}

// TestStaysUnknown keeps saying what had no effect.
func TestStaysUnknown(t *testing.T) {
	for ask, want := range map[string]string{
		"failed tank tests that were never retested": "never retested",
		"tank volume dropped below 500 gallons":      "dropped",
		"how many tests passed and how many failed":  "",
		"which product had the most deliveries":      "",
		"results like those of last month":           "like",
	} {
		q := parse(ask)
		if got := strings.Join(q.NotUnderstood, " "); got != want {
			t.Errorf("%s: not understood %q, want %q", ask, got, want)
		}
	}
	q := parse("how many tests passed and how many failed")
	if !slices.ContainsFunc(q.Readings, func(r Reading) bool { return r.Ask == "how many failing tests" }) {
		t.Errorf("no reading asks for the failed: %v", q.Readings)
	}
}
