package query

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// firstOf reads "first of the year", "the 1st of this month" and "beginning of last
// year" where a question counts from it: a day.
func (d *dates) firstOf(w []string, _ bool) (span, int) {
	n := 0
	if w[0] == "the" {
		n = 1
	}
	if n+2 < len(w) && ordinals[w[n]] > 0 && w[n+1] == "of" && d.month(w[n+2]) != 0 { // the first of June
		if s, used := d.monthName(append([]string{strconv.Itoa(ordinals[w[n]])}, w[n+1:]...), true); used > 0 {
			return s, n + used
		}
	}
	if n+3 >= len(w) || ordinals[w[n]] != 1 || w[n+1] != "of" {
		return span{}, 0
	}
	shift := map[string]int{"the": 0, "this": 0, "last": -1}
	by, ok := shift[w[n+2]]
	s, used := d.around(w[n+3], by)
	if !ok || used == 0 {
		return span{}, 0
	}
	return oneDay(s.from), n + 4
}

var dayDash = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?[-–](\d{1,2})(?:st|nd|rd|th)?$`)

// dayRange reads days of one month: "20 to 31 December 2024", "May 3-9" and "the 3rd
// through the 9th of May".
func (d *dates) dayRange(w []string, _ bool) (span, int) {
	n, mo := 0, ""
	skip := func(words ...string) {
		if n < len(w) && has(words, w[n]) {
			n++
		}
	}
	skip("the")
	if n < len(w) && d.month(w[n]) != 0 {
		mo = w[n]
		n++
		skip("the")
	}
	if n >= len(w) {
		return span{}, 0
	}
	a, b := "", ""
	if m := dayDash.FindStringSubmatch(w[n]); m != nil {
		a, b = m[1], m[2]
		n++
	} else if m := dayForm.FindStringSubmatch(w[n]); m != nil && n+2 < len(w) && has([]string{"to", "through", "thru", "until", "till", "and"}, w[n+1]) {
		a = m[1]
		and := w[n+1] == "and"
		n += 2
		skip("the")
		if n >= len(w) {
			return span{}, 0
		}
		if m = dayForm.FindStringSubmatch(w[n]); m == nil || and && mo != "" {
			return span{}, 0
		}
		b = m[1]
		n++
	} else {
		return span{}, 0
	}
	if mo == "" {
		skip("of")
		if n >= len(w) || d.month(w[n]) == 0 {
			return span{}, 0
		}
		mo = w[n]
		n++
	} else if n < len(w) && d.month(w[n]) != 0 { // May 3 to 9 June
		return span{}, 0
	}
	last := []string{b, mo}
	if n < len(w) && yearForm.MatchString(w[n]) {
		last = append(last, w[n])
		n++
	}
	from, k := d.monthName(append([]string{a}, last[1:]...), true)
	to, k2 := d.monthName(last, true)
	if k == 0 || k2 == 0 || to.to.Before(from.from) {
		return span{}, 0
	}
	return span{from.from, to.to}, n
}

// third reads "early May", "mid-March 2024" and "late last year".
func (d *dates) third(w []string, _ bool) (span, int) {
	part, n := w[0], 1
	rest := w[1:]
	if name, ok := strings.CutPrefix(part, "mid-"); ok {
		part, rest, n = "mid", append([]string{name}, rest...), 0
	}
	k, ok := map[string]int{"early": 0, "mid": 1, "middle": 1, "late": 2}[part]
	if !ok || len(rest) == 0 {
		return span{}, 0
	}
	if rest[0] == "of" || rest[0] == "in" {
		rest, n = rest[1:], n+1
	}
	if len(rest) == 0 {
		return span{}, 0
	}
	whole, used := d.span(rest, true)
	if used == 0 || whole.from.Equal(whole.to) {
		return span{}, 0
	}
	days := int(whole.to.Sub(whole.from).Hours()/24) + 1
	s := span{whole.from.AddDate(0, 0, k*(days/3)), whole.from.AddDate(0, 0, (k+1)*(days/3)-1)}
	if k == 2 {
		s.to = whole.to
	}
	d.assume("%s is taken to be %s to %s", part, s.from.Format(isoDate), s.to.Format(isoDate))
	return s, n + used
}

// floats are the holidays on a weekday of a month: the n-th, or the last for 0.
var floats = map[string]struct {
	month time.Month
	day   time.Weekday
	n     int
}{"memorial day": {time.May, time.Monday, 0}, "labor day": {time.September, time.Monday, 1}, "labour day": {time.September, time.Monday, 1},
	"thanksgiving day": {time.November, time.Thursday, 4}, "thanksgiving": {time.November, time.Thursday, 4}, "presidents day": {time.February, time.Monday, 3},
	"columbus day": {time.October, time.Monday, 2}, "mothers day": {time.May, time.Sunday, 2}, "fathers day": {time.June, time.Sunday, 3},
	"mlk day": {time.January, time.Monday, 3}, "easter": {}, "easter sunday": {}}

// floating reads "Memorial Day", "Thanksgiving 2024" and "Easter weekend": the newest
// one up to today.
func (d *dates) floating(w []string, _ bool) (span, int) {
	n := 0
	if len(w) > 1 && (w[0] == "last" || w[0] == "this" || w[0] == "past") {
		n = 1
	}
	for k := min(2, len(w)-n); k > 0; k-- {
		name := strings.Join(w[n:n+k], " ")
		f, ok := floats[name]
		if !ok {
			continue
		}
		n += k
		on := func(y int) time.Time {
			if f.month == 0 {
				return easter(y)
			}
			first := day(y, f.month, 1)
			t := first.AddDate(0, 0, int(f.day-first.Weekday()+7)%7+7*(f.n-1))
			if f.n == 0 {
				for t = t.AddDate(0, 0, 7); t.AddDate(0, 0, 7).Month() == f.month; t = t.AddDate(0, 0, 7) {
				}
			}
			return t
		}
		t := on(d.today.Year())
		if t.After(d.today) {
			t = on(d.today.Year() - 1)
		}
		if n < len(w) {
			if named, k := d.span(w[n:], true); k > 0 && named.from.Equal(named.to) { // Easter, 20 April: the date says which
				return span{}, 0
			}
		}
		weekend := n < len(w) && (w[n] == "weekend" || w[n] == "week")
		if weekend {
			n++
		}
		if n < len(w) && yearForm.MatchString(w[n]) {
			t = on(atoi(w[n]))
			n++
		}
		s := oneDay(t)
		if weekend { // with the days off beside it
			switch t.Weekday() {
			case time.Monday:
				s.from = t.AddDate(0, 0, -2)
			case time.Thursday:
				s.to = t.AddDate(0, 0, 3)
			default:
				s.from, s.to = t.AddDate(0, 0, -int(t.Weekday()+1)%7), t.AddDate(0, 0, int(7-t.Weekday())%7)
			}
		}
		d.assume("%s is taken to be %s", name, s.from.Format(isoDate))
		return s, n
	}
	return span{}, 0
}

// easter is the Sunday after the full moon of spring, by the Gregorian calendar.
func easter(y int) time.Time {
	a, b, c := y%19, y/100, y%100
	h := (19*a + b - b/4 - (b-(b+8)/25+1)/3 + 15) % 30
	l := (32 + 2*(b%4) + 2*(c/4) - h - c%4) % 7
	m := (a + 11*h + 22*l) / 451
	return day(y, time.Month((h+l-7*m+114)/31), (h+l-7*m+114)%31+1)
}

// weekend reads "last weekend", "this past weekend" and "over the weekend": the
// newest that has begun.
func (d *dates) weekend(w []string, _ bool) (span, int) {
	n := 0
	for n < 2 && n < len(w) && (w[n] == "last" || w[n] == "this" || w[n] == "past" || w[n] == "the") {
		n++
	}
	if n >= len(w) || w[n] != "weekend" {
		return span{}, 0
	}
	back := int(d.today.Weekday()+1) % 7
	saturday := d.today.AddDate(0, 0, -back)
	return span{saturday, saturday.AddDate(0, 0, 1)}, n + 1
}
