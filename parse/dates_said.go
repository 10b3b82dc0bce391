package parse

import (
	"strings"

	"tankroll/parse/value"
)

// fewestMarks are the dates with an apostrophe before their year that show where it stands: one
// alone may be a speck.
const fewestMarks = 2

// saidOrder is the order of the dates that the slip itself names, DATE (Y/M/D), or shows by an
// apostrophe before the year of most of them, '24/10/30. It is NoOrder when nothing is said.
func (d *doc) saidOrder(seen []seenDate) value.Order {
	said := value.NoOrder
	for _, l := range d.lines {
		for _, t := range l.toks {
			o := orderIn(t.norm)
			switch {
			case o == value.NoOrder:
			case said == value.NoOrder:
				said = o
			case said != o:
				return value.NoOrder // it names several
			}
		}
	}
	if said != value.NoOrder {
		return said
	}
	first, other := 0, 0
	for _, s := range seen {
		switch {
		case s.date.Known != value.NoOrder || !s.date.HasYear():
		case s.mark && s.date.Digits[0] == 2:
			first++
		default:
			other++
		}
	}
	if first >= fewestMarks && float64(other) <= float64(first)*mostMisread {
		return value.YMD
	}
	return value.NoOrder
}

// orderIn reads words for the parts of a date, with marks between them: y/m/d, dd.mm.yyyy,
// mm-dd-yy.
func orderIn(word string) value.Order {
	const shortest, longest = 5, 10
	if len(word) < shortest || strings.IndexByte("ymd([", word[0]) < 0 {
		return value.NoOrder // most words
	}
	word = strings.Trim(word, "()[]:")
	if len(word) < shortest || len(word) > longest {
		return value.NoOrder
	}
	parts := strings.FieldsFunc(word, func(r rune) bool { return r == '/' || r == '.' || r == '-' })
	if len(parts) != 3 {
		return value.NoOrder
	}
	order := ""
	for _, p := range parts {
		if len(p) > 4 || strings.Trim(p, p[:1]) != "" || p[0] != 'y' && len(p) > 2 {
			return value.NoOrder
		}
		order += p[:1]
	}
	switch order {
	case "ymd":
		return value.YMD
	case "mdy":
		return value.MDY
	case "dmy":
		return value.DMY
	}
	return value.NoOrder
}
