package query

import "time"

// partOf reads "first week of June 2025", "second half of 2024", "start of May"
// and "end of last month".
func (d *dates) partOf(w []string, loose bool) (span, int) {
	n := 0
	if w[0] == "the" {
		n = 1
	}
	if n >= len(w) {
		return span{}, 0
	}
	k, last := ordinals[w[n]], w[n] == "last"
	unit := ""
	if w[n] == "week" && n+2 < len(w) && w[n+1] == "of" && w[n+2] != "the" { // the week of May 12: from Monday on
		s, used := d.span(w[n+2:], true)
		if used == 0 || !s.from.Equal(s.to) {
			return span{}, 0
		}
		from := s.from.AddDate(0, 0, -(int(s.from.Weekday())+6)%7)
		return span{from, from.AddDate(0, 0, 6)}, n + 2 + used
	}
	if s, used := d.daysOf(w[n:]); used > 0 {
		return s, n + used
	}
	switch {
	case (k > 0 || last) && n+1 < len(w) && (w[n+1] == "week" || w[n+1] == "half"):
		unit = w[n+1]
		n += 2
	case w[n] == "start" || w[n] == "beginning" || w[n] == "end":
		k, last, unit = 1, w[n] == "end", "week"
		n++
	default:
		return span{}, 0
	}
	switch {
	case n < len(w) && yearForm.MatchString(w[n]) && unit != "" && w[n-1] == unit: // second half 2024
	case n+1 >= len(w) || w[n] != "of" && w[n] != "in":
		return span{}, 0
	default:
		n++
	}
	if w[n] == "the" && n+1 < len(w) {
		n++
	}
	whole, used := d.span(w[n:], true)
	if used == 0 || whole.from.Equal(whole.to) {
		return span{}, 0
	}
	n += used
	days := int(whole.to.Sub(whole.from).Hours()/24) + 1
	if unit == "week" {
		switch s := (span{whole.from.AddDate(0, 0, 7*k-7), whole.from.AddDate(0, 0, 7*k-1)}); {
		case last:
			return span{whole.to.AddDate(0, 0, -6), whole.to}, n
		case s.from.After(whole.to):
			return span{}, 0
		default:
			return s, n
		}
	}
	middle := whole.from.AddDate(0, 0, days/2)
	if days > 31 { // a year's or a quarter's halves are of whole months
		middle = addMonths(whole.from, (int(whole.to.Month())-int(whole.from.Month())+1)/2)
	}
	if last || k == 2 {
		return span{middle, whole.to}, n
	}
	return span{whole.from, middle.AddDate(0, 0, -1)}, n
}

// daysOf reads "first ten days of May" and "last 5 days of 2024".
func (d *dates) daysOf(w []string) (span, int) {
	if len(w) < 5 || w[0] != "first" && w[0] != "last" {
		return span{}, 0
	}
	c, used := count(w[1:])
	at := 1 + used
	if used == 0 || at+2 >= len(w) || !has([]string{"day", "days"}, w[at]) || w[at+1] != "of" && w[at+1] != "in" {
		return span{}, 0
	}
	at += 2
	if w[at] == "the" && at+1 < len(w) {
		at++
	}
	whole, more := d.span(w[at:], true)
	if more == 0 || c > int(whole.to.Sub(whole.from).Hours()/24)+1 {
		return span{}, 0
	}
	if w[0] == "last" {
		return span{whole.to.AddDate(0, 0, 1-c), whole.to}, at + more
	}
	return span{whole.from, whole.from.AddDate(0, 0, c-1)}, at + more
}

// holidays are the days of the year that questions name.
var holidays = map[string]struct {
	month time.Month
	day   int
}{"christmas eve": {time.December, 24}, "xmas eve": {time.December, 24}, "christmas day": {time.December, 25}, "new years eve": {time.December, 31}, "boxing day": {time.December, 26}, "veterans day": {time.November, 11}, "valentines day": {time.February, 14}, "valentines": {time.February, 14}, "st patricks day": {time.March, 17}, "juneteenth": {time.June, 19}, "the fourth": {time.July, 4}, "4th of july": {time.July, 4}, "christmas": {time.December, 25}, "xmas": {time.December, 25}, "halloween": {time.October, 31}, "new year": {time.January, 1}, "new years": {time.January, 1},
	"new years day": {time.January, 1}, "independence day": {time.July, 4}, "july fourth": {time.July, 4}, "fourth of july": {time.July, 4}}

// holiday reads "christmas", "last christmas" and "christmas 2024": the newest
// one up to today.
func (d *dates) holiday(w []string, _ bool) (span, int) {
	n := 0
	if len(w) > 1 && (w[0] == "last" || w[0] == "this") {
		n = 1
	}
	for k := min(3, len(w)-n); k > 0; k-- {
		name := w[n]
		for _, x := range w[n+1 : n+k] {
			name += " " + x
		}
		h, ok := holidays[name]
		if !ok {
			continue
		}
		n += k
		if n < len(w) && yearForm.MatchString(w[n]) {
			return oneDay(day(atoi(w[n]), h.month, h.day)), n + 1
		}
		t := day(d.today.Year(), h.month, h.day)
		if t.After(d.today) {
			t = t.AddDate(-1, 0, 0)
		}
		return oneDay(t), n
	}
	return span{}, 0
}
