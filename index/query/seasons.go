package query

import (
	"fmt"
	"regexp"
	"time"
)

// seasons are the months in which they begin; each has three, as the weather
// services count them.
var seasons = map[string]time.Month{"spring": time.March, "summer": time.June, "fall": time.September, "autumn": time.September, "winter": time.December}

var winterForm = regexp.MustCompile(`^(20\d\d)[-/](?:20)?(\d\d)$`)

// season reads "last winter", "this summer", "autumn 2024" and "winter 2024/25".
func (d *dates) season(w []string, loose bool) (span, int) {
	n, lead := 0, ""
	if len(w) > 1 && (w[0] == "last" || w[0] == "this" || w[0] == "past" || w[0] == "previous" || w[0] == "the") {
		lead, n = w[0], 1
	}
	first, ok := seasons[w[n]]
	if !ok || lead == "" && !loose && !(len(w) > 1 && yearForm.MatchString(w[1])) {
		return span{}, 0
	}
	name := w[n]
	n++
	at := n
	if at < len(w) && w[at] == "of" {
		at++
	}
	if at < len(w) && yearForm.MatchString(w[at]) {
		y := atoi(w[at])
		if first != time.December {
			return months(y, first, 3), at + 1
		}
		s, other := months(y-1, first, 3), months(y, first, 3)
		d.assume("winter %d is taken to be the one that ends in %d", y, y)
		d.otherwise(fmt.Sprintf("the winter that begins in %d", y), s, other)
		return s, at + 1
	}
	if at < len(w) {
		if m := winterForm.FindStringSubmatch(w[at]); m != nil && first == time.December && (atoi(m[1])+1)%100 == atoi(m[2]) {
			return months(atoi(m[1]), first, 3), at + 1
		}
	}
	s := months(d.today.Year(), first, 3)
	for s.from.After(d.today) || lead != "this" && !s.to.Before(d.today) {
		s = months(s.from.Year()-1, first, 3)
	}
	d.assume("%s is taken to be %s to %s", name, s.from.Format(isoDate), s.to.Format(isoDate))
	return s, n
}

// otherwise notes another reading of a period: its ends stand in place of those
// that were taken.
func (d *dates) otherwise(say string, taken, other span) {
	d.alts = append(d.alts, alternative{say, func(q *Query) { replaceEnds(q, taken, other) }})
}

// replaceEnds puts one period in place of another, however far a clause is open
// or begins the day after.
func replaceEnds(q *Query, taken, other span) {
	move := func(at string) string {
		for _, m := range [][2]time.Time{
			{taken.from, other.from}, {taken.to, other.to},
			{taken.to.AddDate(0, 0, 1), other.to.AddDate(0, 0, 1)}, {taken.from.AddDate(0, 0, -1), other.from.AddDate(0, 0, -1)},
		} {
			if at == m[0].Format(isoDate) {
				return m[1].Format(isoDate)
			}
		}
		return at
	}
	if q.From != "" && q.From == q.To && taken.from.Equal(taken.to) {
		q.From, q.To = other.from.Format(isoDate), other.to.Format(isoDate)
		return
	}
	if q.From != "" {
		q.From = move(q.From)
	}
	if q.To != "" {
		q.To = move(q.To)
	}
}
