package lexicon

import "testing"

// TestGradeOf reads the grade of whole product labels.
func TestGradeOf(t *testing.T) {
	l := Default()
	for _, c := range []struct{ label, want string }{
		{"REGULAR 93", "regular"}, {"REG 91", "regular"}, {"93 REGULAR", "regular"}, {"REG UNL 95", "regular"},
		{"UNL 93", "premium"}, {"NORMAL 91", "regular"}, {"NORMAL91", "regular"}, {"REGULAR 88", "e15"}, {"PREMIUM 95", "premium"}, {"MID 89", "midgrade"}, {"93", "premium"},
	} {
		if got, _, _ := l.GradeOf(c.label); got != c.want {
			t.Errorf("%s: %q, want %q", c.label, got, c.want)
		}
	}
}
