package value

import (
	"fmt"
	"strings"
)

// Clock is a time of day as printed.
type Clock struct {
	Hour, Minute, Second int
	HasSeconds           bool
	Half                 string // "am" or "pm" when a 12 hour clock was printed
	Fixed                int    // characters put right
	Loose                bool   // written like a number (13.05, 0100): only a time where one is expected
}

// String writes 15:04, or 15:04:05 where seconds were printed.
func (c Clock) String() string {
	if c.HasSeconds {
		return fmt.Sprintf("%02d:%02d:%02d", c.Hour, c.Minute, c.Second)
	}
	return fmt.Sprintf("%02d:%02d", c.Hour, c.Minute)
}

// halves are the spellings of the halves of the day; misread ones are told
// apart by their first letter.
var halves = map[string]string{
	"am": "am", "a.m.": "am", "a.m": "am", "a": "am", "pm": "pm", "p.m.": "pm", "p.m": "pm", "p": "pm",
	"arn": "am", "prn": "pm", "4m": "am", "an": "am", "pn": "pm", "hrs": "24", "h": "24", "hr": "24", "uhr": "24", "hours": "24",
}

// longestHalf is the most letters of a half's spelling.
const longestHalf = len("hours")

// ParseClock reads a time of day at the beginning of the words: 01:00 1:00 AM
// 1:00:15a PM 1:00 13h05 1300 hrs 13.05. It returns how many words it took, 0 when
// there is no time.
func ParseClock(words []string) (Clock, int) {
	if len(words) == 0 || len(words[0]) > 14 {
		return Clock{}, 0
	}
	first := strings.Trim(words[0], ",;@()")
	if first == "" {
		return Clock{}, 0
	}
	if half := HalfBefore(first); half != "" {
		return halfFirst(half, first, words)
	}
	if !mayBeginClock(rune(first[0])) {
		return Clock{}, 0
	}
	text, half := splitHalf(strings.ToLower(first))
	used := 1
	if half == "" && len(words) > 1 {
		if h := strings.Trim(words[1], ",;()"); len(h) <= longestHalf {
			if h, ok := halves[strings.ToLower(h)]; ok {
				half, used = h, 2
			}
		}
	}
	c, ok := figures(text)
	if !ok {
		return Clock{}, 0
	}
	if half == "24" {
		c.Loose, half = false, ""
	}
	if !c.half(half) {
		return Clock{}, 0
	}
	return c, used
}

// HalfBefore is the half of the day that a word begins with, where it stands before the time of
// day: PM 04:18, PM04:18. It is "" for any other word.
func HalfBefore(word string) string {
	if len(word) < 2 {
		return ""
	}
	switch word[0] {
	case 'a', 'A', 'p', 'P':
	default:
		return ""
	}
	w := strings.ToLower(word)
	for _, h := range [...]string{"am", "pm", "a.m.", "p.m.", "a.m", "p.m"} {
		if rest, ok := strings.CutPrefix(w, h); ok && (rest == "" || rest[0] >= '0' && rest[0] <= '9') {
			return halves[h]
		}
	}
	return ""
}

// halfFirst reads a time of day behind its half, in the next word or in the same one. Its hours
// may be counted from 0, as a clock of 24 hours does, or to 12.
func halfFirst(half, first string, words []string) (Clock, int) {
	used := 1
	text := ""
	if i := strings.IndexAny(first, "0123456789"); i > 0 {
		text = first[i:]
	} else if len(words) > 1 {
		text, used = strings.Trim(words[1], ",;()"), 2
	}
	if text == "" || !strings.Contains(text, ":") {
		return Clock{}, 0
	}
	c, ok := figures(text)
	if !ok || c.Hour > 12 {
		return Clock{}, 0
	}
	if used < len(words) && (halves[strings.ToLower(words[used])] == "am" || halves[strings.ToLower(words[used])] == "pm") {
		return Clock{}, 0 // the half behind it is its own
	}
	c.Half, c.Hour = half, c.Hour%12
	if half == "pm" {
		c.Hour += 12
	}
	return c, used
}

// mayBeginClock is a quick test that saves most words the full one: letters that do not
// look like figures begin no time of day.
func mayBeginClock(r rune) bool {
	if r >= 'A' && r <= 'Z' {
		r += 'a' - 'A'
	}
	if r < 'a' || r > 'z' || r == 'h' {
		return true
	}
	_, _, ok := Digit(r)
	return ok
}

// splitHalf takes am or pm off the end of 1:00am.
func splitHalf(s string) (text, half string) {
	i := len(s)
	for i > 0 && (s[i-1] >= 'a' && s[i-1] <= 'z' || s[i-1] == '.' && i > 1 && s[i-2] >= 'a') {
		i--
	}
	if h, ok := halves[s[i:]]; ok && i > 0 {
		return s[:i], h
	}
	return s, ""
}

// half applies the half of the day; a 12 hour clock has no hour 0 or 13.
func (c *Clock) half(h string) bool {
	c.Half = h
	if h == "" {
		return true
	}
	c.Loose = false
	if c.Hour < 1 || c.Hour > 12 {
		return false
	}
	if c.Hour == 12 {
		c.Hour = 0
	}
	if h == "pm" {
		c.Hour += 12
	}
	return true
}

// figures reads the hour, minute and second.
func figures(s string) (Clock, bool) {
	var c Clock
	var partRoom, lenRoom [4]int
	parts, lens := partRoom[:0], lenRoom[:0]
	n, v := 0, 0
	dash := false
	flush := func() {
		parts, lens = append(parts, v), append(lens, n)
		n, v = 0, 0
	}
	for _, r := range s {
		switch {
		case r == ':' || r == ';' || r == '.' || r == 'h' || r == ',' || r == '-' && len(parts) == 0:
			if r == ';' || r == ',' {
				c.Fixed++
			}
			c.Loose = c.Loose || r == '.' || r == ',' || r == '-'
			dash = dash || r == '-'
			flush()
			continue
		}
		d, fixed, ok := Digit(r)
		if !ok {
			return c, false
		}
		if fixed {
			c.Fixed++
		}
		v, n = v*10+int(d-'0'), n+1
		if n > 6 {
			return c, false
		}
	}
	flush()
	if dash && (len(parts) != 2 || lens[0] != 2) {
		return c, false
	}
	return c.set(parts, lens)
}

func (c Clock) set(parts, lens []int) (Clock, bool) {
	switch {
	case len(parts) == 1 && (lens[0] == 4 || lens[0] == 3):
		parts, lens, c.Loose = []int{parts[0] / 100, parts[0] % 100}, []int{2, 2}, true
	case len(parts) == 1 && lens[0] == 6:
		parts, lens, c.Loose = []int{parts[0] / 10000, parts[0] / 100 % 100, parts[0] % 100}, []int{2, 2, 2}, true
	case len(parts) == 1 && lens[0] <= 2 && lens[0] > 0:
		parts, lens, c.Loose = []int{parts[0], 0}, []int{2, 2}, true
		c.Fixed += 9 // "1 AM" stands only with its half; a bare figure is no time
	}
	if len(parts) < 2 || len(parts) > 3 || lens[0] < 1 || lens[0] > 2 || lens[1] != 2 {
		return c, false
	}
	c.Hour, c.Minute = parts[0], parts[1]
	if len(parts) == 3 {
		if lens[2] != 2 {
			return c, false
		}
		c.Second, c.HasSeconds = parts[2], true
	}
	return c, c.Hour <= 23 && c.Minute <= 59 && c.Second <= 59
}

// Duration is a length of time in hours.
type Duration struct {
	Hours float64
	Fixed int
	Unit  bool // a unit or a colon showed that it is a duration
}

// ParseDuration reads a length of time at the beginning of the words: 4.0 h,
// 4 hrs 30 min, 270 min, 4:30, 04:30:00, 4h30. It returns how many words it
// took. unit finds the code of a unit (h min s) or "". A bare number counts
// hours.
func ParseDuration(words []string, style Style, unit func(string) string) (Duration, int) {
	if len(words) == 0 {
		return Duration{}, 0
	}
	if c, ok := colon(words[0]); ok {
		used := 1
		if len(words) > 1 && (unit(words[1]) == "h" || unit(words[1]) == "min") {
			used = 2
		}
		return c, used
	}
	if c, ok := hourMark(words[0]); ok {
		return c, 1
	}
	var d Duration
	used := 0
	for used < len(words) && used < 6 {
		n, u, took := amount(words[used:], style, unit)
		if took == 0 || used > 0 && u == "" {
			break
		}
		d.Fixed += n.Fixed
		d.Unit = d.Unit || u != ""
		d.Hours += n.Value * map[string]float64{"": 1, "h": 1, "min": 1.0 / 60, "s": 1.0 / 3600}[u]
		used += took
		if u == "" || u == "s" {
			break
		}
	}
	d.Hours = round(d.Hours)
	return d, used
}

// round cuts a sum of hours and minutes to a hundred-thousandth of an hour, far below a
// second.
func round(h float64) float64 { return float64(int64(h*1e5+0.5)) / 1e5 }

// colon reads 4:30 and 04:30:00; hours may exceed a day.
func colon(w string) (Duration, bool) {
	if strings.Count(w, ":") == 0 || strings.Count(w, ":") > 2 {
		return Duration{}, false
	}
	var d Duration
	scale := 1.0
	for i, p := range strings.Split(w, ":") {
		n, ok := ParseNumber(p, DecimalPoint)
		if !ok || n.Value < 0 || n.Decimals > 0 || i > 0 && (n.Value > 59 || len(p) != 2) || len(p) > 3 {
			return Duration{}, false
		}
		d.Fixed += n.Fixed
		d.Hours += n.Value * scale
		scale /= 60
	}
	d.Unit, d.Hours = true, round(d.Hours)
	return d, true
}

// hourMark reads 4h30 and 04H30: hours, their unit and two figures of minutes.
func hourMark(w string) (Duration, bool) {
	i := strings.IndexAny(w, "hH")
	if i < 1 || len(w) != i+3 {
		return Duration{}, false
	}
	return colon(w[:i] + ":" + w[i+1:])
}

// amount reads a number and its time unit, in one word or two.
func amount(words []string, style Style, unit func(string) string) (Number, string, int) {
	w := words[0]
	if n, ok := ParseNumber(w, style); ok && n.Value >= 0 {
		if len(words) > 1 {
			if u := unit(words[1]); u == "h" || u == "min" || u == "s" {
				return n, u, 2
			}
		}
		return n, "", 1
	}
	i := strings.LastIndexAny(w, "0123456789") + 1
	if i <= 0 || i >= len(w) {
		return Number{}, "", 0
	}
	u := unit(w[i:])
	n, ok := ParseNumber(w[:i], style)
	if !ok || u != "h" && u != "min" && u != "s" {
		return Number{}, "", 0
	}
	return n, u, 1
}
