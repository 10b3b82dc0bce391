package query

import (
	"fmt"
	"strings"
	"time"
)

// relative reads periods counted from today.
func (d *dates) relative(w []string, _ bool) (span, int) {
	t := d.today
	switch w[0] {
	case "today", "tonight":
		return oneDay(t), 1
	case "yesterday":
		return oneDay(t.AddDate(0, 0, -1)), 1
	case "ytd":
		return span{day(t.Year(), 1, 1), t}, 1
	case "this", "current":
		if len(w) > 1 {
			unit := w[1]
			if len(w) > 2 && !prepositions[w[2]] {
				unit = strings.TrimSuffix(unit, "s")
			}
			return d.around(unit, 0)
		}
	case "last", "past", "previous", "prior", "preceding":
		return d.past(w)
	case "year":
		if len(w) > 2 && w[1] == "to" && w[2] == "date" {
			return span{day(t.Year(), 1, 1), t}, 3
		}
	}
	if n, used := count(w); used > 0 && len(w) > used+1 && w[used+1] == "ago" {
		if from, ok := d.back(n, w[used]); ok {
			return oneDay(from), used + 2
		}
	}
	return span{}, 0
}

// past reads "last month", "past 12 months" and "previous three weeks"; a number
// counts back from today, none means the whole calendar period before this one.
func (d *dates) past(w []string) (span, int) {
	if len(w) < 2 {
		return span{}, 0
	}
	if n, used := count(w[1:]); used > 0 && len(w) > used+1 {
		if from, ok := d.back(n, w[used+1]); ok {
			if w[1] == "few" {
				d.assume("a few is taken to be three")
			}
			return span{from, d.today}, used + 2
		}
	}
	unit := w[1]
	if len(w) > 2 && !prepositions[w[2]] { // last week's tests, without the apostrophe
		unit = strings.TrimSuffix(unit, "s")
	}
	s, n := d.around(unit, -1)
	if n == 0 {
		return span{}, 0
	}
	rolling := span{d.today, d.today}
	rolling.from, _ = d.back(1, unit)
	if w[0] == "past" || w[0] == "preceding" {
		d.otherwise("the calendar "+unit+" before this one", rolling, s)
		return rolling, n
	}
	d.otherwise("the "+unit+" up to today", s, rolling)
	return s, n
}

// lastMonthName reads "last May": the newest whole one.
func (d *dates) lastMonthName(w []string, _ bool) (span, int) {
	if len(w) < 2 || w[0] != "last" && w[0] != "this" && w[0] != "past" {
		return span{}, 0
	}
	m := d.month(w[1])
	if m == 0 || len(w) > 2 && dayForm.MatchString(w[2]) {
		return span{}, 0
	}
	s := months(d.today.Year(), m, 1)
	for s.from.After(d.today) || w[0] != "this" && !s.to.Before(d.today) {
		s = months(s.from.Year()-1, m, 1)
	}
	if w[0] == "last" && s.from.Year() == d.today.Year() {
		d.otherwise(fmt.Sprintf("%s of the year before", m), s, months(s.from.Year()-1, m, 1))
	}
	return s, 2
}

// around is the calendar period that holds today, or the one before it.
func (d *dates) around(unit string, shift int) (span, int) {
	t := d.today
	var s span
	switch unit {
	case "week": // Monday to Sunday
		from := t.AddDate(0, 0, -(int(t.Weekday())+6)%7+7*shift)
		s = span{from, from.AddDate(0, 0, 6)}
	case "month":
		s = months(t.Year(), t.Month()+time.Month(shift), 1)
	case "quarter":
		s = months(t.Year(), (t.Month()-1)/3*3+1+time.Month(3*shift), 3)
	case "year":
		s = months(t.Year()+shift, 1, 12)
	default:
		return span{}, 0
	}
	return s, 2
}

// calendarUnit is a unit of the calendar as it is called in full.
func calendarUnit(w string) string {
	w = strings.TrimSuffix(w, "s")
	if full := shortUnits[w]; full != "" {
		return full
	}
	return w
}

var shortUnits = map[string]string{"d": "day", "dy": "day", "wk": "week", "mo": "month", "mth": "month", "mnth": "month", "yr": "year", "qtr": "quarter"}

// firstYear bounds how far back a question may count: no printout is older.
const firstYear = 1970

// back is the day so many units before today.
func (d *dates) back(n int, unit string) (time.Time, bool) {
	var t time.Time
	switch calendarUnit(unit) {
	case "day":
		t = d.today.AddDate(0, 0, -n)
	case "week":
		t = d.today.AddDate(0, 0, -7*n)
	case "month":
		t = addMonths(d.today, -n)
	case "quarter":
		t = addMonths(d.today, -3*n)
	case "year":
		t = addMonths(d.today, -12*n)
	}
	return t, t.Year() >= firstYear
}

// addMonths keeps to the month: a month before 31 March is 28 February.
func addMonths(t time.Time, n int) time.Time {
	first := day(t.Year(), t.Month()+time.Month(n), 1)
	last := first.AddDate(0, 1, -1).Day()
	return first.AddDate(0, 0, min(t.Day(), last)-1)
}
