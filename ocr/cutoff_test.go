package ocr

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"tankroll/fixtures"
	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
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

// TestEdgesSure: how sure it is that print is cut off goes by how far the nearest line is
// from the distance that decides, and is nothing where there is no line to go by.
func TestEdgesSure(t *testing.T) {
	const w, h, pitch, capital = 400, 800, 50.0, 30.0
	m, ok := paper.NewMap(paper.Whole(w, h))
	if !ok {
		t.Fatal("no map of the whole picture")
	}
	line := func(x, y int) lines.Band { return lines.Band{X0: x, X1: w - x, Y0: y, Y1: y + capital} }
	for _, c := range []struct {
		name  string
		bands []lines.Band
		cut   bool
		sure  float64
	}{
		{"no line", nil, false, 0},
		{"a mark too short for a line", []lines.Band{{X0: 1, X1: 2 * capital, Y0: 300, Y1: 330}}, false, 0},
		{"far within", []lines.Band{line(100, 400)}, false, 1},
		{"half as far again as what decides", []lines.Band{line(100, 68)}, false, 0.75},
		{"at the border", []lines.Band{line(100, 0)}, true, 1},
	} {
		u := upright{view: view{m: m, scale: 1}, layout: lines.Layout{Bands: c.bands, Cap: capital, Pitch: pitch}}
		var p record.Paper
		if sure := u.edges(&p, image.Pt(w, h)); math.Abs(sure-c.sure) > 0.01 || p.CutOff != c.cut {
			t.Errorf("%s: cut off %v, sure %.2f; want %v, %.2f", c.name, p.CutOff, sure, c.cut, c.sure)
		}
	}
}

// TestSidesCut: a slip that is cut off along a column of its print says so of its sides,
// and of no other, on its side as well.
func TestSidesCut(t *testing.T) {
	r := testReader(t, Options{})
	c := kept(t, "0101-scan-white-lid")
	img, _, err := image.Decode(bytes.NewReader(c.Raw))
	if err != nil {
		t.Fatal(err)
	}
	right, top := 0.0, math.Inf(1) // where the print ends
	left := math.Inf(1)
	for _, l := range c.Lines[0] {
		for _, p := range l.Corners {
			left, right, top = min(left, p.X), max(right, p.X), min(top, p.Y)
		}
	}
	if c.Slips[0].Turn != 0 || top < 10 {
		t.Fatalf("the slip is turned by %d, its print begins at %v", c.Slips[0].Turn, top)
	}
	through := int(left + 0.6*(right-left))
	part := img.(interface {
		SubImage(image.Rectangle) image.Image
	}).SubImage(image.Rect(0, 0, through, img.Bounds().Dy()))
	for n := range 2 {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, turned(part, n), nil); err != nil {
			t.Fatal(err)
		}
		slips := readOne(t, r, b.Bytes()).Slips
		if len(slips) != 1 {
			t.Fatalf("%d quarter turns: %d slips", n, len(slips))
		}
		if p := slips[0].Paper; p.Sides != record.EdgeCut || !p.CutOff || p.Top == record.EdgeCut || p.Bottom == record.EdgeCut {
			t.Errorf("%d quarter turns: sides %q, cut off %v, top %q, bottom %q", n, p.Sides, p.CutOff, p.Top, p.Bottom)
		}
	}
}
