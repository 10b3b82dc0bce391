package ocr

import (
	"context"
	"testing"

	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// TestStandAllGrain: an outline that holds nothing but soft blots is left out beside
// one with print, and looked at all the same when there is nothing else or when it is
// clearly paper.
func TestStandAllGrain(t *testing.T) {
	r := testReader(t, Options{})
	c := kept(t, "0101-scan-white-lid")
	page, err := decodeOne(c.Raw)
	if err != nil {
		t.Fatal(err)
	}
	sharp := raster.FromGray(page.Luma)
	soft := sharp.Blur(12)
	both := raster.New(2*sharp.W, sharp.H)
	for y := range both.H {
		copy(both.Row(y), sharp.Row(y))
		copy(both.Row(y)[sharp.W:], soft.Row(y))
	}
	print := paper.Quad(c.Slips[0].Corners)
	blots := print
	for i := range blots {
		blots[i].X += float64(sharp.W)
	}
	for i, top := range []int{0: 3, 1: 2} { // its head will do
		blots[top].Y = blots[i].Y + (blots[top].Y-blots[i].Y)/4
	}
	original := raster.NewPyramid(both)
	m, ok := paper.NewMap(blots)
	if !ok {
		t.Fatalf("no map from %v", blots)
	}
	if !firstLook(original, m, nil).grain() {
		t.Error("blots are not called grain: what follows tests nothing")
	}
	if m, ok = paper.NewMap(print); !ok || firstLook(original, m, nil).grain() {
		t.Error("print is called grain")
	}
	for _, x := range []struct {
		about string
		found []paper.Candidate
		stand int
	}{
		{"print and blots", []paper.Candidate{{Quad: print, Confidence: 0.3}, {Quad: blots, Confidence: 0.3}}, 1},
		{"blots first", []paper.Candidate{{Quad: blots, Confidence: 0.3}, {Quad: print, Confidence: 0.3}}, 1},
		{"blots on what is clearly paper", []paper.Candidate{{Quad: print, Confidence: 0.3}, {Quad: blots, Confidence: 0.9}}, 2},
		{"blots alone", []paper.Candidate{{Quad: blots, Confidence: 0.3}}, 1},
		{"blots twice", []paper.Candidate{{Quad: blots, Confidence: 0.3}, {Quad: blots, Confidence: 0.2}}, 2},
	} {
		set, err := r.standAll(context.Background(), original, x.found, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(set) != x.stand {
			t.Errorf("%s: %d stand, want %d", x.about, len(set), x.stand)
		}
	}
}

// TestStandAllSizes: print is looked at beside a slip whose print is three times as
// large; of its size is ground only what does not plainly look like print.
func TestStandAllSizes(t *testing.T) {
	r := testReader(t, Options{})
	c := kept(t, "0101-scan-white-lid")
	page, err := decodeOne(c.Raw)
	if err != nil {
		t.Fatal(err)
	}
	const times = 3
	small := raster.FromGray(page.Luma)
	quad := paper.Quad(c.Slips[0].Corners)
	for i, top := range []int{0: 3, 1: 2} { // its head will do
		quad[top].Y = quad[i].Y + (quad[top].Y-quad[i].Y)/3
	}
	small.H = int(max(quad[2].Y, quad[3].Y)) + 1
	small.Pix = small.Pix[:small.W*small.H]
	large := small.Resize(times*small.W, times*small.H)
	both := raster.New(small.W+large.W, large.H)
	for y := range both.H {
		copy(both.Row(y)[small.W:], large.Row(y))
		if y < small.H {
			copy(both.Row(y), small.Row(y))
		}
	}
	wide := quad
	for i := range wide {
		wide[i].X, wide[i].Y = times*wide[i].X+float64(small.W), times*wide[i].Y
	}
	set, err := r.standAll(context.Background(), raster.NewPyramid(both), []paper.Candidate{{Quad: quad, Confidence: 0.3}, {Quad: wide, Confidence: 0.9}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(set) != 2 {
		t.Fatalf("%d stand, want 2", len(set))
	}
	for i, u := range set {
		if !u.surelyUpright() {
			t.Errorf("slip %d reads at %.2f only", i, u.legible)
		}
	}
}
