package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"tankroll/ocr/raster"
)

// likelyOn is what package papernet would say of planes with paper on quads: softly, and
// with a little of it everywhere.
func likelyOn(p Planes, quads ...Quad) raster.Plane {
	out := raster.New(p.Luma.W, p.Luma.H)
	for y := range out.H {
		for x := range out.W {
			v := float32(0.02)
			for _, q := range quads {
				if l, r := cutRow(q, (float64(y)+0.5)*p.Step); (float64(x)+0.5)*p.Step > l && (float64(x)+0.5)*p.Step < r {
					v = 0.98
				}
			}
			out.Pix[y*out.W+x] = v
		}
	}
	return out.Blur(1)
}

// keyed is a ground of caps with a sign on each, some as bright as paper.
func keyed(x, y int, rng *rand.Rand) float64 {
	const cap = 46
	kx, ky := x%cap, y%cap
	switch {
	case kx < 5 || ky < 5:
		return 30 + 2*rng.NormFloat64()
	case kx > 14 && kx < 24 && ky > 14 && ky < 30 && (kx+ky)%5 < 2:
		return 60
	}
	return 222 + 2*rng.NormFloat64()
}

// Where it is plain what is paper, neither a part of it that stands out by itself nor a part of
// the ground is a slip.
func TestFindWhatIsPlainlyPaper(t *testing.T) {
	for name, g := range map[string]func(int, int, *rand.Rand) float64{"keys": keyed, "checks": checks(34, 60, 228), "white": plainGround(229), "wood": woodGround} {
		s := newScene(760, 820, g)
		s.slip(oneSlip, 225)
		p := s.planes()
		p.Likely = likelyOn(p, oneSlip)
		found := findIn(t, p)
		if len(found) != 1 {
			t.Errorf("%s: %d slips: %v", name, len(found), found)
			continue
		}
		if o := overlap(found[0].Quad, oneSlip); o < 0.95 {
			t.Errorf("%s: an overlap of %.2f", name, o)
		}
	}
}

// Two slips that are plainly paper are both found where they lie.
func TestFindTwoThatArePlainlyPaper(t *testing.T) {
	s := newScene(760, 820, keyed)
	s.slip(leftSlip, 224)
	s.slip(rightSlip, 224)
	p := s.planes()
	p.Likely = likelyOn(p, leftSlip, rightSlip)
	found := findIn(t, p)
	if len(found) != 2 {
		t.Fatalf("%d slips: %v", len(found), found)
	}
	for i, q := range []Quad{leftSlip, rightSlip} {
		if o := overlap(found[i].Quad, q); o < 0.92 {
			t.Errorf("slip %d: an overlap of %.2f", i, o)
		}
	}
}

// asBefore checks that the same slips are found as without what was said.
func asBefore(t *testing.T, name string, found, want []Candidate) {
	t.Helper()
	if len(found) != len(want) {
		t.Errorf("%s: %d slips, want %d", name, len(found), len(want))
		return
	}
	for i := range found {
		near(t, found[i].Quad, want[i].Quad, 0.01)
	}
}

// What is said of a part of the picture only, or without a shape, changes nothing.
func TestFindWithoutPlainPaper(t *testing.T) {
	s := newScene(760, 820, plainGround(60))
	s.slip(leftSlip, 225)
	s.slip(rightSlip, 225)
	p := s.planes()
	want := findIn(t, p)
	cloud := raster.New(p.Luma.W, p.Luma.H)
	for i := range cloud.Pix {
		x, y := float64(i%cloud.W), float64(i/cloud.W)
		cloud.Pix[i] = float32(0.5 + 0.5*math.Sin(x/31)*math.Sin(y/23))
	}
	for name, likely := range map[string]raster.Plane{
		"nothing":      raster.New(p.Luma.W, p.Luma.H),
		"everything":   raster.New(p.Luma.W, p.Luma.H).Map(func(float32) float32 { return 1 }),
		"clouds":       cloud,
		"another size": raster.New(5, 5),
	} {
		p.Likely = likely
		asBefore(t, name, findIn(t, p), want)
	}
}

// The stripe at the end of a roll that runs along a side is no paper to many an eye, and
// belongs to the slip.
func TestStripeBesidePlainPaper(t *testing.T) {
	s := newScene(760, 820, plainGround(40))
	q := rectangle(220, 80, 560, 720)
	s.slip(q, 225)
	s.stripe(q, 0, 0.16, 0, 1, 0.35, 120, 180)
	bare := q
	bare[0].X += 0.16 * 340
	bare[3].X += 0.16 * 340
	p := s.planes()
	p.Likely = likelyOn(p, bare)
	found := findIn(t, p)
	if len(found) != 1 {
		t.Fatalf("%d slips: %v", len(found), found)
	}
	if o := overlap(found[0].Quad, q); o < 0.93 {
		t.Errorf("an overlap of %.2f with the slip, %.2f with it without the stripe", o, overlap(found[0].Quad, bare))
	}
}
