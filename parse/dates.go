package parse

import (
	"strconv"
	"strings"
	"time"

	"tankroll/parse/lexicon"
	"tankroll/parse/value"
	"tankroll/record"
)

// dateFinding is what the slip's dates together say about their order.
type dateFinding struct {
	order   value.Order
	settled bool        // by a date that can be read in one way only, or by a hint
	other   value.Order // the order that the dates could have as well
	near    value.Day   // the latest day on the slip, for dates without a year
	moments []value.Moment
}

// seenDate is a date found anywhere on the slip.
type seenDate struct {
	date   value.Date
	moment value.Moment
	half   bool // a 12 hour clock goes with it
	dots   bool // points stand between its figures
	from   bool // the word for the beginning of a time stands before it
	mark   bool // an apostrophe stands before it
}

// findDates settles the order of day, month and year from all dates of the
// slip. What the slip says of it does, one date whose day is above 12, then a hint; else the
// order that brings the dates closest together, or is usual with the slip's
// units, is taken for want of better and left unsettled.
func (d *doc) findDates() dateFinding {
	seen := d.allDates()
	counts := map[value.Order]int{}
	open := 0
	for _, s := range seen {
		if s.date.Known != value.NoOrder || s.date.Months != "" || !s.date.HasYear() {
			continue
		}
		open++
		for _, o := range s.date.Possible() {
			if day, ok := s.date.In(o, d.now); ok && !d.future(day) {
				counts[o]++
			}
		}
	}
	f := dateFinding{order: d.saidOrder(seen), settled: true}
	if f.order == value.NoOrder || float64(counts[f.order]) < float64(open)*(1-mostMisread) {
		f = d.chooseOrder(seen, counts, open)
	}
	f.near = d.latest(seen, f.order)
	for _, s := range seen {
		f.moments = append(f.moments, s.moment)
	}
	return f
}

// allDates finds every date on the slip.
func (d *doc) allDates() []seenDate {
	var out []seenDate
	names := d.timeNames
	for _, l := range d.lines {
		words := texts(l.toks)
		for i := 0; i < len(words); {
			if l.toks[i].blank || !mayBeginDate(words[i]) || d.beforeMonth(l.toks[i:]) || signedApart(l.toks[i:]) {
				i++
				continue
			}
			m, n := value.ParseMoment(words[i:], names, false)
			if e := cellEnd(l.toks, i); e < i+n && strings.Count(words[e], ".") == 2 {
				m, n = value.ParseMoment(words[i:e], names, false) // 08.04.24       07.05.24
			}
			if n == 0 || !m.HasDate {
				i += max(n, 1)
				continue
			}
			if m.Date.HasYear() || m.HasClock {
				out = append(out, seenDate{m.Date, m, m.Clock.Half != "", dotted(words[i : i+n]), i > 0 && beginsTime(l.toks[i-1]), words[i][0] == '\''})
			}
			i += n
		}
	}
	return out
}

// beforeMonth reports whether a number stands in a cell of its own before a date that begins
// with its month: 8   MAR 31 06:12.
func (d *doc) beforeMonth(toks []token) bool {
	if len(toks) < 3 || !plainDigits(toks[0].text, 1, 2) || !starts(toks, 1) || toks[0].line != toks[1].line || !toks[2].number {
		return false
	}
	_, cost, ok := d.whole(lexicon.Month, toks[1:2])
	return ok && cost == 0
}

// signedApart reports whether a small number stands in a cell of its own before another with its sign:
// -13     -7     -14 are amounts, no day.
func signedApart(toks []token) bool {
	if len(toks) < 2 || !starts(toks, 1) || !plainDigits(strings.TrimLeft(toks[0].text, "+-"), 1, 2) {
		return false
	}
	next := toks[1].text
	return len(next) > 1 && (next[0] == '-' || next[0] == '+') && (isDigit(rune(next[1])) || next[1] == '.')
}

// mayBeginDate is a quick test that saves most words the full one.
func mayBeginDate(w string) bool {
	for i := 0; i < len(w); i++ {
		if w[i] >= '0' && w[i] <= '9' {
			return true
		}
	}
	return len(w) >= 3 && len(w) <= 9 || value.HalfBefore(w) != ""
}

// future reports whether a day is after what the hints allow. A day of grace
// covers clocks that are wrong and other time zones.
func (d *doc) future(day value.Day) bool {
	return d.now.Year > 0 && day.Time().After(d.now.Time().Add(24*time.Hour))
}

// mostMisread is the share of dates that may be misread before an order that
// does not fit them is given up.
const mostMisread = 0.2

func (d *doc) chooseOrder(seen []seenDate, counts map[value.Order]int, open int) dateFinding {
	prior := d.usualOrder(seen)
	if open == 0 {
		return dateFinding{order: prior, settled: false}
	}
	if o, ok := d.orderOfSpans(); ok && counts[o] > 0 {
		return dateFinding{order: o, settled: true}
	}
	var fit []value.Order
	most := 0
	for _, o := range value.Orders() {
		most = max(most, counts[o])
	}
	counts[value.YMD] = d.yearFirst(seen, counts, most)
	for _, o := range value.Orders() {
		if counts[o] > 0 && float64(counts[o]) >= float64(most)*(1-mostMisread) && (counts[o] == most || most-counts[o] <= open/5) {
			fit = append(fit, o)
		}
	}
	// An order that fits every date beats one that fails on some.
	var full []value.Order
	for _, o := range fit {
		if counts[o] == most {
			full = append(full, o)
		}
	}
	if len(full) > 0 && most == open {
		fit = full
	}
	switch {
	case len(fit) == 0:
		return dateFinding{order: prior}
	case len(fit) == 1:
		if d.mayLead(seen, fit[0], most) {
			return dateFinding{order: fit[0], other: value.YMD}
		}
		return dateFinding{order: fit[0], settled: true}
	}
	if d.hints.DayFirstKnown {
		want := value.MDY
		if d.hints.DayFirst {
			want = value.DMY
		}
		for _, o := range fit {
			if o == want {
				return dateFinding{order: want, settled: true}
			}
		}
	}
	return d.closest(seen, fit, prior)
}

// orderOfSpans is the order that spans of days without a year show, such as 08/02-14/02; false
// where none does, or two differ.
func (d *doc) orderOfSpans() (value.Order, bool) {
	dayFirst, monthFirst := 0, 0
	look := func(w string) {
		switch a, b := w[:2], w[3:]; {
		case a > "12" && b <= "12":
			dayFirst++
		case b > "12" && a <= "12":
			monthFirst++
		}
	}
	for _, l := range d.lines {
		for i := 1; i < len(l.toks); i++ {
			if a, b := l.toks[i-1].text, l.toks[i].text; len(b) == 6 && b[0] == '-' && dayWord([]rune(a)) && dayWord([]rune(b[1:])) {
				look(a)
				look(b[1:])
			}
		}
	}
	switch {
	case dayFirst > 0 && monthFirst == 0:
		return value.DMY, true
	case monthFirst > 0 && dayFirst == 0:
		return value.MDY, true
	}
	return value.NoOrder, false
}

// yearFirst is the count for the order with a year of two figures in front,
// which is rare: it is left out of account unless it gives later years than the
// other orders do or brings the dates much closer together, or those do not fit.
func (d *doc) yearFirst(seen []seenDate, counts map[value.Order]int, most int) int {
	n := counts[value.YMD]
	near := d.span(seen, value.YMD)
	for _, o := range []value.Order{value.MDY, value.DMY} {
		if counts[o] < most || counts[o] == 0 || (near+1)*muchCloser < d.span(seen, o)+1 {
			continue
		}
		for _, s := range seen {
			if s.date.Known != value.NoOrder || !s.date.HasYear() {
				continue
			}
			a, okA := s.date.In(o, d.now)
			b, okB := s.date.In(value.YMD, d.now)
			if okA && (!okB || a.Year >= b.Year) {
				return 0
			}
		}
	}
	return n
}

// mayLead reports whether all dates may begin with their year as well as be of the order that
// was found, where nothing says which: no day of today is known, the dates are not brought
// together by that order, and its years are no more than a little later.
func (d *doc) mayLead(seen []seenDate, found value.Order, most int) bool {
	if d.now.Year > 0 || found == value.YMD {
		return false
	}
	n := 0
	for _, s := range seen {
		if s.date.Known != value.NoOrder || s.date.Months != "" || !s.date.HasYear() {
			continue
		}
		if _, ok := s.date.In(value.YMD, d.now); !ok || s.dots {
			return false
		}
		n++
	}
	later := d.latest(seen, found).Year - d.latest(seen, value.YMD).Year
	return n == most && later >= 0 && later < paperLife && (d.span(seen, found)+1)*muchCloser >= d.span(seen, value.YMD)+1
}

// dotted reports whether points part the figures of a date: 14.03.2025.
func dotted(words []string) bool {
	for _, w := range words {
		if strings.Count(w, ".") == 2 && hasDigit(w[:1]) {
			return true
		}
	}
	return false
}

// dotDates reports whether a date of the slip has points between its figures.
func (d *doc) dotDates() bool {
	noMonth := func(string) (string, float64, bool) { return "", 0, false }
	for _, l := range d.lines {
		for _, t := range l.toks {
			if len(t.text) < 6 || !dotted([]string{t.text}) {
				continue
			}
			if _, n := value.ParseDate([]string{t.text}, noMonth); n > 0 {
				return true
			}
		}
	}
	return false
}

// usualOrder is the order that goes with the slip's units and marks: gallons
// with month first, litres or points between the figures with day first. Common
// practice, no source; it never settles an order.
func (d *doc) usualOrder(seen []seenDate) value.Order {
	if d.hints.DayFirstKnown && d.hints.DayFirst {
		return value.DMY
	}
	for _, s := range seen {
		if s.date.HasYear() && s.date.Known == value.YMD && s.date.Months == "" {
			return value.MDY // 11-09 beside 2015-11-09
		}
	}
	if d.units.metric > d.units.us {
		return value.DMY
	}
	for _, s := range seen {
		if s.dots && s.date.Months == "" {
			return value.DMY
		}
	}
	return value.MDY
}

// muchCloser is how many times closer together an order brings the dates that is taken for
// it; less may be chance.
const muchCloser = 3

// span is how many days the dates that have a year span in an order.
func (d *doc) span(seen []seenDate, o value.Order) float64 {
	var lo, hi time.Time
	for _, s := range seen {
		day, ok := s.date.In(o, d.now)
		if !ok || !s.date.HasYear() {
			continue
		}
		t := day.Time()
		if lo.IsZero() || t.Before(lo) {
			lo = t
		}
		if hi.IsZero() || t.After(hi) {
			hi = t
		}
	}
	return hi.Sub(lo).Hours() / 24
}

// closest takes, of several orders, the one that brings the dates closest
// together, or the usual one.
func (d *doc) closest(seen []seenDate, fit []value.Order, prior value.Order) dateFinding {
	best := dateFinding{order: fit[0], other: fit[1]}
	for _, o := range fit {
		if o == prior {
			best.order = o
		}
	}
	for _, o := range fit {
		if o != best.order && (d.span(seen, o)+1)*muchCloser < d.span(seen, best.order)+1 && !d.wholeMonths(seen, best.order) {
			best.order = o
		}
	}
	for _, o := range fit {
		if o == value.YMD && o != best.order && d.latest(seen, o).Year-d.latest(seen, best.order).Year >= paperLife {
			best.order = o
		}
	}
	for _, o := range fit {
		if o != best.order {
			best.other = o
			break
		}
	}
	return best
}

// paperLife is how many years a printout stays legible: of two orders whose years lie
// further apart the later one is taken.
const paperLife = 10

func (d *doc) latest(seen []seenDate, o value.Order) value.Day {
	var last value.Day
	for _, s := range seen {
		if !s.date.HasYear() {
			continue
		}
		if day, ok := s.date.In(o, d.now); ok && day.After(last) {
			last = day
		}
	}
	if day := d.latestMonth(); day.After(last) {
		last = day
	}
	if last.Year == 0 {
		last = d.now
	}
	return last
}

// latestMonth is the last day of the latest month that stands with its year alone, as over the
// dates of a column: NOV 2025.
func (d *doc) latestMonth() value.Day {
	var last value.Day
	for _, l := range d.lines {
		for i := 1; i < len(l.toks); i++ {
			year := l.toks[i]
			if !plainDigits(year.text, 4, 4) || starts(l.toks, i) || i > 1 && hasDigit(l.toks[i-2].text) && !starts(l.toks, i-1) {
				continue
			}
			name, cost, ok := d.timeNames.Month(l.toks[i-1].text)
			month, err := strconv.Atoi(name)
			if !ok || cost > 0 || err != nil {
				continue
			}
			y, _ := strconv.Atoi(year.text)
			end := value.Day{Year: y, Month: month + 1, Day: 0}.Time()
			if day := (value.Day{Year: y, Month: month, Day: end.Day()}); day.After(last) && y >= 1985 && y <= 2079 && !d.future(day) {
				last = day
			}
		}
	}
	return last
}

// unitSystem counts the slip's units.
type unitSystem struct {
	us, metric int
	seen       map[record.Quantity]map[string]int
}

// findUnits counts the units that stand behind numbers or in headings.
func (d *doc) findUnits() unitSystem {
	u := unitSystem{seen: map[record.Quantity]map[string]int{}}
	for _, l := range d.lines {
		all := d.onlyUnits(l.toks)
		for i := 0; i < len(l.toks); {
			n := d.countUnit(&u, l.toks, i, all)
			i += max(n, 1)
		}
	}
	return u
}

// onlyUnits reports whether a line of a heading holds the units of its columns
// and nothing else.
func (d *doc) onlyUnits(toks []token) bool { return len(toks) > 1 && d.unitsAlone(toks) }

// unitsAlone reports whether tokens are units and nothing else.
func (d *doc) unitsAlone(toks []token) bool {
	for i := 0; i < len(toks); {
		_, cost, n := d.code(lexicon.Unit, toks[i:])
		if formNote(&toks[i]) {
			n, cost = 1, 0
		}
		if n == 0 || cost > 0 {
			return false
		}
		i += n
	}
	return len(toks) > 0
}

func (d *doc) countUnit(u *unitSystem, toks []token, i int, certain bool) int {
	if toks[i].number {
		return 1
	}
	code, cost, n := d.code(lexicon.Unit, toks[i:])
	if n == 0 || cost > 0 || len(toks[i].text) == 1 && !certain && !(i > 0 && toks[i-1].number) && !toks[i].paren && !d.endsLabel(toks, i) {
		return 1
	}
	if _, little := d.filler(toks[i]); little && n == 1 && !(i > 0 && toks[i-1].number) && !toks[i].paren {
		return n // may be the word: in, or of for a degree sign and F
	}
	unit := unitCodes[code]
	q := quantityOf(unit)
	switch unit {
	case "gal", "in", "degF", "gal/h":
		u.us++
	case "L", "mm", "degC", "L/h":
		u.metric++
	default:
		return n
	}
	if u.seen[q] == nil {
		u.seen[q] = map[string]int{}
	}
	u.seen[q][unit]++
	return n
}

// endsLabel reports whether token i stands behind a label's word and before the
// end of its cell or a mark, where a single letter is a unit: Capacity l ...
func (d *doc) endsLabel(toks []token, i int) bool {
	if i == 0 || starts(toks, i) || toks[i-1].number || cellEnd(toks, i) != i+1 && toks[i].delim == 0 {
		return false
	}
	_, _, n := d.code(lexicon.Part, toks[i-1:i])
	return n > 0
}

// unitFor is the unit that a quantity most likely has where none is printed
// with it, and whether the slip shows it.
func (d *doc) unitFor(q record.Quantity) (unit string, shown bool) {
	best := 0
	for _, u := range q.Units() {
		if n := d.units.seen[q][u]; n > best {
			best, unit = n, u
		}
	}
	if best > 0 {
		return unit, true
	}
	units := q.Units()
	if len(units) == 0 {
		return "", true
	}
	if d.units.metric > d.units.us && len(units) > 1 {
		return units[1], true
	}
	return units[0], d.units.us > 0 || len(units) == 1
}
