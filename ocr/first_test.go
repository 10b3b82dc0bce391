package ocr

import (
	"testing"
	"unicode/utf8"

	"tankroll/internal/score"
	"tankroll/record"
)

// TestFirstReading: without the second reading the slip is found and stood upright as
// with it, its lines are the recognizer's words, which the second reading makes
// better; and every character of both has a number when that is asked for.
func TestFirstReading(t *testing.T) {
	c := kept(t, "0112-ghost-scan")
	both := readOne(t, testReader(t, Options{Letters: true}), c.Raw)
	first := readOne(t, testReader(t, Options{Letters: true, FirstReading: true}), c.Raw)
	if len(both.Slips) != 1 || len(first.Slips) != 1 {
		t.Fatalf("%d and %d slips", len(both.Slips), len(first.Slips))
	}
	a, b := both.Slips[0], first.Slips[0]
	if a.Corners != b.Corners || a.Turn != b.Turn {
		t.Errorf("the slip lies at %v, %d degrees, for the first reading at %v, %d", a.Corners, a.Turn, b.Corners, b.Turn)
	}
	want := c.Slips[0].Text
	if f, g := wordF1(a, want), wordF1(b, want); g < 0.3 || f <= g {
		t.Errorf("word F1 %.3f, of the first reading alone %.3f", f, g)
	}
	for _, s := range []record.Slip{a, b} {
		var sayings score.Reliability
		for _, l := range s.Lines {
			for _, w := range l.Words {
				if len(w.Letters) != utf8.RuneCountInString(w.Text) {
					t.Errorf("%q has %d numbers", w.Text, len(w.Letters))
				}
				for _, p := range w.Letters {
					if p < 0 || p > 1 {
						t.Errorf("%q: %v", w.Text, p)
					}
					sayings.Add(p, true)
				}
			}
		}
		if b := sayings.Total(); b.N < 50 || b.MeanSaid() < 0.5 {
			t.Errorf("%d characters are trusted %.3f in the mean", b.N, b.MeanSaid())
		}
	}
	plain := readOne(t, testReader(t, Options{}), c.Raw)
	for _, l := range plain.Slips[0].Lines {
		for _, w := range l.Words {
			if w.Letters != nil {
				t.Fatalf("%q has letters though nobody asked", w.Text)
			}
		}
	}
}
