// Package confuse knows which printed characters are taken for which: how far
// a word that was read is from a word that may have been printed, and which
// digit a misread character may stand for.
//
// The costs are relative: 0 the same character, about 0.3 a pair that readers
// of worn thermal print mix up all the time, 1 a pair with no likeness. They
// are a judgement from the shapes of dot-matrix type (common practice, no
// source).
package confuse

// The costs of one edit. Only their ratios matter.
const (
	likeCost  = 0.3 // a pair of look-alikes
	kinCost   = 0.6 // a pair that is alike in poor print only
	otherCost = 1.0 // no likeness
	thinCost  = 0.6 // a thin character lost or made up from a speck
	spaceCost = 0.3 // a word split or two words run together
	pairCost  = 0.4 // one character for two, as m for rn
	digitCost = 3.0 // one digit for another: 87 and 88 are different words
)

// alikes are sets of characters that are read for each other all the time, on
// lower-case text (upper and lower case do not differ in trade words).
var alikes = []string{"0odq", "1li|!", "5s", "8b", "6bg", "2z", "9gq", "uv", "ce", "ao", "nh", "ft", "-_~", " -_", ".,", ":;.", "'`"}

// kin are sets of characters that poor print makes alike.
var kin = []string{"4a", "3e8", "7t1", "5g6s", "038o", "ftlp", "rnkh", "mnw", "vyu", "ij1l", "ceo", "ea", "pfr", "xk", "/17l", "iy"}

// pairs are single characters that are read as two, and back.
var pairs = map[string]string{"m": "rn", "d": "cl", "w": "vv", "h": "li", "n": "ri", "u": "ii", "k": "lc", "b": "lo"}

const letters = 128

// table holds the cost of every pair of ASCII characters.
type table [letters][letters]float32

var costs = makeTable()

func makeTable() *table {
	t := &table{}
	for a := range t {
		for b := range t[a] {
			if a != b {
				t[a][b] = otherCost
			}
		}
	}
	fill := func(sets []string, cost float32) {
		for _, set := range sets {
			for _, a := range set {
				for _, b := range set {
					if a != b {
						t[a][b] = min(t[a][b], cost)
					}
				}
			}
		}
	}
	fill(kin, kinCost)
	fill(alikes, likeCost)
	for a := '0'; a <= '9'; a++ {
		for b := '0'; b <= '9'; b++ {
			if a != b {
				t[a][b] = digitCost
			}
		}
	}
	return t
}

// Cost is what it costs to take one lower-case character for another.
func Cost(a, b byte) float64 {
	if a >= letters || b >= letters {
		if a == b {
			return 0
		}
		return otherCost
	}
	return float64(costs[a][b])
}

// gap is the cost of a character too few or too many.
func gap(c byte) float64 {
	switch c {
	case ' ':
		return spaceCost
	case '.', ',', '\'', '`', ':', ';', '|', '!', 'i', 'l', '-', '_', '~':
		return thinCost
	}
	if c >= '0' && c <= '9' {
		return digitCost / 2
	}
	return otherCost
}

// Distance is the weighted edit distance between two lower-case strings. It
// gives up above limit and then returns a value above limit.
func Distance(a, b string, limit float64) float64 {
	if a == b {
		return 0
	}
	const most = 64 // no trade word is longer; longer text is not compared
	if len(a) > most || len(b) > most {
		return limit + 1
	}
	var buf [3][most + 1]float64
	before, prev, cur := buf[0][:len(b)+1], buf[1][:len(b)+1], buf[2][:len(b)+1]
	for j := 1; j <= len(b); j++ {
		prev[j] = prev[j-1] + gap(b[j-1])
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = prev[0] + gap(a[i-1])
		best := cur[0]
		for j := 1; j <= len(b); j++ {
			v := prev[j-1] + Cost(a[i-1], b[j-1])
			v = min(v, prev[j]+gap(a[i-1]), cur[j-1]+gap(b[j-1]))
			if i > 1 && pairs[b[j-1:j]] == a[i-2:i] {
				v = min(v, before[j-1]+pairCost)
			}
			if j > 1 && pairs[a[i-1:i]] == b[j-2:j] {
				v = min(v, prev[j-2]+pairCost)
			}
			cur[j] = v
			best = min(best, v)
		}
		if best > limit && i > 1 {
			return limit + 1
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}

// alone maps every look-alike to one of its set, for Key, and pairs two letters that look like
// one. What is mapped to 0 is left out; what stands in neither is kept.
var alone = func() (to [256]byte) {
	for i := range to {
		to[i] = byte(i)
	}
	for _, set := range []string{"o0dqa4", "l1i|!j", "t7f", "s5", "b86g9", "z2", "uvw", "ce3", "nh", "\x00 .,'-_:"} {
		for i := range len(set) {
			to[set[i]] = set[0]
		}
	}
	return to
}()

func pair(a, b byte) byte {
	switch {
	case a == 'r' && b == 'n':
		return 'm'
	case a == 'c' && b == 'l':
		return 'o'
	case a == 'v' && b == 'v', a == 'i' && b == 'i':
		return 'u'
	case (a == 'l' || a == 'r') && b == 'i':
		return 'n'
	}
	return 0
}

// Key is equal for most strings that differ only by look-alikes; it serves to
// find candidates fast, Distance then judges them.
func Key(s string) string {
	var room [64]byte
	out := room[:0]
	for i := 0; i < len(s); i++ {
		if i+1 < len(s) {
			if c := pair(s[i], s[i+1]); c != 0 {
				out = append(out, c)
				i++
				continue
			}
		}
		if c := alone[s[i]]; c != 0 {
			out = append(out, c)
		}
	}
	return string(out)
}
