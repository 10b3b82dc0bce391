package query

import (
	"slices"
	"strings"
	"testing"

	"tankroll/parse/lexicon"
)

// TestClassesOfWording reads what is meant whatever the wording of its class: numbers
// written out, what is left out, what is joined, days that are counted from.
func TestClassesOfWording(t *testing.T) {
	names := NewNames([]Site{{"107", "QUARRY HILL"}, {"108", "STATION SQUARE"}, {"109", "LAKESIDE"}, {"112", "FAIRVIEW"}, {"123", "MEADOW BROOK"}})
	for ask, want := range map[string]string{
		"latest delivery at one oh seven":                                       `latest delivery, site 107 "QUARRY HILL"`,
		"site one hundred twelve, tank two, newest inventory":                   `latest inventory report, tank 2, site 112 "FAIRVIEW"`,
		"last test at one-twenty-three":                                         `latest test, site 123 "MEADOW BROOK"`,
		"deliveries of more than eight thousand gallons":                        "all deliveries, by delivered volume, over 8000, newest first",
		"inventory with water above one and a half inches":                      "all inventory reports, by water height, over 1.5, newest first",
		"water over 1 1/2 inches this month":                                    "all records, by water height, over 1.5, from 2025-08-01 to 2025-08-31, newest first",
		"last twenty-five deliveries":                                           "latest 25 deliveries",
		"midgrade deliveries at Stattion Square":                                `all deliveries, product midgrade, site 108 "STATION SQUARE", newest first`,
		"tests at every site except Lakeside and Fairview":                      "all tests, except site 109 or 112, newest first",
		"deliveries other than diesel and premium":                              "all deliveries, except product diesel or premium, newest first",
		"all tests other than the 0.2 tests":                                    "all 0.1 or 3.0 gal/h tank or line tests, newest first",
		"tests besides failed ones in may 2025":                                 "all pass or inconclusive or aborted tests, from 2025-05-01 to 2025-05-31, newest first",
		"alarms other than high water in 2024":                                  `all alarms, state raised, from 2024-01-01 to 2024-12-31, without "high water", newest first`,
		"overfill and high water alarms":                                        `all alarms, state raised, with "overfill" or "high water", newest first`,
		"0.1 and 0.2 tank tests":                                                "all 0.1 or 0.2 gal/h tank tests, newest first",
		"last test on lines 1 and 2":                                            "latest line test, line 1 or 2, for each line",
		"how many failed tests for each product":                                "how many failing tests, for each kind of product",
		"which fuel had the most deliveries":                                    "how many deliveries, for each kind of product, most first",
		"deliveries per week in may 2025":                                       "how many deliveries, from 2025-05-01 to 2025-05-31, for each week",
		"failed tests in fy24":                                                  "all failing tests, from 2024-01-01 to 2024-12-31, newest first",
		"tank tests in Q3 FY 2024":                                              "all tank tests, from 2024-07-01 to 2024-09-30, newest first",
		"deliveries for the week ending May 18, 2025":                           "all deliveries, from 2025-05-12 to 2025-05-18, newest first",
		"tank tests 5/2025":                                                     "all tank tests, from 2025-05-01 to 2025-05-31, newest first",
		"Jan-Mar 2025 deliveries":                                               "all deliveries, from 2025-01-01 to 2025-03-31, newest first",
		"as of the end of May, which tanks have no 0.2 test in 2025":            "which tanks have no 0.2 gal/h tank test, from 2025-01-01 to 2025-05-31",
		"inventory as of June 1, 2025":                                          "all inventory reports, from 2025-06-01 to 2025-06-01, newest first",
		"which tanks have gone more than 30 days since their last passing test": "which tanks have no passing tank test, since 2025-07-21",
		"alarms more than 30 days old":                                          "all alarms, state raised, until 2025-07-21, newest first",
		"lines overdue for annual test":                                         "which lines have no 0.1 gal/h line test, since 2024-08-20",
		"how many diesel tanks are there":                                       "how many records, product diesel, for each tank",
		"where was the most diesel sold in may 2025":                            "total reconciliations, by volume sold, product diesel, from 2025-05-01 to 2025-05-31, for each site, most first",
		"tests on or after May 1, 2025":                                         "all tests, since 2025-05-01, newest first",
		"tests on or before January 31 2023":                                    "all tests, until 2023-01-31, newest first",
		"tests the first ten days of May 2025":                                  "all tests, from 2025-05-01 to 2025-05-10, newest first",
		"tests on the fifteenth of May 2025":                                    "all tests, from 2025-05-15 to 2025-05-15, newest first",
		"which sites were more than 190 gallons off in May 2025":                "latest reconciliation, by over or short, over 190, from 2025-05-01 to 2025-05-31, for each site",
		"which tanks have had no passing test in over 45 days":                  "which tanks have no passing tank test, since 2025-07-06",
		"no passing test since june 1 2025, which tanks?":                       "which tanks have no passing tank test, since 2025-06-01",
		"alarm log of last week":                                                "all alarms, raised or cleared, from 2025-08-11 to 2025-08-17, newest first",
		"how many tank tests failed, all sites together":                        "how many failing tank tests",
		"aborted tank tests in 2024: how many in each month?":                   "how many aborted tank tests, from 2024-01-01 to 2024-12-31, for each month",
	} {
		q := ParseFor(ask, wednesday, lexicon.Default(), names)
		if q.String() != want || len(q.NotUnderstood) > 0 {
			t.Errorf("%s\n is read as %s\n not as     %s, not %q", ask, q, want, q.NotUnderstood)
		}
		if again := ParseFor(q.String(), wednesday, lexicon.Default(), names); again.String() != q.String() {
			t.Errorf("%s\n means %s\n and then %s", ask, q, again)
		}
	}
}

// TestNotAskedInstead: what is left out and cannot be is said, and never asked for.
func TestNotAskedInstead(t *testing.T) {
	q := parse("all records except deliveries in may 2025")
	if q.Kind != "" || strings.Join(q.NotUnderstood, " ") != "except deliveries" {
		t.Errorf("%s, not %q", q, q.NotUnderstood)
	}
}

// TestOtherReadings offers the second sensible meaning of a question.
func TestOtherReadings(t *testing.T) {
	for ask, want := range map[string]string{
		"how many alarms were there in may 2025":    "how many alarms, raised or cleared, from 2025-05-01 to 2025-05-31",
		"alarm history of may 2025":                 "all alarms, state raised, from 2025-05-01 to 2025-05-31, newest first",
		"which tanks failed in may 2025":            "all failing tank tests, from 2025-05-01 to 2025-05-31, newest first",
		"last 0.2 tank test at site 114":            "latest 0.2 gal/h tank test, site 114, for each tank",
		"how many tanks failed in 2024":             "how many failing tank tests, from 2024-01-01 to 2024-12-31, for each tank",
		"failed tests in fiscal year 2024":          "all failing tests, from 2023-10-01 to 2024-09-30, newest first",
		"failed tests Mar 24":                       "all failing tests, from 2024-03-01 to 2024-03-31, newest first",
		"tests that did not pass":                   "all failing tests, newest first",
		"how many tests passed and how many failed": "how many failing tests",
		"last fail": "latest failing test",
		"when was the last delivery at site 114 and how many tests failed there in 2024": "how many failing tests, site 114, from 2024-01-01 to 2024-12-31",
	} {
		var got []string
		for _, r := range parse(ask).Readings {
			got = append(got, r.Ask)
		}
		if !slices.Contains(got, want) {
			t.Errorf("%s\n can also mean %q\n not %s", ask, got, want)
		}
	}
}
