package raster

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func noisy(w, h int) Plane {
	rng := rand.New(rand.NewPCG(7, 8))
	p := New(w, h)
	for i := range p.Pix {
		p.Pix[i] = float32(rng.IntN(256))
	}
	return p
}

func mean(p Plane) float64 {
	sum := 0.0
	for _, v := range p.Pix {
		sum += float64(v)
	}
	return sum / float64(len(p.Pix))
}

// TestBlur: an even picture stays, a dot spreads by what was asked for, in both
// ways of reckoning, and the argument is left alone.
func TestBlur(t *testing.T) {
	even := New(40, 30).Map(func(float32) float32 { return 77 })
	for _, sigma := range []float64{0, 0.5, 1.4, 2.4, 2.6, 5} {
		for i, v := range even.Blur(sigma).Pix {
			if math.Abs(float64(v)-77) > 0.01 {
				t.Fatalf("sigma %v: pixel %d of an even picture is %v", sigma, i, v)
			}
		}
		dot := New(81, 81)
		dot.Pix[40*81+40] = 1000
		before := slices.Clone(dot.Pix)
		got := dot.BlurXY(sigma, 0)
		if !slices.Equal(before, dot.Pix) {
			t.Fatal("the argument was changed")
		}
		if sigma < 0.5 {
			continue
		}
		var n, s float64
		for x, v := range got.Row(40) {
			n, s = n+float64(v), s+float64(v)*float64(x-40)*float64(x-40)
		}
		if math.Abs(n-1000) > 1 || math.Abs(math.Sqrt(s/n)-sigma) > 0.12*sigma {
			t.Errorf("sigma %v: a dot of 1000 has %.1f, spread by %.2f", sigma, n, math.Sqrt(s/n))
		}
		// The way that each axis takes is the same.
		if down := dot.BlurXY(0, sigma).Quarter(1); !slices.EqualFunc(down.Pix, got.Pix, func(a, b float32) bool { return math.Abs(float64(a-b)) < 1e-2 }) {
			t.Errorf("sigma %v: across and down differ", sigma)
		}
	}
}

// TestExtremes: sliding windows give what looking at every window gives.
func TestExtremes(t *testing.T) {
	p := noisy(23, 17)
	for _, r := range [][2]int{{0, 0}, {1, 0}, {0, 2}, {3, 1}, {30, 30}} {
		lo, hi := p.Min(r[0], r[1]), p.Max(r[0], r[1])
		for y := range p.H {
			for x := range p.W {
				least, most := float32(math.Inf(1)), float32(math.Inf(-1))
				for dy := -r[1]; dy <= r[1]; dy++ {
					for dx := -r[0]; dx <= r[0]; dx++ {
						least, most = min(least, p.At(x+dx, y+dy)), max(most, p.At(x+dx, y+dy))
					}
				}
				if lo.At(x, y) != least || hi.At(x, y) != most {
					t.Fatalf("reach %v at %d, %d: %v to %v, want %v to %v", r, x, y, lo.At(x, y), hi.At(x, y), least, most)
				}
			}
		}
	}
}

// TestClose fills what is narrow and leaves what is wide.
func TestClose(t *testing.T) {
	p := New(60, 20).Map(func(float32) float32 { return 200 })
	for y := range 20 {
		for x := range 60 {
			if x >= 10 && x < 14 || x >= 30 && x < 42 {
				p.Pix[y*60+x] = 20
			}
		}
	}
	c := p.Close(3, 0)
	if c.At(12, 10) != 200 || c.At(36, 10) != 20 {
		t.Errorf("a line of 4 is %v, a bar of 12 is %v", c.At(12, 10), c.At(36, 10))
	}
}

func TestQuarter(t *testing.T) {
	p := noisy(5, 3)
	q := p.Quarter(1)
	if q.W != 3 || q.H != 5 || q.At(2, 0) != p.At(0, 0) || q.At(0, 0) != p.At(0, 2) {
		t.Errorf("a quarter turn clockwise: %dx%d, top right %v, was top left %v", q.W, q.H, q.At(2, 0), p.At(0, 0))
	}
	for n := range 4 {
		if got := p.Quarter(n).Quarter(-n); !slices.Equal(got.Pix, p.Pix) {
			t.Errorf("turned by %d and back differs", n)
		}
	}
}

func TestReduce(t *testing.T) {
	p := noisy(12, 8)
	r := p.Reduce(4)
	want := mean(p.Sub(image.Rect(4, 4, 8, 8)))
	if r.W != 3 || r.H != 2 || math.Abs(float64(r.At(1, 1))-want) > 1e-3 {
		t.Errorf("%dx%d, %v, want 3x2, %v", r.W, r.H, r.At(1, 1), want)
	}
	g := p.Gray(0, 255)
	for i, v := range ReduceGray(g, 4).Pix {
		if math.Abs(float64(v-r.Pix[i])) > 0.01 {
			t.Errorf("8 bits reduce to %v, floats to %v", v, r.Pix[i])
		}
	}
	if one := noisy(3, 2).Reduce(9); one.W != 1 || one.H != 1 {
		t.Errorf("a small picture reduces to %dx%d", one.W, one.H)
	}
}

// TestResize keeps the places of a picture that grows straight from side to side.
func TestResize(t *testing.T) {
	p := New(40, 20)
	for i := range p.Pix {
		p.Pix[i] = float32(i%40) + 0.5
	}
	for _, w := range []int{13, 25, 40, 77} {
		r := p.Resize(w, 11)
		for x := 2; x < w-2; x++ {
			if want := (float64(x) + 0.5) * 40 / float64(w); math.Abs(float64(r.At(x, 5))-want) > 0.51 {
				t.Errorf("width %d: column %d is %v, want %.2f", w, x, r.At(x, 5), want)
			}
		}
	}
}

func TestBilinear(t *testing.T) {
	p := Plane{2, 2, []float32{0, 10, 20, 30}}
	for _, c := range []struct{ x, y, want float64 }{{0, 0, 0}, {1, 1, 30}, {0.5, 0, 5}, {0.5, 0.5, 15}, {-3, 9, 20}} {
		if got := p.Bilinear(c.x, c.y); math.Abs(float64(got)-c.want) > 1e-4 {
			t.Errorf("at %v, %v is %v, want %v", c.x, c.y, got, c.want)
		}
	}
}

func TestPyramid(t *testing.T) {
	p := NewPyramid(noisy(1100, 600))
	for _, c := range []struct{ scale, step float64 }{{2, 1}, {1, 1}, {0.6, 1}, {0.5, 2}, {0.2, 4}, {0.001, 4}} {
		l, step := p.Level(c.scale)
		if step != c.step || l.W != int(1100/step) {
			t.Errorf("scale %v: step %v, %d wide, want step %v", c.scale, step, l.W, c.step)
		}
	}
}

func TestQuantile(t *testing.T) {
	v := []float32{5, 1, 4, 2, 3}
	for q, want := range map[float64]float32{0: 1, 0.5: 3, 0.99: 5, 1: 5} {
		if got := Quantile(slices.Clone(v), q); got != want {
			t.Errorf("quantile %v is %v, want %v", q, got, want)
		}
	}
	if Quantile(nil, 0.5) != 0 {
		t.Error("no values have a quantile")
	}
	// A sample of a picture with a dark left half visits both halves.
	p := New(64, 64)
	for i := range p.Pix {
		if i%64 >= 32 {
			p.Pix[i] = 1
		}
	}
	s := p.Sample(200)
	sum := 0.0
	for _, x := range s {
		sum += float64(x)
	}
	if share := sum / float64(len(s)); math.Abs(share-0.5) > 0.1 || len(s) < 150 {
		t.Errorf("%d samples, %.2f of them bright", len(s), share)
	}
}
