package join

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"tankroll/record"
)

// How likely two words are to be two readings of one print, as the natural
// logarithm of the odds against their being read from two printouts of one
// console. Of such printouts nearly all letters are the same.
const (
	sameLetters   = 0.85 // chance that another printout has the same word in letters there
	sameFigure    = 0.5  // the same for one figure; each further one halves it
	leastChance   = 0.03 // for many: capacities, limits and the day are the same again and again
	otherFound    = 0.7  // chance that another printout has quite another word there
	nearFound     = 0.3  // or one that differs by a character
	alikeFound    = 0.12 // or a number of leastAlike figures that differs by lookalikes only
	leastAlike    = 4
	missedWord    = 0.03 // chance that a word which was read surely is missing from the other reading
	strangeWord   = 0.3  // chance that another printout has no such word
	mostOfLine    = 6.0  // most that one line says for a seam
	leastOfLine   = -9.0 // and against it
	tellingLine   = 1.0  // what a line must say to speak for a seam by itself
	leastUnruled  = 2    // figures of a number that is the same but for a rule before it
	leastAgreeing = 0.3  // two readings that agree are worth this much however unsure each is
)

// trust is a word's confidence, kept off certainty.
func trust(w record.Word) float64 {
	return min(max(w.Confidence, w.AsFigures, 0.05), 0.99)
}

// bareText is a word without the marks around it (ruled tables have them), and
// with zeros for what is a zero among figures.
func bareText(text string) string {
	s := strings.Trim(text, "|!\"'`*_~.,:;()[]{}=")
	if s == "" {
		return text
	}
	if figures(s) == 0 {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch r {
		case '@', 'O', 'o', 'Q':
			return '0'
		}
		return r
	}, s)
}

// figures counts the digits of a text.
func figures(text string) (n int) {
	for _, r := range text {
		if r >= '0' && r <= '9' {
			n++
		}
	}
	return n
}

// telling counts the digits of a text that tell one printout from another: of a round
// number the zeros at its end count as one. Capacities and limits are round, and those
// of one tank follow from each other.
func telling(text string) int {
	n := figures(text)
	zeros := len(text) - len(strings.TrimRight(text, "0"))
	if zeros > 1 {
		n -= zeros - 1
	}
	return n
}

// wordLLR weighs two words that stand in one place. seldom is 1 for a word that
// each slip shows once, less for one that repeats. Readings that agree never
// speak against a seam, however unsure they are.
func wordLLR(a, b record.Word, seldom float64) float64 {
	if plain(a.Text) || plain(b.Text) {
		return 0
	}
	both := trust(a) * trust(b)
	n := min(figures(a.Text), figures(b.Text))
	if a.Text == b.Text {
		return seldom * max(0, math.Log(max(both, leastAgreeing)/chance(telling(a.Text))))
	}
	if x := unruled(a.Text); x == unruled(b.Text) && figures(x) >= leastUnruled {
		return seldom * max(0, math.Log(leastAgreeing/chance(figures(x))))
	}
	wrong := 1 - both // chance that at least one reading is wrong
	switch {
	case offers(a, b.Text) || offers(b, a.Text):
		return math.Log((0.6*wrong + 0.05) / nearFound)
	case n >= leastAlike && alike(a.Text, b.Text):
		return math.Log((0.6*wrong + 0.004) / alikeFound)
	case near(a.Text, b.Text):
		return math.Log((0.6*wrong + 0.004) / nearFound)
	}
	return math.Log((0.3*wrong + 0.002) / otherFound)
}

// chance is how often another printout has the same word with n figures in one
// place.
func chance(n int) float64 {
	if n == 0 {
		return sameLetters
	}
	return max(leastChance, math.Pow(sameFigure, float64(n)))
}

// unruled is a word without the rule of a table that was read as its first
// character.
func unruled(text string) string { return strings.TrimLeft(text, "1|Il[]{}JjiT!?/") }

// plain reports whether a text is marks only: a colon that stands by itself is
// read as anything, or not at all.
func plain(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) })
}

// lookalikes are characters that readers take for each other.
var lookalikes = []string{"0OoDQ@68", "1lI|i!7", "5S6", "2Zz", "38B", "4A", "9g", ".,"}

// alike reports whether two texts differ in at most two characters, and in
// lookalikes only.
func alike(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) != len(y) {
		return false
	}
	differ := 0
	for i := range x {
		if x[i] == y[i] {
			continue
		}
		differ++
		taken := slices.ContainsFunc(lookalikes, func(set string) bool {
			return strings.ContainsRune(set, x[i]) && strings.ContainsRune(set, y[i])
		})
		if !taken || differ > 2 {
			return false
		}
	}
	return true
}

// loneLLR weighs a word that stands in one reading only.
func loneLLR(w record.Word) float64 {
	if plain(w.Text) {
		return 0
	}
	return math.Log((missedWord + 0.7*(1-trust(w))) / strangeWord)
}

// offers reports whether text is one of the word's other readings.
func offers(w record.Word, text string) bool {
	for _, o := range w.Alternatives {
		if o.Text == text {
			return true
		}
	}
	return false
}

// near reports whether two texts differ by one character at most, or a longer
// word by two.
func near(a, b string) bool {
	most := 1
	if min(len(a), len(b)) >= 7 {
		most = 2
	}
	return distance(a, b, most) <= most
}

// distance is the number of characters to change, add or drop to make b of a,
// or more than most.
func distance(a, b string, most int) int {
	x, y := []rune(a), []rune(b)
	if d := len(x) - len(y); d > most || -d > most {
		return most + 1
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j, q := range y {
			v := diagonal
			if r != q {
				v = 1 + min(diagonal, row[j], row[j+1])
			}
			diagonal, row[j+1] = row[j+1], v
		}
	}
	return row[len(y)]
}

// matched is one step along two lines: a word of both, or of one (the other is
// -1).
type matched struct{ a, b int }

// alignWords lays the words of two lines beside each other in their order, like
// to like.
func alignWords(a, b []record.Word) []matched {
	n, m := len(a), len(b)
	cost := make([][]float64, n+1)
	for i := range cost {
		cost[i] = make([]float64, m+1)
		for j := range cost[i] {
			switch {
			case i == 0:
				cost[i][j] = float64(j)
			case j == 0:
				cost[i][j] = float64(i)
			default:
				cost[i][j] = min(cost[i-1][j]+1, cost[i][j-1]+1, cost[i-1][j-1]+unlike(a[i-1], b[j-1]))
			}
		}
	}
	var out []matched
	for i, j := n, m; i > 0 || j > 0; {
		switch {
		case i > 0 && j > 0 && cost[i][j] == cost[i-1][j-1]+unlike(a[i-1], b[j-1]):
			i, j = i-1, j-1
			out = append(out, matched{i, j})
		case i > 0 && cost[i][j] == cost[i-1][j]+1:
			i--
			out = append(out, matched{i, -1})
		default:
			j--
			out = append(out, matched{-1, j})
		}
	}
	for l, r := 0, len(out)-1; l < r; l, r = l+1, r-1 {
		out[l], out[r] = out[r], out[l]
	}
	return out
}

// unlike is the cost of taking two words for one: nothing when they are equal,
// as much as leaving both out when they are of another length and place.
func unlike(a, b record.Word) float64 {
	if a.Text == b.Text {
		return 0
	}
	if near(a.Text, b.Text) {
		return 0.4
	}
	// Words in one place are two readings of one, or two values under one label;
	// slips count columns from edges of their own, so the place is a rough one.
	if math.Abs((a.Col+a.Width/2)-(b.Col+b.Width/2)) < 4 {
		return 1.2
	}
	return 2
}
