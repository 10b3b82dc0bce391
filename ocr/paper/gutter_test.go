package paper

import (
	"image"
	"testing"
)

// A block of print is split where a slip's side shows in its bare strip; columns of one
// slip, and print without such a strip, stay together.
func TestSplit(t *testing.T) {
	for _, c := range []struct {
		name  string
		right float64 // brightness of what is on the right
		turn  bool    // one above the other instead
		want  int
	}{
		{"two slips side by side", 219, false, 2},
		{"columns of one", 225, false, 1},
		{"two slips, one above the other", 219, true, 2},
		{"paragraphs of one", 225, true, 1},
	} {
		s := newScene(470, 470, plainGround(225))
		first, second := rectangle(60, 60, 200, 340), rectangle(200, 60, 340, 340)
		if c.turn {
			first, second = rectangle(60, 60, 340, 200), rectangle(60, 200, 340, 340)
		}
		s.slip(first, 225)
		s.slip(second, c.right)
		f := newFinder(s.planes())
		mask := make([]bool, len(f.print.Pix))
		for i, v := range f.print.Pix {
			mask[i] = v > 0
		}
		all := marksIn(image.Rect(40, 40, 360, 360), mask, f.print.W)
		got := f.split(all, mask)
		if len(got) != c.want {
			t.Errorf("%s: %d blocks, want %d: %v", c.name, len(got), c.want, got)
		}
		sum := 0
		for _, b := range got {
			sum += b.marks
		}
		if sum != all.marks {
			t.Errorf("%s: %d marks of %d", c.name, sum, all.marks)
		}
	}
}
