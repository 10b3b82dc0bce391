package query

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"tankroll/record"
)

// fiscalForm is FY24, FY2024 and FY'24.
var fiscalForm = regexp.MustCompile(`^fy(?:20)?(\d\d)$`)

// fiscalYear reads "FY24", "FY 2024", "fiscal year 2024" and "fiscal 24": a year's last
// two figures, 0 when there is none.
func fiscalYear(w []string) (y, n int) {
	if len(w) > 0 && has([]string{"of", "in", "for"}, w[0]) {
		w, n = w[1:], 1
	}
	if len(w) > 0 && w[0] == "the" {
		w, n = w[1:], n+1
	}
	if len(w) == 0 {
		return 0, 0
	}
	if m := fiscalForm.FindStringSubmatch(w[0]); m != nil {
		return 2000 + atoi(m[1]), n + 1
	}
	for _, s := range []string{"fiscal year", "fiscal", "fy", "financial year"} {
		k := strings.Count(s, " ") + 1
		if len(w) <= k || strings.Join(w[:k], " ") != s {
			continue
		}
		if yearForm.MatchString(w[k]) {
			return atoi(w[k]), n + k + 1
		}
		if dayForm.MatchString(w[k]) && len(w[k]) == 2 {
			return 2000 + atoi(w[k]), n + k + 1
		}
	}
	return 0, 0
}

// fiscal reads a fiscal year and its quarters. Whose year it is no printout says: it is
// taken for the calendar's, and the federal one, which begins in October before, is the
// other reading.
func (d *dates) fiscal(w []string, _ bool) (span, int) {
	k, n := 0, 0
	if m := quarter.FindStringSubmatch(w[0]); m != nil {
		k, n = atoi(m[1]), 1
	} else if o, ok := ordinals[w[0]]; ok && len(w) > 2 && w[1] == "quarter" {
		k, n = o, 2
	} else if w[0] == "last" && len(w) > 2 && w[1] == "quarter" {
		k, n = 4, 2
	}
	y, used := fiscalYear(w[n:])
	if used == 0 && k == 0 && len(w) > 2 && (w[0] == "last" || w[0] == "this") && w[1] == "fiscal" && w[2] == "year" {
		y, used = d.today.Year()-map[string]int{"last": 1}[w[0]], 3
	}
	if used == 0 {
		return span{}, 0
	}
	s, federal, name := months(y, 1, 12), months(y-1, time.October, 12), fmt.Sprintf("fiscal year %d", y)
	if k > 0 {
		s, federal = months(y, time.Month(3*k-2), 3), months(y-1, time.October+time.Month(3*k-3), 3)
		name = fmt.Sprintf("quarter %d of fiscal year %d", k, y)
	}
	d.assume("%s is taken to be %s to %s", name, s.from.Format(isoDate), s.to.Format(isoDate))
	d.otherwise(fmt.Sprintf("%s by a year that begins in October", name), s, federal)
	return s, n + used
}

// weekEnding reads "week ending May 18" and "the week through 5/18": the seven days up
// to it.
func (d *dates) weekEnding(w []string, _ bool) (span, int) {
	n := 0
	for n < 2 && n < len(w) && (w[n] == "the" || w[n] == "a" || w[n] == "one") {
		n++
	}
	if n+2 >= len(w) || w[n] != "week" || !has([]string{"ending", "ended", "through", "to", "until"}, w[n+1]) {
		return span{}, 0
	}
	n += 2
	if n+1 < len(w) && w[n] == "on" {
		n++
	}
	day, used := d.span(w[n:], true)
	if used == 0 || !day.from.Equal(day.to) {
		return span{}, 0
	}
	return span{day.to.AddDate(0, 0, -6), day.to}, n + used
}

// standing are the kinds that say how things stand on a day.
var standing = map[record.Kind]bool{record.Inventory: true, record.SensorStatus: true, record.Reconciliation: true}

// asOfDate reads "as of June 1": the last day that counts.
func (p *parser) asOfDate(i int) int {
	if p.from(i, 2) != "as of" && p.from(i, 2) != "as at" || i+2 >= len(p.w) || p.t[i+2].quoted {
		return 0
	}
	n := 2
	if p.w[i+n] == "the" && i+n+1 < len(p.w) {
		n++
	}
	d := p.dates
	s, used := d.span(p.w[i+n:], true)
	if used == 0 {
		return 0
	}
	p.dates = d
	p.asOfDay = s
	return n + used
}

// settleAsOf puts the last day that counts into the range: of stock that day itself.
func (p *parser) settleAsOf() {
	if p.asOfDay.to.IsZero() {
		return
	}
	q, to := &p.q, p.asOfDay.to.Format(isoDate)
	switch {
	case standing[q.Kind] && !p.superl && q.Missing == "" && q.From+q.To == "":
		q.From, q.To = p.asOfDay.from.Format(isoDate), to
		p.assume("as of is taken to ask for that day")
		p.alternative("the newest up to "+to, func(q *Query) { q.From, q.Limit, q.Order = "", 1, Latest })
	case q.To == "" || q.To > to:
		q.To = to
		p.assume("as of is taken to ask for what there was up to " + to)
	}
}
