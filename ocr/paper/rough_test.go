package paper

import (
	"math"
	"math/rand/v2"
	"testing"
)

// checks are squares of two kinds of brightness by turns, so many pixels wide.
func checks(wide int, dark, bright float64) func(x, y int, rng *rand.Rand) float64 {
	return func(x, y int, rng *rand.Rand) float64 {
		v := dark
		if (x/wide+y/wide)%2 == 0 {
			v = bright
		}
		return v + 2*rng.NormFloat64()
	}
}

// cloth is bands of dye both ways, so many pixels wide and turned by tilt, that keep a share of
// the light each.
func cloth(wide int, tilt, bright, keep float64) func(x, y int, rng *rand.Rand) float64 {
	sin, cos := math.Sincos(tilt)
	const off = 1000 // keeps every place on the positive side
	return func(x, y int, rng *rand.Rand) float64 {
		v := bright
		if int(float64(x)*cos+float64(y)*sin+off)/wide%2 == 0 {
			v *= keep
		}
		if int(float64(y)*cos-float64(x)*sin+off)/wide%2 == 0 {
			v *= keep
		}
		return v + 2*rng.NormFloat64()
	}
}

// On a checked cloth the lines of its bands are sides as clear as the paper's, and its checks
// outlines as clear.
func TestFindOnCloth(t *testing.T) {
	for _, c := range []struct {
		wide                          int
		tilt, bright, keep            float64
		turn, halfWidth, halfOfHeight float64
	}{
		{19, -0.06, 204, 0.51, -0.064, 116, 146},
		{29, 0.17, 201, 0.62, -0.014, 119, 184},
		{39, -0.04, 175, 0.53, -0.026, 111, 154},
		{27, 0.20, 182, 0.66, 0.013, 111, 142},
		{26, 0.22, 176, 0.76, 0.036, 80, 177},
		{24, -0.24, 204, 0.70, -0.051, 97, 180},
		{14, 0.03, 195, 0.69, 0.050, 105, 161},
	} {
		s := newScene(470, 470, cloth(c.wide, c.tilt, c.bright, c.keep))
		q := rectangle(235-c.halfWidth, 235-c.halfOfHeight, 235+c.halfWidth, 235+c.halfOfHeight)
		sin, cos := math.Sincos(c.turn)
		for i, p := range q {
			q[i].X, q[i].Y = 235+(p.X-235)*cos-(p.Y-235)*sin, 235+(p.X-235)*sin+(p.Y-235)*cos
		}
		s.slip(q, 222)
		found := findIn(t, s.planes())
		best := 0.0
		for _, o := range found {
			best = max(best, overlap(o.Quad, q))
		}
		if best < 0.95 || len(found) > 1 {
			t.Errorf("on bands of %d pixels: %d found, the best with an overlap of %.2f", c.wide, len(found), best)
		}
	}
}

// What goes on from a slip within rough ground is no paper; on an even ground what is rough
// within a side is a stripe on the paper.
func TestReachesGround(t *testing.T) {
	part, whole := rectangle(50, 60, 260, 400), rectangle(50, 60, 320, 400)
	for _, c := range []struct {
		name   string
		ground func(x, y int, rng *rand.Rand) float64
		paper  Quad
		stripe bool
		want   bool
	}{
		{"checks beyond it", checks(14, 60, 160), part, false, true},
		{"checks around the whole", checks(14, 60, 160), whole, false, false},
		{"an even ground beyond it", plainGround(90), part, false, false},
		{"a stripe", plainGround(90), whole, true, false},
	} {
		s := newScene(470, 470, c.ground)
		s.slip(c.paper, 222)
		if c.stripe {
			s.stripe(whole, 0.85, 0.97, 0, 1, 0.55, 110, 170)
		}
		if got := newFinder(s.planes()).reachesGround(part, whole); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A piece of a rough ground beside a slip is no second one at whose side the slip may be
// parted.
func TestBlankParts(t *testing.T) {
	s := newScene(470, 470, checks(30, 60, 190))
	slip := rectangle(40, 30, 160, 440)
	s.slip(rectangle(40, 30, 160, 235), 222)
	s.slip(rectangle(40, 235, 160, 440), 222)
	s.paint(rectangle(40, 234, 160, 236), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 150 })
	f := newFinder(s.planes())
	check := rectangle(330, 180, 420, 270)
	if got := f.parted([]Candidate{f.candidateOf(slip), f.candidateOf(check)}); len(got) != 2 {
		t.Errorf("beside a piece of ground the slip is in %d", len(got)-1)
	}
	s.slip(rectangle(330, 180, 450, 300), 222)
	f = newFinder(s.planes())
	if got := f.parted([]Candidate{f.candidateOf(slip), f.candidateOf(rectangle(330, 180, 450, 300))}); len(got) != 3 {
		t.Errorf("beside another slip, of two in one outline %d are found", len(got)-1)
	}
}

// Beyond a side of a slip that ends on a newspaper its flanks are not seen.
func TestFlanksGoOn(t *testing.T) {
	part, whole := rectangle(100, 60, 320, 330), rectangle(100, 60, 320, 470)
	for _, c := range []struct {
		name  string
		paper Quad
		want  bool
	}{{"the slip ends", part, false}, {"the slip goes on", whole, true}} {
		s := newScene(470, 470, plainGround(190))
		s.slip(rectangle(-100, -60, 600, 560), 190)
		s.slip(c.paper, 225)
		if got := newFinder(s.planes()).flanksGoOn(part, whole, 2); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
