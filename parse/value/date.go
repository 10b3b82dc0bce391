package value

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Order is the order in which a slip writes the parts of a date.
type Order int

// The orders. A slip keeps to one.
const (
	NoOrder Order = iota
	MDY           // 03/14/2025
	DMY           // 14/03/2025
	YMD           // 2025-03-14, also with a year of two digits
)

// Orders lists the orders that a date in figures may have.
func Orders() []Order { return []Order{MDY, DMY, YMD} }

// Date is a date as printed. In figures its parts are known only once the
// order is; with the month in letters, or the year in four figures first, it
// stands by itself.
type Date struct {
	Parts  [3]int // in printed order; Parts[2] is 0 without a year
	Digits [3]int // how many digits each was printed with
	Known  Order  // the order, when the date itself shows it
	Fixed  int    // characters put right
	Months string // the month as printed in letters, "" in figures
	Cost   float64
}

// HasYear reports whether a year was printed.
func (d Date) HasYear() bool { return d.Digits[2] > 0 }

// yearBehind gives a date the year that stands apart from it, when the word is one and the
// date has none.
func (d *Date) yearBehind(word string) bool {
	y, err := strconv.Atoi(word)
	if d.HasYear() || len(word) != 4 || err != nil || y < firstYear || y > lastYear {
		return false
	}
	d.Parts[2], d.Digits[2] = y, 4
	return true
}

// Day is a calendar day.
type Day struct{ Year, Month, Day int }

// Time is the day's midnight in UTC.
func (d Day) Time() time.Time {
	return time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
}

// String writes 2006-01-02.
func (d Day) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// After reports whether a day is later than another.
func (d Day) After(o Day) bool {
	if d.Year != o.Year {
		return d.Year > o.Year
	}
	return d.Month > o.Month || d.Month == o.Month && d.Day > o.Day
}

// The years that a slip may carry: consoles with printers are older than this
// program, but no printout outlives its paper by so much, and none is from the
// future.
const (
	firstYear = 1985
	lastYear  = 2079 // a year in two figures up to 79 is 20xx
)

// In reads the date in an order; a date that shows its own order keeps it. It
// is not ok when no such day exists. Without a year, Year is that of the day
// given by near, or the year before when that would be after near.
func (d Date) In(o Order, near Day) (Day, bool) {
	if d.Known != NoOrder {
		o = d.Known
	}
	y, m, day := 2, 0, 1
	switch o {
	case DMY:
		y, m, day = 2, 1, 0
	case YMD:
		y, m, day = 0, 1, 2
	}
	if !d.HasYear() {
		if o == YMD {
			m, day = 0, 1
		}
		return d.withoutYear(d.Parts[m], d.Parts[day], near)
	}
	if d.Digits[m] > 2 || d.Digits[day] > 2 || d.Digits[y] != 2 && d.Digits[y] != 4 {
		return Day{}, false
	}
	return exists(Day{fullYear(d.Parts[y], d.Digits[y]), d.Parts[m], d.Parts[day]})
}

func (d Date) withoutYear(m, day int, near Day) (Day, bool) {
	if near.Year == 0 {
		return Day{}, false
	}
	got := Day{near.Year, m, day}
	if got.After(near) {
		got.Year--
	}
	return exists(got)
}

func fullYear(y, digits int) int {
	switch {
	case digits == 4:
		return y
	case y > lastYear-2000:
		return 1900 + y
	}
	return 2000 + y
}

func exists(d Day) (Day, bool) {
	t := d.Time()
	ok := d.Month >= 1 && d.Month <= 12 && d.Day >= 1 && t.Day() == d.Day && d.Year >= firstYear && d.Year <= lastYear
	return d, ok
}

// MonthNamer finds a month by its name, "3" for mar; cost 0 is exact.
type MonthNamer func(word string) (month string, cost float64, ok bool)

// piece is a run of figures or letters of a date.
type piece struct {
	text  string
	sep   byte // the separator before it, 0 for none
	month int
	cost  float64
}

// maxDateWords bounds how many words a date may have: 14 . MAR . 2025
const maxDateWords = 4

// ParseDate reads a date at the beginning of the words: 03/14/2025 14.03.25
// 2025-03-14 14-MAR-2025 14 MAR 2025 MAR 14, 2025 14MAR25 03/14. It returns how
// many words it took, 0 when there is no date.
func ParseDate(words []string, months MonthNamer) (Date, int) {
	words, little := withoutLittle(words)
	words = words[:min(len(words), maxDateWords)]
	if !slices.ContainsFunc(words, hasDigit) || otherWord(words[0], months) {
		return Date{}, 0
	}
	var best Date
	used := 0
	text := strings.Join(words, " ")
	for n := len(words); n > 0; n-- {
		if n < len(words) {
			text = text[:len(text)-len(words[n])-1] // a word less
		}
		if len(text) > 24 || !hasDigit(text) || strings.Trim(words[n-1], "-/.,|@") == "" {
			continue
		}
		if d, ok := dateOf(text, months); ok {
			best, used = d, n+little
			break
		}
	}
	return best, used
}

// otherWord reports whether a word begins with letters that are no month: no date does.
func otherWord(w string, months MonthNamer) bool {
	n := strings.IndexAny(w, separators)
	if n < 0 {
		n = len(w)
	}
	if n < 3 || !allLetters(w[:n]) {
		return false
	}
	_, _, ok := months(w[:n])
	return !ok
}

// withoutLittle leaves the little words of the 20th of September out, and says how many.
func withoutLittle(words []string) ([]string, int) {
	i := 0
	if len(words) > 1 && strings.EqualFold(words[0], "the") {
		i = 1
	}
	if i >= len(words) || !ordinal(words[i]) {
		return words, 0
	}
	if i+1 < len(words) && strings.EqualFold(words[i+1], "of") {
		return append([]string{words[i]}, words[i+2:]...), i + 1
	}
	return words[i:], i
}

// ordinal reports whether a word is a day as in 20th.
func ordinal(w string) bool {
	n := len(w) - 2
	return n > 0 && n < 3 && w[0] >= '0' && w[0] <= '9' && strings.Contains(" st nd rd th ", " "+strings.ToLower(w[n:])+" ")
}

func dateOf(text string, months MonthNamer) (Date, bool) {
	var room [mostPieces + 3]piece
	pieces, ok := cut(room[:0], strings.Trim(text, ",.;:"))
	if !ok {
		return Date{}, false
	}
	named := -1
	for i := range pieces {
		p := &pieces[i]
		if !hasDigit(p.text) && len(p.text) >= 3 {
			m, cost, ok := months(p.text)
			if !ok || named >= 0 {
				return Date{}, false
			}
			p.month, _ = strconv.Atoi(m)
			p.cost = cost
			named = i
		}
	}
	if named >= 0 {
		return namedDate(pieces, named)
	}
	return figureDate(pieces)
}

func hasDigit(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= '0' && s[i] <= '9' {
			return true
		}
	}
	return false
}

// separators are the marks that part the pieces of a date.
const separators = "/-. ,'"

// mostPieces bounds the pieces of what may be a date.
const mostPieces = 4

// cut parts a date at its separators and where figures meet letters, behind out.
func cut(out []piece, text string) ([]piece, bool) {
	var sep byte
	for i := 0; i < len(text); {
		if strings.IndexByte(separators, text[i]) >= 0 {
			if sep == 0 || sep == ' ' {
				sep = text[i]
			}
			i++
			continue
		}
		j := i
		for j < len(text) && strings.IndexByte(separators, text[j]) < 0 {
			j++
		}
		for _, w := range lettersApart(text[i:j]) {
			if w != "" {
				out = append(out, piece{text: w, sep: sep})
				sep = 0
			}
		}
		i = j
		if len(out) > mostPieces {
			return nil, false
		}
	}
	return out, len(out) >= 1 && len(out) <= 3
}

// lettersApart cuts 14MAR2025 into its three parts and takes the ending off
// 14th; a word that is not of that form stays whole. Parts that are missing are empty.
func lettersApart(w string) [3]string {
	i := 0
	for i < len(w) && w[i] >= '0' && w[i] <= '9' {
		i++
	}
	j := len(w)
	for j > i && w[j-1] >= '0' && w[j-1] <= '9' {
		j--
	}
	mid := w[i:j]
	switch {
	case mid == "" || i == 0 && j == len(w):
		return [3]string{w}
	case i > 0 && j == len(w) && strings.Contains(" st nd rd th ", " "+strings.ToLower(mid)+" "):
		return [3]string{w[:i]}
	case len(mid) < 3 || len(mid) > 9 || !allLetters(mid):
		return [3]string{w}
	}
	return [3]string{w[:i], mid, w[j:]}
}

func allLetters(s string) bool {
	for _, r := range s {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z') {
			return false
		}
	}
	return true
}

// namedDate reads a date with its month in letters: 14 MAR 2025, MAR 14 2025,
// 2025 MAR 14, 14 MAR.
func namedDate(p []piece, at int) (Date, bool) {
	if len(p) < 2 {
		return Date{}, false
	}
	var d Date
	d.Months, d.Cost = p[at].text, p[at].cost
	for i, q := range p {
		if i == at {
			d.Parts[i], d.Digits[i] = q.month, 2
			continue
		}
		if !d.figure(i, q.text) {
			return Date{}, false
		}
	}
	switch {
	case len(p) == 2:
		d.Known = map[int]Order{0: MDY, 1: DMY}[at]
		if d.Digits[1-at] > 2 {
			return Date{}, false // MAR 2025 is no day
		}
	case at == 0:
		d.Known = MDY
	case at == 1 && d.Digits[0] == 4:
		d.Known = YMD
	case at == 1:
		d.Known = DMY
	default:
		return Date{}, false
	}
	_, ok := d.In(d.Known, Day{2024, 12, 31})
	return d, ok
}

// figure reads one part in figures.
func (d *Date) figure(i int, text string) bool {
	if len(text) == 0 || len(text) > 4 || len(text) == 3 {
		return false
	}
	v := 0
	for _, r := range text {
		c, fixed, ok := Digit(r)
		if !ok {
			return false
		}
		if fixed {
			d.Fixed++
		}
		v = v*10 + int(c-'0')
	}
	d.Parts[i], d.Digits[i] = v, len(text)
	return true
}

// figureDate reads a date in figures: three parts with one separator, two
// parts with a stroke for a date without its year, or eight figures.
func figureDate(p []piece) (Date, bool) {
	if len(p) == 1 && len(p[0].text) == 8 && strings.Trim(p[0].text, "0123456789") == "" {
		return eight(p[0].text)
	}
	if len(p) == 2 && len(p[1].text) > 2 && (p[1].sep == '/' || p[1].sep == '-') {
		p = strokeMisread(p)
	}
	if len(p) < 2 || p[1].sep == 0 || !hasDigit(p[0].text) || !hasDigit(p[1].text) {
		return Date{}, false
	}
	var d Date
	for i, q := range p {
		if i > 0 && (q.sep != p[1].sep || q.sep == ',' || q.sep == '\'') || !d.figure(i, q.text) {
			return Date{}, false
		}
	}
	if len(p) == 2 && p[1].sep != '/' && p[1].sep != '-' || p[1].sep == ' ' && d.Digits[0] != 4 && d.Digits[2] != 4 {
		return Date{}, false
	}
	if d.Digits[0] == 4 {
		d.Known = YMD
	}
	return d, d.anyOrder()
}

// strokeMisread mends 03114/2025 and 03/1412025, where one stroke was read as
// a figure.
func strokeMisread(p []piece) []piece {
	a, b := p[0].text, p[1].text
	stroke := func(c byte) bool { return strings.IndexByte("17lI|J", c) >= 0 }
	switch {
	case len(a) == 5 && stroke(a[2]) && (len(b) == 4 || len(b) == 2):
		return []piece{{text: a[:2]}, {text: a[3:], sep: p[1].sep}, p[1]}
	case len(a) == 2 && (len(b) == 7 || len(b) == 5) && stroke(b[2]):
		return []piece{p[0], {text: b[:2], sep: p[1].sep}, {text: b[3:], sep: p[1].sep}}
	}
	return p
}

// eight reads a date of eight figures.
func eight(s string) (Date, bool) {
	n := func(a, b int) int { v, _ := strconv.Atoi(s[a:b]); return v }
	d := Date{Parts: [3]int{n(0, 4), n(4, 6), n(6, 8)}, Digits: [3]int{4, 2, 2}, Known: YMD}
	if _, ok := d.In(YMD, Day{}); ok {
		return d, true
	}
	d = Date{Parts: [3]int{n(0, 2), n(2, 4), n(4, 8)}, Digits: [3]int{2, 2, 4}}
	return d, d.anyOrder()
}

// anyOrder reports whether the date exists in some order.
func (d Date) anyOrder() bool {
	for _, o := range Orders() {
		if _, ok := d.In(o, Day{2024, 12, 31}); ok {
			return true
		}
	}
	return false
}

// Possible lists the orders in which the date exists.
func (d Date) Possible() []Order {
	if d.Known != NoOrder {
		return []Order{d.Known}
	}
	var out []Order
	for _, o := range Orders() {
		if _, ok := d.In(o, Day{2024, 12, 31}); ok {
			out = append(out, o)
		}
	}
	return out
}
