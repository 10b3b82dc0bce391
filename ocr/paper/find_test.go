package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/record"
)

func plainGround(v float64) func(int, int, *rand.Rand) float64 {
	return func(_, _ int, rng *rand.Rand) float64 { return v + 1.5*rng.NormFloat64() }
}

func woodGround(x, y int, rng *rand.Rand) float64 {
	return 120 + 18*math.Sin(float64(y)/5+2*math.Sin(float64(x)/90)) + 3*rng.NormFloat64()
}

func slopingGround(x, _ int, rng *rand.Rand) float64 { return 60 + float64(x)/8 + 2*rng.NormFloat64() }

var (
	oneSlip   = Quad{{X: 220, Y: 90}, {X: 560, Y: 120}, {X: 530, Y: 720}, {X: 190, Y: 690}}
	leftSlip  = Quad{{X: 70, Y: 80}, {X: 350, Y: 84}, {X: 345, Y: 640}, {X: 66, Y: 636}}
	rightSlip = Quad{{X: 380, Y: 86}, {X: 660, Y: 80}, {X: 664, Y: 636}, {X: 384, Y: 642}}
)

// near fails the test unless the corners of got and want are within some pixels
// of each other.
func near(t *testing.T, got, want Quad, most float64) {
	t.Helper()
	for i := range got {
		if d := apartBy(got[i], want[i]); d > most {
			t.Errorf("corner %d is %.0f, %.0f, want %.0f, %.0f", i, got[i].X, got[i].Y, want[i].X, want[i].Y)
		}
	}
}

func TestFindOne(t *testing.T) {
	grounds := map[string]func(int, int, *rand.Rand) float64{
		"dark": plainGround(40), "grey": plainGround(150), "wood": woodGround, "sloping": slopingGround, "white": plainGround(250),
	}
	for name, g := range grounds {
		t.Run(name, func(t *testing.T) {
			s := newScene(760, 820, g)
			s.slip(oneSlip, 225)
			found := findIn(t, s.planes())
			if len(found) != 1 {
				t.Fatalf("%d slips: %v", len(found), found)
			}
			near(t, found[0].Quad, oneSlip, 8)
		})
	}
}

func TestFindNothing(t *testing.T) {
	for name, g := range map[string]func(int, int, *rand.Rand) float64{"white": plainGround(230), "wood": woodGround, "sloping": slopingGround} {
		if found := findIn(t, newScene(760, 820, g).planes()); len(found) != 0 {
			t.Errorf("%s: %v", name, found)
		}
	}
}

// TestFindTwo: slips of one length side by side stay two, on dark ground and on
// a page as bright as they are.
func TestFindTwo(t *testing.T) {
	for name, g := range map[string]func(int, int, *rand.Rand) float64{"dark": plainGround(60), "page": plainGround(246)} {
		t.Run(name, func(t *testing.T) {
			s := newScene(740, 740, g)
			s.slip(leftSlip, 222)
			s.slip(rightSlip, 228)
			found := findIn(t, s.planes())
			if len(found) != 2 {
				t.Fatalf("%d slips: %v", len(found), found)
			}
			near(t, found[0].Quad, leftSlip, 8)
			near(t, found[1].Quad, rightSlip, 8)
		})
	}
}

// TestFindWhole: a stripe down the paper does not cut a slip in two.
func TestFindWhole(t *testing.T) {
	for name, at := range map[string][2]float64{"side": {0.84, 1}, "near the side": {0.72, 0.86}} {
		t.Run(name, func(t *testing.T) {
			s := newScene(760, 820, plainGround(50))
			s.slip(oneSlip, 225)
			s.stripe(oneSlip, at[0], at[1], 0, 1, 0.65, 118, 175)
			found := findIn(t, s.planes())
			if len(found) != 1 {
				t.Fatalf("%d slips: %v", len(found), found)
			}
			near(t, found[0].Quad, oneSlip, 10)
		})
	}
}

func TestSharesOneOwnSide(t *testing.T) {
	part := oneSlip
	part[1], part[2] = record.Point{X: 480, Y: 113}, record.Point{X: 450, Y: 713}
	if side, n := ownSide(part, oneSlip); side != 1 || n != 1 {
		t.Errorf("side %d of %d, want 1 of 1", side, n)
	}
	if _, n := ownSide(leftSlip, oneSlip); n != 4 {
		t.Errorf("two slips differ in %d sides", n)
	}
}

func TestMeasureSkew(t *testing.T) {
	for _, want := range []float64{-6, -3.3, -0.7, 0, 1.2, 4.5} {
		p := raster.New(640, 500)
		rng := rand.New(rand.NewPCG(5, 6))
		slope := math.Tan(want * math.Pi / 180)
		for line := 60; line < 440; line += 26 {
			for x := 60; x < 580; x += 14 {
				if rng.IntN(5) == 0 {
					continue
				}
				h := 9 + rng.IntN(6)
				for dx := range 9 {
					y := line + int(math.Round(slope*float64(x+dx-320)))
					for dy := range h {
						p.Pix[(y-dy)*640+x+dx] = 1
					}
				}
			}
		}
		if got, _ := MeasureSkew(p, 7); math.Abs(got-want) > 0.3 {
			t.Errorf("print that falls by %v degrees is measured as %.2f", want, got)
		}
	}
}

// shade darkens everything to the right of a slanting line, as a hard shadow does.
func (s *scene) shade(x0, slope, keep float64) {
	w := s.luma.Rect.Dx()
	for y := range s.luma.Rect.Dy() {
		for x := range w {
			if float64(x) > x0+slope*float64(y) {
				s.luma.Pix[y*w+x] = byteOf(float64(s.luma.Pix[y*w+x]) * keep)
			}
		}
	}
}

// TestFindShaded: a hard shadow across a slip cuts neither it nor its ground into
// outlines of their own, with the stripe of a roll's end neither.
func TestFindShaded(t *testing.T) {
	for _, c := range []struct {
		name              string
		ground, x0, slope float64
		stripe            bool
	}{
		{"down the middle", 60, 380, 0, false},
		{"slanting", 110, 300, 0.3, false},
		{"with a stripe", 110, 420, -0.2, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newScene(760, 820, plainGround(c.ground))
			s.slip(oneSlip, 225)
			if c.stripe {
				s.stripe(oneSlip, 0.8, 0.93, 0, 1, 0.6, 118, 175)
			}
			s.shade(c.x0, c.slope, 0.55)
			found := findIn(t, s.planes())
			if len(found) != 1 {
				t.Fatalf("%d slips: %v", len(found), found)
			}
			near(t, found[0].Quad, oneSlip, 8)
		})
	}
}

// TestFindTilted: a slip that is seen from far aside is found by its own corners.
func TestFindTilted(t *testing.T) {
	tilted := Quad{{X: 260, Y: 130}, {X: 500, Y: 90}, {X: 640, Y: 720}, {X: 110, Y: 690}}
	s := newScene(760, 820, plainGround(110))
	s.slip(tilted, 225)
	found := findIn(t, s.planes())
	if len(found) != 1 {
		t.Fatalf("%d slips: %v", len(found), found)
	}
	near(t, found[0].Quad, tilted, 8)
}

// On a sheet as white as its slips, whose edges hardly show, each block of print is a slip.
func TestSlipsUnseen(t *testing.T) {
	s := newScene(720, 900, plainGround(228))
	for _, q := range []Quad{rectangle(60, 40, 320, 300), rectangle(400, 60, 660, 320), rectangle(60, 420, 320, 800), rectangle(400, 500, 660, 840)} {
		s.slip(q, 228)
	}
	f := newFinder(s.planes())
	vague := f.candidateOf(rectangle(60, 40, 660, 320)) // a side of one, a side of another
	vague.Confidence = 0.4
	if got := f.unseen([]Candidate{vague}); len(got) != 4 {
		t.Errorf("%d slips, want 4: %v", len(got), got)
	}
	clear := vague
	clear.Confidence = 0.9
	if got := f.unseen([]Candidate{clear}); got != nil {
		t.Errorf("with a clear outline: %v", got)
	}
	if got := f.unseen(nil); len(got) != 4 {
		t.Errorf("without any outline: %d slips, want 4: %v", len(got), got)
	}
}

// Where no outline was found at all blocks of print are slips where a side of paper is seen
// between them; else they are parts of one.
func TestOnlyPrint(t *testing.T) {
	for _, c := range []struct {
		name  string
		paper float64
		want  int
	}{{"two slips a little whiter than the sheet", 233, 2}, {"one slip with room between its parts", 228, 0}} {
		s := newScene(900, 900, func(_, _ int, rng *rand.Rand) float64 { return 228 + 1.5*rng.NormFloat64() })
		upper, lower := rectangle(120, 60, 420, 340), rectangle(110, 360, 420, 700)
		s.slip(upper, c.paper)
		s.slip(lower, c.paper)
		f := newFinder(s.planes())
		got := f.unseen(nil)
		if len(got) != c.want {
			t.Errorf("%s: %d slips, want %d: %v", c.name, len(got), c.want, got)
			continue
		}
		if c.want > 0 {
			near(t, scaled(got, s.planes().Step)[0].Quad, upper, 8)
			near(t, got[1].Quad, lower, 8)
		}
	}
}
