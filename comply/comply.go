// Package comply reckons the calendar of release detection: which days the
// passing tank tests of an archive cover, where more time passed than the rule
// allows, and when the next test is due. All its functions are pure.
//
// Start with Tanks. What it says is arithmetic on records, no legal judgement:
// rules differ by state, other methods may apply, and paper may be missing from
// the archive.
package comply

import (
	"fmt"
	"slices"
)

// Policy is how often a passing test must come.
type Policy struct {
	MaxGapDays    int    // most days from the end of one test to the end of the next; 0 for no such limit
	CalendarMonth bool   // there must also be one in every calendar month
	Source        string // the rule
}

// Federal is the federal rule, "at least every 30 days". The rule defines no
// arithmetic; this follows the clearest published reading, Wis. Admin. Code ATCP
// 93.515(5)(a)1: no more than 30 days may elapse between tests.
func Federal() Policy { return Policy{MaxGapDays: 30, Source: "40 CFR 280.41(a)(1)"} }

// Policies are the intervals that are known, by two-letter state code; "" is
// the federal one. A state that is missing may still differ.
//
// Florida: once every calendar month, but not exceeding 35 days. Hawaii: every
// 31 days; seen for hazardous substances and sumps (11-280.1-42 and -37), its
// section on petroleum tanks was not seen.
func Policies() map[string]Policy {
	return map[string]Policy{
		"":   Federal(),
		"FL": {MaxGapDays: 35, CalendarMonth: true, Source: "Fla. Admin. Code 62-761.600(1)(d)"},
		"HI": {MaxGapDays: 31, Source: "Haw. Admin. Rules 11-280.1"},
		"WI": {MaxGapDays: 30, Source: "Wis. Admin. Code ATCP 93.515(5)(a)1"},
	}
}

// Equipment is a tank that must be tested.
type Equipment struct {
	Site, Tank, Product, Grade string
	Installed                  Date // zero when not known
}

// Test is a tank test as it was read. NewTest makes one from a record.
type Test struct {
	ID, Site, Tank, Product, Grade string
	Class                          string // 0.1 0.2 3.0 gal/h, "" when not known
	Result                         string // pass fail inconclusive aborted, "" when not known
	At                             string // when it ended, a time or a date; "" when not known
	Sure                           bool   // nothing that the rule rests on is in doubt
}

// The verdicts.
const (
	Covered = "covered" // no more time than allowed passed between passing tests
	Lapse   = "gap"     // more time passed
	Unknown = "unknown" // the records do not tell
)

// Evidence is a record that a verdict rests on.
type Evidence struct {
	ID string `json:"id"`
	At string `json:"at"`
}

// Gap is a stretch from one passing test to the next, or to the end of the
// period. Days have elapsed between its ends; it was due at Due.
type Gap struct {
	From Date `json:"from"`
	To   Date `json:"to"`
	Days int  `json:"days"`
	Due  Date `json:"due,omitzero"`
}

// Requirement is what one rule asks of one piece of equipment, and what the
// records say to it.
type Requirement struct {
	Site        string     `json:"site"`
	Equipment   string     `json:"equipment"` // "tank 2"
	Requirement string     `json:"requirement"`
	Verdict     string     `json:"verdict"`  // Covered, Lapse or Unknown
	Evidence    []Evidence `json:"evidence"` // passing tests without doubt, oldest first
	Gaps        []Gap      `json:"gaps"`
	Unknown     []Gap      `json:"unknown,omitempty"` // stretches that the records do not tell about
	NextDue     string     `json:"next_due"`          // date; "" when no passing test is known
	Source      string     `json:"source"`
	Notes       []string   `json:"notes,omitempty"`
}

// Tanks judges the tank tests of a period, both days included, one requirement
// for each tank in the given order. to should not be after today: days to come
// are nobody's gap. Tests before the period count as its start; pass all tests
// that are known.
func Tanks(equipment []Equipment, tests []Test, from, to Date, p Policy) []Requirement {
	out := make([]Requirement, 0, len(equipment))
	tests = withoutStrayTanks(equipment, tests)
	for _, e := range equipment {
		j := judge{from: from, to: to, policy: p, r: Requirement{
			Site: e.Site, Equipment: "tank " + e.Tank, Requirement: requirement(p), Source: p.Source,
			Evidence: []Evidence{}, Gaps: []Gap{}}}
		j.sort(e, tests)
		j.stretches()
		if p.CalendarMonth {
			j.calendarMonths()
		}
		j.finish(e)
		out = append(out, j.r)
	}
	return out
}

// withoutStrayTanks takes the tank number off doubtful tests of tanks that do
// not exist: a misread number must not hide a test from the tank it is of.
func withoutStrayTanks(equipment []Equipment, tests []Test) []Test {
	known := map[[2]string]bool{}
	for _, e := range equipment {
		known[[2]string{e.Site, e.Tank}] = true
	}
	out := slices.Clone(tests)
	for i, t := range out {
		if !t.Sure && !known[[2]string{t.Site, t.Tank}] {
			out[i].Tank = ""
		}
	}
	return out
}

func requirement(p Policy) string {
	switch {
	case p.CalendarMonth && p.MaxGapDays > 0:
		return fmt.Sprintf("passing tank test every calendar month, at most %d days apart", p.MaxGapDays)
	case p.CalendarMonth:
		return "passing tank test every calendar month"
	}
	return fmt.Sprintf("passing tank test at least every %d days", p.MaxGapDays)
}
