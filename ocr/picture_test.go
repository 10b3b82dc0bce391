package ocr

import (
	"context"
	"testing"

	"tankroll/ocr/decode"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// TestPaperState: the stripe of a roll's end, lines that run off the picture and
// neither of them, as the truth has it; and all slips in one piece.
func TestPaperState(t *testing.T) {
	r := testReader(t, Options{})
	seen := record.Paper{}
	for _, name := range []string{"0101-scan-white-lid", "0103-scan-of-the-end-of-a-roll", "0107-photo-cut-off"} {
		c := kept(t, name)
		slips := readOne(t, r, c.Raw).Slips
		if len(slips) != 1 {
			t.Errorf("%s: %d slips", name, len(slips))
			continue
		}
		got, want := slips[0].Paper, c.Slips[0].Paper
		if got.EndOfRoll != want.EndOfRoll || got.CutOff != want.CutOff || got.Blurred {
			t.Errorf("%s: end of roll, cut off, blurred %v %v %v, want %v %v false", name, got.EndOfRoll, got.CutOff, got.Blurred, want.EndOfRoll, want.CutOff)
		}
		for what, v := range map[string]float64{"corners": got.Sure.Corners, "turn": got.Sure.Turn, "ink": got.Sure.Ink,
			"end of roll": got.Sure.EndOfRoll, "cut off": got.Sure.CutOff, "blurred": got.Sure.Blurred} {
			if !(v > 0.1 && v <= 1) {
				t.Errorf("%s: how sure of %s is %v", name, what, v)
			}
		}
		if d := apart(slips[0].Corners, c.Slips[0].Corners); d > 0.1 {
			t.Errorf("%s: corners %v, want %v", name, slips[0].Corners, c.Slips[0].Corners)
		}
		seen.EndOfRoll, seen.CutOff = seen.EndOfRoll || want.EndOfRoll, seen.CutOff || want.CutOff
	}
	if !seen.EndOfRoll || !seen.CutOff {
		t.Error("the kept slips show no stripe, or none is cut off: nothing was tested")
	}
}

// TestBlurred: the same picture is called blurred once its print is too soft to
// read, and not before.
func TestBlurred(t *testing.T) {
	r := testReader(t, Options{})
	c := kept(t, "0101-scan-white-lid")
	page, err := decodeOne(c.Raw)
	if err != nil {
		t.Fatal(err)
	}
	m, ok := paper.NewMap(paper.Quad(c.Slips[0].Corners))
	if !ok {
		t.Fatalf("no map from %v", c.Slips[0].Corners)
	}
	capital := 0.0 // its height in pixels
	for _, b := range []struct {
		sigma float64 // in heights of a capital
		want  bool
	}{{0, false}, {0.05, false}, {0.15, true}, {0.25, true}} {
		soft := raster.FromGray(page.Luma).Blur(b.sigma * capital)
		u, err := r.setUpright(context.Background(), raster.NewPyramid(soft), m, nil)
		if err != nil {
			t.Fatal(err)
		}
		if b.sigma == 0 {
			capital = readCap / u.scale
		}
		if u.blurred() != b.want {
			t.Errorf("blurred by %v of a capital: called blurred %v, legible %.2f", b.sigma, u.blurred(), u.legible)
		}
	}
}

func decodeOne(raw []byte) (decode.Page, error) {
	ctx := context.Background()
	f, err := decode.New().Open(ctx, raw, decode.Limits{})
	if err != nil {
		return decode.Page{}, err
	}
	return f.Page(ctx, 0)
}
