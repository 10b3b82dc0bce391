package query

import (
	"slices"
	"strconv"
	"strings"
)

// Numbers that people write out: eight thousand, twenty-five, site one oh seven.
var (
	unitNumbers = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
	teenNumbers = map[string]int{"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19}
	tensNumbers = map[string]int{"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
)

// inFigures writes numbers in figures where they take several words or are none that
// the grammar knows; figures said one by one only where they name a known site.
func inFigures(t []token, sites *Names) []token {
	t = dashed(t)
	w := make([]string, len(t))
	for i, tok := range t {
		if w[i] = tok.word; tok.quoted {
			w[i] = ""
		}
	}
	var out []token
	for i := 0; i < len(t); {
		text, n := siteSpelt(w[i:], sites)
		if n == 0 {
			text, n = spelled(w[i:])
		}
		if n == 0 {
			text, n = dayNumber(w, i)
		}
		if n > 0 && slices.ContainsFunc(t[i+1:i+n], func(tok token) bool { return tok.cut }) {
			n = 0
		}
		if n == 0 {
			out = append(out, t[i])
			i++
			continue
		}
		tok := t[i]
		tok.word, tok.raw = text, text
		out = append(out, tok)
		i += n
	}
	return out
}

// ordinalDays are the days of a month in words, but for those that the grammar knows.
var ordinalDays = map[string]int{"fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9, "tenth": 10, "eleventh": 11, "twelfth": 12, "thirteenth": 13, "fourteenth": 14,
	"fifteenth": 15, "sixteenth": 16, "seventeenth": 17, "eighteenth": 18, "nineteenth": 19, "twentieth": 20, "twenty-first": 21, "twenty-second": 22, "twenty-third": 23,
	"twenty-fourth": 24, "twenty-fifth": 25, "twenty-sixth": 26, "twenty-seventh": 27, "twenty-eighth": 28, "twenty-ninth": 29, "thirtieth": 30, "thirty-first": 31}

// dayNumber reads "fifteenth of May" and "May fifteenth".
func dayNumber(w []string, i int) (text string, n int) {
	day := ordinalDays[w[i]]
	if day == 0 || !(i+2 < len(w) && w[i+1] == "of") && !(i > 0 && monthSpan.MatchString(w[i-1]+"-"+w[i-1])) {
		return "", 0
	}
	return strconv.Itoa(day) + "th", 1
}

// dashed parts numbers at their hyphens: twenty-five, one-oh-seven.
func dashed(t []token) []token {
	var out []token
	for _, tok := range t {
		parts := strings.Split(tok.word, "-")
		if len(parts) < 2 || tok.quoted || slices.ContainsFunc(parts, func(s string) bool { return !isNumber(s) && s != "oh" && s != "hundred" }) {
			out = append(out, tok)
			continue
		}
		for k, s := range parts {
			out = append(out, token{word: s, raw: s, cut: k == 0 && tok.cut, dash: k == 0 && tok.dash, begins: k == 0 && tok.begins})
		}
	}
	return out
}

func isNumber(w string) bool { return unitNumbers[w]+teenNumbers[w]+tensNumbers[w] > 0 }

// below100 reads "seven", "seventeen" and "seventy seven".
func below100(w []string) (v, n int) {
	if len(w) == 0 {
		return 0, 0
	}
	if v := unitNumbers[w[0]] + teenNumbers[w[0]]; v > 0 {
		return v, 1
	}
	if v = tensNumbers[w[0]]; v == 0 {
		return 0, 0
	}
	if len(w) > 1 && unitNumbers[w[1]] > 0 {
		return v + unitNumbers[w[1]], 2
	}
	return v, 1
}

// spelled reads a number of several words, a ten, or one with a half.
func spelled(w []string) (text string, n int) {
	total, part, used := 0, 0, 0
	plainly := false // nothing but a word that the grammar knows
	if v, k := below100(w); k > 0 {
		part, used = v, k
		plainly = k == 1 && numerals[w[0]] > 0
	} else if w[0] == "a" && len(w) > 1 && (w[1] == "hundred" || w[1] == "thousand") && !(len(w) > 2 && (w[2] == "percent" || w[2] == "%")) {
		part, used = 1, 1
	} else if v, err := strconv.Atoi(strings.ReplaceAll(w[0], ",", "")); err == nil && v > 0 && v < 1000 && len(w) > 1 && (w[1] == "hundred" || w[1] == "thousand") {
		part, used = v, 1
	} else {
		return "", 0
	}
	for used < len(w) {
		k := used
		switch w[used] {
		case "hundred":
			part, used = part*100, used+1
		case "thousand":
			total, part, used = (total+part)*1000, 0, used+1
		}
		if k == used {
			break
		}
		plainly = false
		at := used
		if at < len(w) && w[at] == "and" {
			at++
		}
		if v, more := below100(w[min(at, len(w)):]); more > 0 && !(at > used && at+more < len(w) && (w[at+more] == "hundred" || w[at+more] == "thousand")) {
			part, used = part+v, at+more
		}
	}
	total += part
	if used+2 < len(w) && w[used] == "and" && w[used+1] == "a" && w[used+2] == "half" {
		return strconv.Itoa(total) + ".5", used + 3
	}
	if plainly {
		return "", 0
	}
	return strconv.Itoa(total), used
}

// siteSpelt reads a site's number as people say it: one oh seven, one twenty three.
func siteSpelt(w []string, sites *Names) (text string, n int) {
	said, best := "", 0
	for used := 0; used < len(w) && len(said) < 6; {
		switch {
		case unitNumbers[w[used]] > 0:
			said += strconv.Itoa(unitNumbers[w[used]])
			used++
		case w[used] == "oh" || w[used] == "zero" || w[used] == "o" || w[used] == "nought":
			said += "0"
			used++
		default:
			v, k := below100(w[used:])
			if k == 0 || said == "" {
				used = len(w)
				continue
			}
			said += strconv.Itoa(v)
			used += k
		}
		if _, ok := sites.number(said); ok && used > 1 && said[0] != '0' {
			text, best = said, used
		}
	}
	return text, best
}
