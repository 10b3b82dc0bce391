package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tankroll/ocr/raster"
)

// slowRegions is what regions does, pixel by pixel.
func slowRegions(p raster.Plane, t float32, least int) []region {
	set := make([]bool, len(p.Pix))
	for i, v := range p.Pix {
		set[i] = v > t
	}
	for range 2 {
		next := make([]bool, len(set))
		at := func(x, y int) bool { return set[min(max(y, 0), p.H-1)*p.W+min(max(x, 0), p.W-1)] }
		for y := range p.H {
			for x := range p.W {
				next[y*p.W+x] = at(x, y) && at(x-1, y) && at(x+1, y) && at(x, y-1) && at(x, y+1)
			}
		}
		set = next
	}
	var out []region
	for i := range set {
		if !set[i] {
			continue
		}
		part := raster.Flood(set, p.W, p.H, i, nil)
		if len(part) < least {
			continue
		}
		r := region{left: make([]int, p.H), right: make([]int, p.H), count: len(part)}
		for y := range r.left {
			r.left[y], r.right[y] = math.MaxInt, -1
		}
		for _, k := range part {
			x, y := int(k)%p.W, int(k)/p.W
			r.left[y], r.right[y] = min(r.left[y], x), max(r.right[y], x)
		}
		out = append(out, r.grown(2, p.W, p.H))
	}
	return out
}

// Regions by runs are those that a look at every pixel finds, in the same order.
func TestRegions(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, size := range [][2]int{{1, 1}, {5, 3}, {63, 40}, {64, 40}, {65, 40}, {200, 130}} {
		for _, grain := range []float64{0.3, 1, 2.5} {
			p := raster.New(size[0], size[1])
			for i := range p.Pix {
				p.Pix[i] = rng.Float32()
			}
			p = p.Blur(grain)
			mid := raster.Quantile(p.Sample(1000), 0.35)
			for _, least := range []int{1, 20} {
				want, got := slowRegions(p, mid, least), above(p, mid).regions(least)
				if diff := cmp.Diff(want, got, cmp.AllowUnexported(region{})); diff != "" {
					t.Fatalf("%v pixels, grain %v, least %d: %s", size, grain, least, diff)
				}
				negative := p.Map(func(v float32) float32 { return -v })
				if diff := cmp.Diff(want, below(negative, -mid).regions(least), cmp.AllowUnexported(region{})); diff != "" {
					t.Fatalf("below: %s", diff)
				}
			}
		}
	}
}

func BenchmarkFind(b *testing.B) {
	s := newScene(1200, 1600, woodGround)
	s.slip(Quad{{X: 320, Y: 190}, {X: 860, Y: 220}, {X: 830, Y: 1420}, {X: 290, Y: 1390}}, 215)
	planes := Reduced(s.luma, nil, nil)
	b.ReportAllocs()
	for b.Loop() {
		findIn(b, planes)
	}
}
