package confuse

import (
	"math/rand/v2"
	"strings"
	"testing"
)

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b     string
		from, to float64
	}{
		{"diesel", "diesel", 0, 0}, {"d1esel", "diesel", 0.29, 0.31}, {"0iesel", "diesel", 0.29, 0.31}, {"dtesel", "diesel", 0.9, 1.1},
		{"pre rnium", "premium", 0.6, 0.8}, {"prernium", "premium", 0.39, 0.41}, {"clelivery", "delivery", 0.39, 0.41},
		{"unl 87", "unl 88", 2.7, 3.1}, {"pass", "fail", 2, 4}, {"", "abc", 3, 3},
	} {
		if got := Distance(c.a, c.b, 5); got < c.from || got > c.to {
			t.Errorf("Distance(%q, %q) = %.2f, want %.2f to %.2f", c.a, c.b, got, c.from, c.to)
		}
		if x, y := Distance(c.a, c.b, 5), Distance(c.b, c.a, 5); x-y > 1e-9 || y-x > 1e-9 {
			t.Errorf("Distance(%q, %q) is %.2f one way and %.2f the other", c.a, c.b, x, y)
		}
	}
}

func TestKey(t *testing.T) {
	for _, c := range [][2]string{{"d1e5el", "diesel"}, {"prernium", "premium"}, {"tank l", "tank 1"}} {
		if Key(c[0]) != Key(c[1]) {
			t.Errorf("Key(%q) = %q, Key(%q) = %q", c[0], Key(c[0]), c[1], Key(c[1]))
		}
	}
}

// Key is what a table of replacements in order makes of a string.
func TestKeyByTable(t *testing.T) {
	table := strings.NewReplacer(
		"rn", "m", "cl", "o", "vv", "u", "li", "n", "ri", "n", "ii", "u",
		"0", "o", "d", "o", "q", "o", "a", "o",
		"1", "l", "i", "l", "|", "l", "!", "l", "j", "l", "7", "t",
		"5", "s", "8", "b", "6", "b", "g", "b", "9", "b", "2", "z", "v", "u", "w", "u", "e", "c", "h", "n", "f", "t", "4", "o", "3", "c",
		" ", "", ".", "", ",", "", "'", "", "-", "", "_", "", ":", "",
	)
	rng := rand.New(rand.NewPCG(1, 2))
	const letters = "rnclviid0qa1|!j7586g92wuehft43 .,'-_:mxzo\u00e9"
	for range 20000 {
		s := make([]rune, rng.IntN(12))
		for i := range s {
			s[i] = []rune(letters)[rng.IntN(len([]rune(letters)))]
		}
		if got, want := Key(string(s)), table.Replace(string(s)); got != want {
			t.Fatalf("%q: %q, want %q", string(s), got, want)
		}
	}
}
