package ocr

import (
	"math"
	"testing"
)

func TestOtherHeights(t *testing.T) {
	near := func(a, b float64) bool { return math.Abs(math.Log(a/b)) < 0.1 }
	for _, tried := range [][]float64{{20}, {20, 14}, {20, 28.5}} {
		got := otherHeights(tried)
		if len(got) < 3 {
			t.Errorf("after %v: %v", tried, got)
		}
		for _, h := range got {
			for _, was := range tried {
				if near(h, was) {
					t.Errorf("after %v: %.1f again", tried, h)
				}
			}
		}
	}
}
