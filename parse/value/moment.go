package value

import "strings"

// Moment is a date, a time of day, or both together as printed.
type Moment struct {
	Date     Date
	Clock    Clock
	HasDate  bool
	HasClock bool
}

// Fixed is how many characters were put right.
func (m Moment) Fixed() int { return m.Date.Fixed + m.Clock.Fixed }

// Names finds months and weekdays by their names.
type Names struct {
	Month   MonthNamer
	Weekday func(word string) bool
	Dots    bool // dates have points between their figures: 14.03 before a time of day is one
}

// ParseMoment reads a date and time in either order at the beginning of the
// words, with a weekday before it or not. want says that a time is expected
// here, so that 0100 or 13.05 may be one. The year may stand behind the time of day where a weekday
// stands first: Tue Feb 6 21:37 2024. It returns how many words it took.
func ParseMoment(words []string, names Names, want bool) (Moment, int) {
	var m Moment
	words = words[:min(len(words), 9)]
	i := skipWeekday(words, names)
	if i < len(words) {
		if a, b, ok := joined(words[i]); ok {
			if m, used := ParseMoment([]string{a, b}, names, true); used == 2 && m.HasDate && m.HasClock {
				return m, i + 1 // 2025-03-14T01:00
			}
		}
	}
	for i < len(words) && !(m.HasDate && m.HasClock) {
		j := i
		if m.HasDate || m.HasClock {
			j += skipJoint(words[i:])
			j += skipWeekday(words[j:], names)
		}
		used := m.next(words[j:], names, want)
		if used == 0 {
			break
		}
		i = j + used
		if m.HasDate && !m.HasClock && !m.Date.HasYear() && i+1 < len(words) && firmClock(words[i+1:]) && m.Date.yearBehind(words[i]) {
			i++ // 07/20 2014 22:51
		}
	}
	if !m.HasDate && !m.HasClock {
		return Moment{}, 0
	}
	if named := skipWeekday(words, names) > 0; named && m.HasClock && m.Date.Months != "" && i < len(words) && m.Date.yearBehind(words[i]) {
		i++
	}
	return m, i
}

// next reads a date or a time of day, whichever is still missing.
func (m *Moment) next(words []string, names Names, want bool) int {
	if len(words) == 0 {
		return 0
	}
	c, cn := ParseClock(words)
	firm := c.firm(cn)
	if d, ok := dayAndMonth(words, names.Dots && !m.HasDate && !m.HasClock); ok {
		m.Date, m.HasDate = d, true
		return 1
	}
	if !m.HasDate && !firm {
		if d, n := ParseDate(words, names.Month); n > 0 {
			m.Date, m.HasDate = d, true
			return n
		}
	}
	loose := cn > 0 && c.Loose && c.Fixed < 9 && (want || m.HasDate && len(strings.TrimRight(words[0], "hH")) >= 4)
	if c.Half != "" {
		c.Fixed %= 9
		loose = loose || cn > 0
	}
	if !m.HasClock && (firm || loose) {
		m.Clock, m.HasClock = c, true
		return cn
	}
	return 0
}

// firmClock reports whether the words begin with a time of day that can be nothing else.
func firmClock(words []string) bool {
	c, n := ParseClock(words)
	return c.firm(n)
}

// firm is whether n words that were read as a time of day can be nothing else.
func (c Clock) firm(n int) bool { return n > 0 && !c.Loose && c.Fixed < 9 }

// dayAndMonth reads 14.03 or 14.03. right before a time of day that has a colon.
func dayAndMonth(words []string, dots bool) (Date, bool) {
	if !dots || len(words) < 2 || !strings.Contains(words[1], ":") {
		return Date{}, false
	}
	a, b, ok := strings.Cut(strings.TrimSuffix(words[0], "."), ".")
	if c, n := ParseClock(words[1:]); !ok || n == 0 || c.Loose || len(a) > 2 || len(b) > 2 || len(a) == 0 || len(b) == 0 {
		return Date{}, false
	}
	d := Date{Known: DMY}
	if !d.figure(0, a) || !d.figure(1, b) {
		return Date{}, false
	}
	_, ok = d.In(DMY, Day{2024, 12, 31})
	return d, ok && d.Fixed == 0
}

func skipWeekday(words []string, names Names) int {
	if len(words) > 1 && names.Weekday(strings.Trim(words[0], ",.()[]")) {
		return 1
	}
	return 0
}

// skipJoint passes what stands between a date and its time.
func skipJoint(words []string) int {
	if len(words) == 0 {
		return 0
	}
	switch strings.ToLower(words[0]) {
	case "at", "@", "-", ",", "on", "/", "time", "time:", "|", "--":
		return 1
	}
	return 0
}

// joined cuts 2025-03-14T01:00 and 14/03/25-01:00 apart.
func joined(w string) (date, clock string, ok bool) {
	if len(w) < 11 || len(w) > 20 {
		return "", "", false
	}
	i := strings.IndexByte(w, ':')
	if i < 8 {
		return "", "", false
	}
	for j := i - 1; j >= max(6, i-3); j-- {
		if strings.IndexByte("Tt-_@,", w[j]) >= 0 {
			return w[:j], w[j+1:], true
		}
	}
	return "", "", false
}
