package query

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tankroll/parse/lexicon"
)

// span is a run of days, both included; its zero ends are open.
type span struct{ from, to time.Time }

const isoDate = "2006-01-02"

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func months(y int, m time.Month, n int) span {
	from := day(y, m, 1)
	return span{from, from.AddDate(0, n, -1)}
}

func oneDay(t time.Time) span { return span{t, t} }

var (
	isoForm    = regexp.MustCompile(`^(\d{4})[-/](\d{1,2})(?:[-/](\d{1,2}))?$`)
	figureForm = regexp.MustCompile(`^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})$`)
	shortForm  = regexp.MustCompile(`^(\d{1,2})/(\d{1,2})$`)
	yearForm   = regexp.MustCompile(`^(?:19|20)\d\d$`)
	dayForm    = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?$`)
	quarter    = regexp.MustCompile(`^q([1-4])$`)
)

// dates reads time expressions. All its methods take the rest of the words and
// return how many they used, 0 when there is no such expression.
type dates struct {
	today   time.Time
	lex     *lexicon.Lexicon
	assumed []string
	alts    []alternative
}

// span reads a date or a period: "2025-03-14", "March 2025", "last month".
// loose also takes what is one only after a preposition, such as "2025".
func (d *dates) span(w []string, loose bool) (span, int) {
	for _, f := range []func([]string, bool) (span, int){d.weekEnding, d.fiscal, d.partOf, d.dayRange, d.firstOf, d.third, d.floating, d.weekend, d.holiday, d.lastMonthName, d.season, d.relative, d.quarter, d.figures, d.monthName, d.weekday, d.year} {
		if s, n := f(w, loose); n > 0 {
			return s, n
		}
	}
	return span{}, 0
}

func (d *dates) figures(w []string, loose bool) (span, int) {
	if m := isoForm.FindStringSubmatch(w[0]); m != nil && atoi(m[1]) >= firstYear {
		y, mo := atoi(m[1]), atoi(m[2])
		if m[3] == "" {
			if mo >= 1 && mo <= 12 {
				return months(y, time.Month(mo), 1), 1
			}
			return span{}, 0
		}
		return valid(y, mo, atoi(m[3]))
	}
	if m := monthYear.FindStringSubmatch(w[0]); m != nil { // 5/2025
		return months(atoi(m[2]), time.Month(atoi(m[1])), 1), 1
	}
	if m := figureForm.FindStringSubmatch(w[0]); m != nil {
		a, b, y := atoi(m[1]), atoi(m[2]), atoi(m[3])
		if y < 100 {
			y += 2000
			if y > d.today.Year()+1 {
				y -= 100
			}
		}
		if a > 12 {
			return valid(y, b, a) // only day first makes a date
		}
		s, n := valid(y, a, b)
		if n > 0 && b <= 12 && a != b {
			d.monthFirst(w[0], s, y, b, a)
		}
		return s, n
	}
	if m := shortForm.FindStringSubmatch(w[0]); m != nil && (loose || !has([]string{"1/2", "1/3", "2/3", "1/4", "3/4"}, w[0])) {
		s, n := valid(d.today.Year(), atoi(m[1]), atoi(m[2]))
		if n > 0 && s.from.After(d.today) {
			s, n = valid(d.today.Year()-1, atoi(m[1]), atoi(m[2]))
		}
		if n > 0 {
			d.monthFirst(w[0], s, s.from.Year(), atoi(m[2]), atoi(m[1]))
		}
		return s, n
	}
	return span{}, 0
}

// monthFirst says how figures were read that could be read the other way round.
func (d *dates) monthFirst(text string, s span, y, m, dd int) {
	d.assume("%s is read month first, as %s", text, s.from.Format(isoDate))
	if other, n := valid(y, m, dd); n > 0 && other != s {
		d.otherwise(text+" read day first, as "+other.from.Format(isoDate), s, other)
	}
}

func valid(y, m, dd int) (span, int) {
	if y < firstYear {
		return span{}, 0
	}
	t := day(y, time.Month(m), dd)
	if t.Year() != y || int(t.Month()) != m || t.Day() != dd {
		return span{}, 0
	}
	return oneDay(t), 1
}

// monthName reads "March", "March 2025", "March 14", "March 14, 2025", "14
// March 2025" and "14th of March".
func (d *dates) monthName(w []string, loose bool) (s span, used int) {
	m, n, dd := d.month(w[0]), 1, 0
	if m == 0 {
		md := dayForm.FindStringSubmatch(w[0])
		if md == nil {
			return span{}, 0
		}
		dd = atoi(md[1])
		if n < len(w) && w[n] == "of" {
			n++
		}
		if n >= len(w) || d.month(w[n]) == 0 {
			return span{}, 0
		}
		m = d.month(w[n])
		n++
	} else if n < len(w) {
		if md := dayForm.FindStringSubmatch(w[n]); md != nil && atoi(md[1]) >= 1 && atoi(md[1]) <= 31 {
			dd = atoi(md[1])
			n++
		}
	}
	if m == time.May && dd == 0 && !loose && (n >= len(w) || !yearForm.MatchString(w[n])) {
		return span{}, 0 // "may" alone is a verb
	}
	y := 0
	if k := n; k < len(w) {
		if w[k] == "of" && k+1 < len(w) {
			k++
		}
		if yearForm.MatchString(w[k]) {
			y, n = atoi(w[k]), k+1
		}
	}
	guessed := y == 0
	if short := 2000 + dd; guessed && dd > 0 && len(w[n-1]) == 2 && d.month(w[n-2]) != 0 && short <= d.today.Year() && short > d.today.Year()-15 { // Jan 25
		defer func() {
			if used > 0 {
				d.otherwise(fmt.Sprintf("%s %d", m, short), s, months(short, m, 1))
			}
		}()
	}
	if guessed {
		if y = d.today.Year(); day(y, m, max(dd, 1)).After(d.today) {
			y--
		}
	}
	s = months(y, m, 1)
	if dd > 0 {
		var ok int
		if s, ok = valid(y, int(m), dd); ok == 0 {
			return span{}, 0
		}
	}
	if guessed {
		d.assume("%s is taken to be that of %d", m, y)
	}
	return s, n
}

func (d *dates) month(w string) time.Month {
	for code, spellings := range d.lex.Terms(lexicon.Month) {
		for _, s := range spellings {
			if s == strings.TrimSuffix(w, ".") {
				return time.Month(atoi(code))
			}
		}
	}
	return 0
}

var weekdays = map[string]time.Weekday{"monday": 1, "tuesday": 2, "wednesday": 3, "thursday": 4, "friday": 5, "saturday": 6, "sunday": 0}

var shortDays = map[string]string{"mon": "monday", "tue": "tuesday", "tues": "tuesday", "wed": "wednesday", "weds": "wednesday", "thu": "thursday", "thur": "thursday",
	"thurs": "thursday", "fri": "friday", "sat": "saturday", "sun": "sunday"}

// weekday reads "Monday" and "last Monday" as the newest one before today.
func (d *dates) weekday(w []string, loose bool) (span, int) {
	n := 0
	if w[0] == "last" && len(w) > 1 {
		n = 1
	}
	wd, ok := weekdays[w[n]]
	if short, known := shortDays[w[n]]; known && (loose || n == 1 || len(w[n]) > 3) {
		wd, ok = weekdays[short], true
	}
	if !ok {
		return span{}, 0
	}
	back := (int(d.today.Weekday()-wd)+6)%7 + 1
	s := oneDay(d.today.AddDate(0, 0, -back))
	if n == 1 && back < int(d.today.Weekday()+6)%7+1 { // "last Friday", said in the same week
		d.otherwise("the "+w[n]+" of the week before", s, oneDay(s.from.AddDate(0, 0, -7)))
	}
	return s, n + 1
}

func (d *dates) year(w []string, loose bool) (span, int) {
	y := atoi(w[0])
	if !loose || !yearForm.MatchString(w[0]) || y > d.today.Year()+1 {
		return span{}, 0
	}
	return months(y, 1, 12), 1
}

// quarter reads "Q1 2025", "first quarter of 2025" and "second quarter".
func (d *dates) quarter(w []string, _ bool) (span, int) {
	k, n := 0, 0
	if m := quarter.FindStringSubmatch(w[0]); m != nil {
		k, n = atoi(m[1]), 1
	} else if o, ok := ordinals[w[0]]; ok && len(w) > 1 && w[1] == "quarter" {
		k, n = o, 2
	} else if (w[0] == "last" || w[0] == "final") && len(w) > 3 && w[1] == "quarter" && w[2] == "of" && yearForm.MatchString(w[3]) {
		k, n = 4, 2
	} else {
		return span{}, 0
	}
	y := d.today.Year()
	at := n
	if at < len(w) && w[at] == "of" {
		at++
	}
	if at < len(w) && yearForm.MatchString(w[at]) {
		return months(atoi(w[at]), time.Month(3*k-2), 3), at + 1
	}
	if y := d.today.Year() % 100; at < len(w) && len(w[at]) == 2 && atoi(w[at]) > y-15 && atoi(w[at]) <= y { // q2 24
		return months(2000+atoi(w[at]), time.Month(3*k-2), 3), at + 1
	}
	if day(y, time.Month(3*k-2), 1).After(d.today) {
		y--
	}
	d.assume("quarter %d is taken to be that of %d", k, y)
	return months(y, time.Month(3*k-2), 3), n
}

// maxCount bounds numbers in questions, so that dates stay dates.
const maxCount = 10000

// count reads a number in figures or words, "a" being one.
func count(w []string) (n, used int) {
	if len(w) == 0 {
		return 0, 0
	}
	if w[0] == "a" || w[0] == "an" {
		if len(w) > 1 && numerals[w[1]] > 1 { // a dozen, a couple
			n, used = count(w[1:])
			return n, used + 1
		}
		return 1, 1
	}
	if n, ok := numerals[w[0]]; ok {
		if w[0] == "couple" && len(w) > 1 && w[1] == "of" {
			return n, 2
		}
		return n, 1
	}
	n, err := strconv.Atoi(w[0])
	if err != nil || n < 1 || n > maxCount {
		return 0, 0
	}
	return n, 1
}

func (d *dates) assume(format string, args ...any) {
	d.assumed = append(d.assumed, fmt.Sprintf(format, args...))
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0
	}
	return n
}
