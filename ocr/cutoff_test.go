package ocr

import (
	"testing"

	"tankroll/fixtures"
	"tankroll/record"
)

// TestEdges: of a long slip in several pictures the first ends whole at its top
// and the last at its bottom; the other ends run off. One is held on its side.
func TestEdges(t *testing.T) {
	r := testReader(t, Options{})
	turns := map[int]bool{}
	for level, seed := range map[string]uint64{"scan": 101, "faded": 101} {
		l, err := fixtures.MakeLong("fit", level, seed, 5)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range l.Photos {
			slips := readOne(t, r, c.Raw).Slips
			if len(slips) != 1 {
				t.Errorf("%s: %d slips", c.Name, len(slips))
				continue
			}
			p := slips[0].Paper
			turns[slips[0].Turn] = true
			top, bottom := i > 0, i < len(l.Photos)-1
			if (p.Top != record.EdgeWhole) != top || (p.Bottom != record.EdgeWhole) != bottom || p.Sides != record.EdgeWhole {
				t.Errorf("%s: top %q, bottom %q, sides %q; the print goes on above %v, below %v", c.Name, p.Top, p.Bottom, p.Sides, top, bottom)
			}
			if cut := p.Top == record.EdgeCut || p.Bottom == record.EdgeCut; p.CutOff != cut {
				t.Errorf("%s: cut off %v, top %q, bottom %q", c.Name, p.CutOff, p.Top, p.Bottom)
			}
		}
	}
	if len(turns) < 2 {
		t.Errorf("all pictures are held alike: %v", turns)
	}
}
