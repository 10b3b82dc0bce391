package confuse

import "testing"

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
