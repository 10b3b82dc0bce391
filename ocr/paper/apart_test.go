package paper

import (
	"math"
	"testing"

	"tankroll/ocr/raster"
)

// apartOn is what the network that tells slips apart would say of planes with slips on quads;
// between is what it says of the strips where slips abut.
func apartOn(p Planes, between float32, quads ...Quad) raster.Plane {
	out := raster.New(p.Luma.W, p.Luma.H)
	for y := range out.H {
		for x := range out.W {
			px, py := (float64(x)+0.5)*p.Step, (float64(y)+0.5)*p.Step
			holds := func(q Quad) bool { l, r := cutRow(q, py); return px > l && px < r }
			v, in := float32(0.02), 0
			for _, q := range quads {
				if holds(expanded(q, -2*p.Step)) {
					v = 0.98
				}
				if holds(expanded(q, 2*p.Step)) {
					in++
				}
			}
			if in > 1 {
				v = between
			}
			out.Pix[y*out.W+x] = v
		}
	}
	return out.Blur(0.7)
}

// painted sets what is said within q.
func painted(said raster.Plane, p Planes, q Quad, v float32) raster.Plane {
	for y := range said.H {
		l, r := cutRow(q, (float64(y)+0.5)*p.Step)
		for x := range said.W {
			if px := (float64(x) + 0.5) * p.Step; px > l && px < r {
				said.Pix[y*said.W+x] = v
			}
		}
	}
	return said
}

// Two slips as white as their sheet, one taped right below the other, and a wider one beside
// them.
var sheetSlips = []Quad{rectangle(80, 60, 340, 400), rectangle(80, 400, 340, 760), rectangle(390, 100, 690, 560)}

// Slips of which no side shows are found where they lie, also where the network only halfway
// sees that one ends and the next begins, or not all along.
func TestFindApart(t *testing.T) {
	for name, said := range map[string]func(p Planes) raster.Plane{
		"plainly": func(p Planes) raster.Plane { return apartOn(p, 0.02, sheetSlips...) },
		"halfway": func(p Planes) raster.Plane { return apartOn(p, 0.6, sheetSlips...) },
		"but for a bridge": func(p Planes) raster.Plane {
			return painted(apartOn(p, 0.02, sheetSlips...), p, rectangle(180, 380, 220, 420), 0.98)
		},
	} {
		s := newScene(760, 820, plainGround(228))
		for _, q := range sheetSlips {
			s.slip(q, 228)
		}
		p := s.planes()
		p.Apart = said(p)
		found := findIn(t, p)
		if len(found) != len(sheetSlips) {
			t.Errorf("%s: %d slips: %v", name, len(found), found)
			continue
		}
		for i, at := range []int{0, 2, 1} { // in reading order
			if o := overlap(found[i].Quad, sheetSlips[at]); o < 0.93 {
				t.Errorf("%s: slip %d: an overlap of %.2f", name, at, o)
			}
		}
	}
}

// findAlone is where one slip on a sheet as white is found that is told apart from it.
func findAlone(t *testing.T, q Quad) Quad {
	t.Helper()
	s := newScene(760, 820, plainGround(228))
	s.slip(q, 228)
	p := s.planes()
	p.Apart = apartOn(p, 0, q)
	found := findIn(t, p)
	if len(found) != 1 {
		t.Fatalf("%d slips: %v", len(found), found)
	}
	return found[0].Quad
}

// A slip right below the upper border of a sheet as white does not run off the picture.
func TestApartFromBorder(t *testing.T) {
	q := rectangle(200, 20, 520, 640)
	found := findAlone(t, q)
	if top := found[0].Y; top < 10 {
		t.Errorf("it begins %.0f pixels below the border, want 20", top)
	}
}

// Print of a slip that the network does not see is read as well.
func TestFindBesideApart(t *testing.T) {
	s := newScene(760, 820, plainGround(228))
	for _, q := range sheetSlips {
		s.slip(q, 228)
	}
	p := s.planes()
	p.Apart = apartOn(p, 0.02, sheetSlips[:2]...)
	found := findIn(t, p)
	if len(found) != len(sheetSlips) {
		t.Fatalf("%d slips: %v", len(found), found)
	}
	if o := covered(rectangle(414, 146, 666, 514), found[1].Quad); o < 0.99 {
		t.Errorf("of the print beside the slips %.2f is found", o)
	}
}

// A slip alone on a sheet as white lies where it is said to lie.
func TestFindOneApart(t *testing.T) {
	found := findAlone(t, oneSlip)
	if o := overlap(found, oneSlip); o < 0.93 {
		t.Errorf("an overlap of %.2f", o)
	}
}

// A slip that stands out from its ground is one, also where tape across a bare part of it looks
// like a gap, where only a part of it is told apart, and where it runs off the picture; where there
// surely is a gap there are two.
func TestFindOneThatLooksApart(t *testing.T) {
	upper, lower, over := rectangle(120, 80, 560, 352), rectangle(120, 352, 560, 700), rectangle(120, 352, 560, 820)
	for _, c := range []struct {
		name        string
		slips, said []Quad
		gap         float32
		whole       Quad
		want        int
	}{
		{"as two", []Quad{upper, lower}, []Quad{upper, lower}, 0.4, rectangle(120, 80, 560, 700), 1},
		{"in part", []Quad{upper, lower}, []Quad{lower}, 0, rectangle(120, 80, 560, 700), 1},
		{"running off", []Quad{upper, over}, []Quad{upper, over}, 0.4, rectangle(120, 80, 560, 820), 1},
		{"two", []Quad{upper, lower}, []Quad{upper, lower}, 0.02, upper, 2},
	} {
		s := newScene(760, 820, plainGround(200))
		for _, q := range c.slips {
			s.slip(q, 228)
		}
		p := s.planes()
		p.Apart = apartOn(p, c.gap, c.said...)
		if found := findIn(t, p); len(found) != c.want || overlap(found[0].Quad, c.whole) < 0.95 {
			t.Errorf("%s: %d found: %v", c.name, len(found), found)
		}
	}
}

// A slip of which a corner is less plainly its own than the gap to the next one is a gap has that
// corner all the same.
func TestApartRegionsFaded(t *testing.T) {
	s := newScene(760, 820, plainGround(228))
	for _, q := range sheetSlips {
		s.slip(q, 228)
	}
	p := s.planes()
	p.Apart = apartOn(p, 0.7, sheetSlips...)
	f := newFinder(p)
	lower := func() int {
		for _, r := range f.apartRegions() {
			if y := float64(r.y0) * p.Step; y > 380 && y < 420 {
				return r.count
			}
		}
		return 0
	}
	plain := lower()
	f.apart = painted(f.apart, p, rectangle(200, 640, 340, 760), 0.6)
	if faded := lower(); plain == 0 || faded < plain*98/100 {
		t.Errorf("%d of its %d pixels", faded, plain)
	}
}

// What is said of slips on a dark ground or under each other, and what has no shape changes
// nothing.
func TestFindWithoutApart(t *testing.T) {
	under := rectangle(100, 100, 500, 600)
	for name, c := range map[string]struct {
		ground float64
		slips  []Quad
		said   func(p Planes) raster.Plane
	}{
		"dark ground": {90, []Quad{leftSlip, rightSlip}, func(p Planes) raster.Plane { return apartOn(p, 0, leftSlip, rectangle(500, 80, 700, 400)) }},
		"a slip's corner": {228, []Quad{under}, func(p Planes) raster.Plane {
			said := painted(apartOn(p, 0, under), p, rectangle(370, 420, 500, 600), 0)
			return painted(said, p, rectangle(376, 426, 496, 596), 0.98)
		}},
		"slips and a disc": {228, []Quad{leftSlip, rightSlip}, func(p Planes) raster.Plane {
			said := apartOn(p, 0, leftSlip, rectangle(400, 80, 700, 500))
			for i := range said.Pix { // and a disc
				x, y := float64(i%said.W)*p.Step-560, float64(i/said.W)*p.Step-660
				if math.Hypot(x, y) < 140 {
					said.Pix[i] = 0.98
				}
			}
			return said
		}},
		"everything": {228, []Quad{oneSlip}, func(p Planes) raster.Plane {
			return raster.New(p.Luma.W, p.Luma.H).Map(func(float32) float32 { return 1 })
		}},
		"nothing":      {228, []Quad{oneSlip}, func(p Planes) raster.Plane { return raster.New(p.Luma.W, p.Luma.H) }},
		"another size": {228, []Quad{oneSlip}, func(Planes) raster.Plane { return raster.New(5, 5) }},
	} {
		s := newScene(760, 820, plainGround(c.ground))
		for _, q := range c.slips {
			s.slip(q, 228)
		}
		p := s.planes()
		want := findIn(t, p)
		p.Apart = c.said(p)
		asBefore(t, name, findIn(t, p), want)
	}
}

// A sheet with slips is mostly bright, and a slip on a table is where it fills the picture.
func TestMostlyBright(t *testing.T) {
	for name, c := range map[string]struct {
		ground float64
		slip   Quad
		want   bool
	}{
		"a sheet":                {225, leftSlip, true},
		"a slip on wood":         {70, leftSlip, false},
		"a slip that fills all":  {70, rectangle(20, 20, 740, 800), true},
		"a slip on a grey sheet": {185, leftSlip, true},
	} {
		s := newScene(760, 820, plainGround(c.ground))
		s.slip(c.slip, 228)
		if p := s.planes(); p.MostlyBright() != c.want {
			t.Errorf("%s: mostly bright is %v", name, !c.want)
		}
	}
	if (Planes{}).MostlyBright() {
		t.Error("no picture is mostly bright")
	}
}
