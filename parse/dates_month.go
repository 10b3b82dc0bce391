package parse

import "tankroll/parse/value"

// beginsTime reports whether a word stands before the first day of a time: FROM 03/01/88.
func beginsTime(t token) bool {
	return t.norm == "from" || t.norm == "period" || t.norm == "since" || t.norm == "month"
}

// wholeMonths reports whether a date stands behind the word for the beginning of a time and all
// dates of the slip are, in an order, the first or last day of a month, two months at least: an
// account of a month, whose days an other order would bring closer together.
func (d *doc) wholeMonths(seen []seenDate, o value.Order) bool {
	from := false
	months := map[int]bool{}
	for _, s := range seen {
		day, ok := s.date.In(o, d.now)
		if !ok || !s.date.HasYear() {
			return false
		}
		if next := day.Time().AddDate(0, 0, 1); day.Day != 1 && next.Day() != 1 {
			return false
		}
		from = from || s.from
		months[day.Month] = true
	}
	return from && len(months) > 1
}
