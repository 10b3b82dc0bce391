package lexicon

import "strings"

// gradeOrder decides when the words of a label point to several grades: the
// more special one wins, so "diesel exhaust fluid" is def and "premium diesel"
// is diesel.
var gradeOrder = []string{"def", "biodiesel", "e85", "e15", "kerosene", "diesel", "other", "premium", "midgrade", "regular"}

// GradeOf finds the grade of a product label as printed, such as "PREM UNL
// 93". A label that is no known phrase is judged by the phrases in it; ok is
// false when it holds none.
func (l *Lexicon) GradeOf(label string) (code string, cost float64, ok bool) {
	g, known := l.grades.get(label)
	if !known {
		g.code, g.cost, g.ok = l.gradeOf(label)
		l.grades.put(label, g)
	}
	return g.code, g.cost, g.ok
}

// gradeHit is an answer of GradeOf.
type gradeHit struct {
	code string
	cost float64
	ok   bool
}

// gradeOf is GradeOf without a memory.
func (l *Lexicon) gradeOf(label string) (code string, cost float64, ok bool) {
	if code, cost, ok := l.Lookup(Grade, label); ok {
		return code, cost, true
	}
	words := strings.FieldsFunc(Normal(label), func(r rune) bool { return strings.ContainsRune(" /-()+,:", r) })
	const most = 6 // words of a product label that are worth looking at
	words = words[:min(len(words), most)]
	found := map[string]float64{}
	named := false
	for i := 0; i < len(words); {
		if named && isNumber(words[i]) {
			i++ // the octane of what one country calls regular is premium's of another
			continue
		}
		i += l.gradeAt(words[i:], found)
		named = named || i <= len(words) && SaysRegular(words[i-1])
	}
	for _, g := range gradeOrder {
		if c, ok := found[g]; ok {
			return g, c, true
		}
	}
	if apart := octaneApart(label); apart != label {
		return l.GradeOf(apart)
	}
	return "", 0, false
}

// octaneApart parts the octane figure from the letters before it: REG95.
func octaneApart(label string) string {
	n := len(strings.TrimRight(label, "0123456789"))
	const fewest = 2 // letters before it; E85 and B20 are names
	if figures := len(label) - n; figures != 2 || n < fewest || label[n-1] == ' ' || strings.ContainsAny(label[:n], "0123456789") {
		return label
	}
	return label[:n] + " " + label[n:]
}

// gradeAt notes the grade of the longest phrase that begins the words and says
// how many words it took, at least one.
func (l *Lexicon) gradeAt(words []string, found map[string]float64) int {
	for n := min(len(words), 3); n > 0; n-- {
		phrase := strings.Join(words[:n], " ")
		if n == 1 && isNumber(phrase) && len(words) > 1 {
			continue // an octane figure among words says less than they do
		}
		if code, cost, ok := l.Lookup(Grade, phrase); ok {
			if c, had := found[code]; !had || cost < c {
				found[code] = cost
			}
			return n
		}
	}
	return 1
}

// SaysRegular reports whether a word of a product label is that for the regular grade itself,
// beside which an octane figure names no other: unleaded, gas and petrol may be of any.
func SaysRegular(word string) bool { return word == "regular" || word == "reg" || word == "normal" }

func isNumber(s string) bool { return strings.Trim(s, "0123456789.") == "" }
