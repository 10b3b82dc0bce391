package paper

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// lens is a pinhole camera over a sheet of w x h, leaning about two axes.
func lens(w, h, leanX, leanY, turn float64) func(u, v float64) record.Point {
	far := 2.5 * max(w, h)
	return func(u, v float64) record.Point {
		x, y := (u-0.5)*w, (v-0.5)*h
		x, y = x*math.Cos(turn)-y*math.Sin(turn), x*math.Sin(turn)+y*math.Cos(turn)
		y, z := y*math.Cos(leanX), y*math.Sin(leanX)
		x, z = x*math.Cos(leanY)-z*math.Sin(leanY), x*math.Sin(leanY)+z*math.Cos(leanY)
		k := far / (far + z)
		return record.Point{X: 400 + k*x, Y: 400 + k*y}
	}
}

func seen(at func(u, v float64) record.Point) Quad {
	return Quad{at(0, 0), at(1, 0), at(1, 1), at(0, 1)}
}

func apartBy(a, b record.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// TestHomography: corners go to corners, and back again from anywhere.
func TestHomography(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		w, h := 100+500*rng.Float64(), 100+500*rng.Float64()
		q := seen(lens(w, h, rng.Float64()-0.5, rng.Float64()-0.5, 6*rng.Float64()))
		m, ok := fit(w, h, q)
		if !ok {
			t.Fatalf("no homography to %v", q)
		}
		for i, c := range [4][2]float64{{0, 0}, {w, 0}, {w, h}, {0, h}} {
			if x, y := m.apply(c[0], c[1]); apartBy(record.Point{X: x, Y: y}, q[i]) > 1e-6 {
				t.Errorf("corner %d of %v lands on %v, %v", i, q, x, y)
			}
		}
		for range 20 {
			x, y := w*rng.Float64(), h*rng.Float64()
			px, py := m.apply(x, y)
			if bx, by := back(m, px, py); math.Hypot(bx-x, by-y) > 0.01 {
				t.Errorf("%v, %v comes back as %v, %v", x, y, bx, by)
			}
		}
	}
	if _, ok := fit(10, 10, Quad{{X: 0, Y: 0}, {X: 5, Y: 5}, {X: 10, Y: 10}, {X: 2, Y: 2}}); ok {
		t.Error("corners on one line give a homography")
	}
}

// TestMapProportions: seen from above a map has the sheet's own proportions; the more the
// camera leans, in whatever direction, the more they are off, by no more than NewMap says.
// NewMapSeen has most of them right where the camera leans far, its sheet not quite in the
// middle of the picture, and is never further off.
func TestMapProportions(t *testing.T) {
	size := image.Pt(2400, 1800)
	last := -1.0
	for _, c := range []struct{ degrees, most, middle float64 }{{0, 0.001, 0.001}, {10, 0.055, 0.04}, {20, 0.14, 0.06}, {35, 0.36, 0.05}} {
		var plain, knowing []float64
		for direction := range 72 {
			about := float64(direction) * math.Pi / 36
			lean := c.degrees * math.Pi / 180
			x := math.Asin(math.Sin(lean) * math.Sin(about))
			y := math.Copysign(math.Acos(min(1, math.Cos(lean)/math.Cos(x))), math.Cos(about))
			for _, long := range []float64{500, 900, 1500} {
				q := seen(lens(460, long, x, y, 0.05))
				for i := range q {
					q[i].X, q[i].Y = q[i].X-400+1230, q[i].Y-400+880
				}
				off := func(m Map, ok bool) float64 {
					if !ok {
						t.Fatal("no map")
					}
					return math.Exp(math.Abs(math.Log(m.W/m.H*long/460))) - 1
				}
				plain, knowing = append(plain, off(NewMap(q))), append(knowing, off(NewMapSeen(q, size)))
			}
		}
		slices.Sort(plain)
		slices.Sort(knowing)
		worst, middle, worstKnowing := plain[len(plain)-1], knowing[len(knowing)/2], knowing[len(knowing)-1]
		t.Logf("leaning by %v degrees: proportions are off by up to %.3f; where perspective is looked at by up to %.3f, in the middle %.3f of %.3f",
			c.degrees, worst, worstKnowing, middle, plain[len(plain)/2])
		if worst > c.most || worst <= last {
			t.Errorf("leaning by %v degrees: proportions are off by up to %.3f, at most %.2f is said, and less leaning has %.3f", c.degrees, worst, c.most, last)
		}
		if middle > c.middle || worstKnowing > worst {
			t.Errorf("leaning by %v degrees: where perspective is looked at proportions are off by %.3f in the middle, at most %.2f is said, and by up to %.3f", c.degrees, middle, c.middle, worstKnowing)
		}
		last = worst
	}
}

// A scan, a sheet that runs off the picture, and a lens that no phone has: the sides are taken
// as they are seen.
func TestMapSeenFallsBack(t *testing.T) {
	tilted := seen(lens(300, 500, 0.5, 0.4, 0.1))
	for name, c := range map[string]struct {
		q    Quad
		size image.Point
	}{
		"scan": {seen(lens(300, 500, 0, 0, 0.03)), image.Pt(800, 800)},
		"cut":  {tilted, image.Pt(int(max(tilted[1].X, tilted[2].X)), 800)},
		"lens": {tilted, image.Pt(9000, 9000)},
	} {
		a, okA := NewMap(c.q)
		b, okB := NewMapSeen(c.q, c.size)
		if !okA || !okB || a.W != b.W || a.H != b.H {
			t.Errorf("%s: %v x %v, want %v x %v", name, b.W, b.H, a.W, a.H)
		}
	}
	if a, b := mustMap(t, tilted), mustSeen(t, tilted, image.Pt(800, 800)); a.W == b.W && a.H == b.H {
		t.Error("the tilted sheet has the sides that are seen: nothing was tested")
	} else if r := b.Turned(1); r.W != b.H || r.H != b.W {
		t.Errorf("turned it is %v x %v, before %v x %v", r.W, r.H, b.W, b.H)
	}
}

// A camera that leans about one side of the sheet tells nothing of its lens: corners that are
// found a few pixels off do not make the proportions worse than they are seen.
func TestMapSeenLeaningOneWay(t *testing.T) {
	const w, h = 460, 900
	for corner := range 4 {
		for _, by := range []float64{-4, -1, -0.2, 0.2, 1, 4} {
			q := seen(lens(w, h, 0.6, 0, 0))
			for i := range q {
				q[i].X, q[i].Y = q[i].X+300, q[i].Y+300
			}
			q[corner].X += by
			off := func(m Map) float64 { return math.Abs(math.Log(m.W / m.H * h / w)) }
			if a, b := off(mustMap(t, q)), off(mustSeen(t, q, image.Pt(1400, 1400))); !(b <= a+0.01) {
				t.Errorf("corner %d moved by %v: proportions are off by %.3f, as seen by %.3f", corner, by, b, a)
			}
		}
	}
}

func mustMap(t *testing.T, q Quad) Map {
	t.Helper()
	m, ok := NewMap(q)
	if !ok {
		t.Fatal("no map")
	}
	return m
}

func mustSeen(t *testing.T, q Quad, size image.Point) Map {
	t.Helper()
	m, ok := NewMapSeen(q, size)
	if !ok {
		t.Fatal("no map")
	}
	return m
}

// back is the inverse of m, by Cramer's rule on its two equations.
func back(m homography, u, v float64) (x, y float64) {
	a, b, e := m[0]-u*m[6], m[1]-u*m[7], u-m[2]
	c, d, f := m[3]-v*m[6], m[4]-v*m[7], v-m[5]
	det := a*d - b*c
	return (e*d - b*f) / det, (a*f - e*c) / det
}

// TestMapTurns: a map that is turned, set on its head or skewed still speaks of
// the same paper.
func TestMapTurns(t *testing.T) {
	m, ok := NewMap(seen(lens(300, 500, 0.3, -0.2, 0.1)))
	if !ok {
		t.Fatal("no map")
	}
	m = m.Bent(Bend{nx: 2, ny: 2, dy: []float64{0, 3, -2, 1}})
	same := func(what string, ax, ay, bx, by float64) {
		t.Helper()
		if math.Hypot(ax-bx, ay-by) > 0.01 {
			t.Errorf("%s: %.3f, %.3f is not %.3f, %.3f", what, ax, ay, bx, by)
		}
	}
	f := m.Flipped()
	for _, p := range [][2]float64{{0, 0}, {70, 30}, {m.W / 2, m.H / 3}, {m.W, m.H}} {
		ax, ay := m.ToOriginal(p[0], p[1])
		bx, by := f.ToOriginal(m.W-p[0], m.H-p[1])
		same("flipped", ax, ay, bx, by)
		bx, by = f.Flipped().ToOriginal(p[0], p[1])
		same("flipped twice", ax, ay, bx, by)
	}
	for n := range 4 {
		r := m.Turned(n)
		x, y := r.ToOriginal(0, 0)
		same("first corner of the turned map", x, y, m.Quad[(4-n)%4].X, m.Quad[(4-n)%4].Y)
		if back := r.Turned(-n); back.Quad != m.Quad {
			t.Errorf("turned by %d and back: %v", n, back.Quad)
		}
	}
	s := m.Skewed(3)
	x, y := s.ToOriginal(m.W/2, m.H/2)
	bx, by := m.Bent(Bend{}).ToOriginal(m.W/2, m.H/2)
	same("middle of the skewed map", x, y, bx, by)
}

// TestFlatten: marks on a sheet seen at a slant lie where they belong once it is
// flattened, to a pixel.
func TestFlatten(t *testing.T) {
	at := lens(420, 560, 0.45, 0.3, 0.12)
	picture := raster.New(800, 800)
	var marks [][2]float64
	for i := range 5 {
		for k := range 5 {
			marks = append(marks, [2]float64{0.1 + 0.2*float64(i), 0.1 + 0.2*float64(k)})
		}
	}
	for _, k := range marks {
		p := at(k[0], k[1])
		for y := int(p.Y) - 8; y <= int(p.Y)+8; y++ {
			for x := int(p.X) - 8; x <= int(p.X)+8; x++ {
				d := math.Hypot(float64(x)+0.5-p.X, float64(y)+0.5-p.Y)
				picture.Pix[y*800+x] += float32(200 * math.Exp(-d*d/8))
			}
		}
	}
	m, ok := NewMap(seen(at))
	if !ok {
		t.Fatal("no map")
	}
	for _, scale := range []float64{1, 0.4, 1.7} {
		flat := m.Flatten(raster.NewPyramid(picture), scale)
		for _, k := range marks {
			x, y := k[0]*m.W*scale, k[1]*m.H*scale
			gx, gy := centre(flat, x, y, 12*scale)
			if d := math.Hypot(gx-x, gy-y); !(d < 1) {
				t.Errorf("scale %v: the mark at %.1f, %.1f is at %.1f, %.1f", scale, x, y, gx, gy)
			}
		}
	}
}

// centre is the centre of the brightness within r of x, y.
func centre(p raster.Plane, x, y, r float64) (cx, cy float64) {
	var n float64
	for py := int(y - r); py <= int(y+r); py++ {
		for px := int(x - r); px <= int(x+r); px++ {
			v := float64(p.At(px, py))
			cx, cy, n = cx+v*(float64(px)+0.5), cy+v*(float64(py)+0.5), n+v
		}
	}
	return cx / n, cy / n
}

// TestEnds: where the picture ends and where the paper does.
func TestEnds(t *testing.T) {
	m, _ := NewMap(Quad{{X: 0, Y: 100}, {X: 700, Y: 100}, {X: 700, Y: 900}, {X: 0, Y: 900}})
	if got, want := m.Ends(1000, 900), [4]bool{true, true, false, false}; got != want {
		t.Errorf("the paper ends at top, right, bottom, left: %v, want %v", got, want)
	}
}

// Columns that lean are measured and stood up; level lines stay level.
func TestLean(t *testing.T) {
	for _, want := range []float64{-2.5, -1, 0, 1.5, 3} {
		p := raster.New(400, 600)
		lean := math.Tan(want * math.Pi / 180)
		for line := range 20 {
			for col := range 16 {
				for y := 20 + 28*line; y < 36+28*line; y++ {
					x := 40 + 20*float64(col) - lean*(float64(y)-300)
					for dx := range 3 {
						p.Pix[y*p.W+int(x+0.5)+dx] = 1
					}
				}
			}
		}
		if got := MeasureLean(p, 4); math.Abs(got-want) > 0.3 {
			t.Errorf("lean of %.1f is measured as %.2f", want, got)
		}
	}
	m, ok := NewMap(Whole(400, 600))
	if !ok {
		t.Fatal("no map")
	}
	x0, y0 := m.ToOriginal(100, 500)
	x1, y1 := m.Leaned(2).ToOriginal(100, 500)
	if dx := x0 - x1; math.Abs(dx-200*math.Tan(2*math.Pi/180)) > 0.01 || math.Abs(y1-y0) > 0.01 {
		t.Errorf("leaned by 2 degrees moves a place by %.2f, %.2f", x1-x0, y1-y0)
	}
}
