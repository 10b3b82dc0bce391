package parse

import "strings"

// spanAt finds where a word that holds a start and an end is cut: 05:10-05:14 is two times
// of day with a stroke between them, 01/03/2018-31/03/2018 two dates. At the stroke itself
// the cut is behind it.
func spanAt(r []rune) int {
	if len(r) > 1 && r[0] == '-' && (clockWord(r[1:]) || dateWord(r[1:])) {
		return 1
	}
	for i := 4; i+4 < len(r); i++ {
		if r[i] != '-' {
			continue
		}
		if a, b := r[:i], r[i+1:]; clockWord(a) && clockWord(b) || dateWord(a) && dateWord(b) || dayWord(a) && dayWord(b) {
			return i
		}
	}
	return 0
}

// clockWord reports whether a word is a time of day with a colon or an h, with or without
// its seconds and its half of the day.
func clockWord(r []rune) bool {
	s := strings.ToLower(string(r))
	for _, half := range []string{"am", "pm", "a", "p", "h"} {
		s = strings.TrimSuffix(s, half)
	}
	parts := strings.FieldsFunc(s, func(c rune) bool { return c == ':' || c == 'h' })
	if len(parts) < 2 || len(parts) > 3 || len(strings.Join(parts, ":")) != len(s) {
		return false
	}
	for i, p := range parts {
		if !plainDigits(p, 2, 2) && !(i == 0 && plainDigits(p, 1, 1)) {
			return false
		}
	}
	return true
}

// dayWord reports whether a word is a day and a month in two figures each: 01/02.
func dayWord(r []rune) bool {
	s := string(r)
	return len(s) == 5 && s[2] == '/' && plainDigits(s[:2], 2, 2) && plainDigits(s[3:], 2, 2) && s[:2] < "32" && s[3:] < "32"
}

// dateWord reports whether a word is a date in figures with strokes or dots: 3/1/24,
// 01.12.2008.
func dateWord(r []rune) bool {
	s := string(r)
	for _, mark := range []string{"/", "."} {
		parts := strings.Split(s, mark)
		if len(parts) != 3 {
			continue
		}
		long := 0
		for _, p := range parts {
			if plainDigits(p, 4, 4) {
				long++
			} else if !plainDigits(p, 1, 2) {
				return false
			}
		}
		return long == 1 || long == 0 && mark == "/"
	}
	return false
}
