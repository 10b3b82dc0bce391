package paper

import (
	"math"
	"slices"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// region is one connected part of a mask: for each of its rows from y0 on, the
// first and last column. Holes, such as print, count as part of it.
type region struct {
	y0    int
	left  []int
	right []int
	area  int // between first and last columns
	count int // of its own pixels
}

// grown gives back what erosion took, and drops empty rows.
func (r region) grown(n, w, h int) region {
	y0, y1 := 0, h
	for y0 < y1 && r.right[y0] < 0 {
		y0++
	}
	for y1 > y0 && r.right[y1-1] < 0 {
		y1--
	}
	top, bottom := max(y0-n, 0), min(y1+n, h)
	out := region{y0: top, count: r.count}
	for y := top; y < bottom; y++ {
		l, rt := math.MaxInt, -1
		for k := max(y-n, y0); k <= min(y+n, y1-1); k++ {
			l, rt = min(l, r.left[k]), max(rt, r.right[k])
		}
		l, rt = max(l-n, 0), min(rt+n, w-1)
		out.left, out.right = append(out.left, l), append(out.right, rt)
		out.area += max(rt-l+1, 0)
	}
	return out
}

// hull is the region's convex hull, clockwise on the picture.
func (r region) hull() []record.Point {
	// Between two rows the outer one counts, so that one walk down either side sees
	// every corner.
	n := len(r.left)
	left, right := make([]record.Point, 0, n+1), make([]record.Point, 0, n+1)
	for i := range n + 1 {
		l, rt := math.MaxInt, -1
		for k := max(i-1, 0); k <= min(i, n-1); k++ {
			l, rt = min(l, r.left[k]), max(rt, r.right[k])
		}
		if rt >= 0 {
			y := float64(r.y0 + i)
			left, right = bulging(left, record.Point{X: float64(l), Y: y}, -1), bulging(right, record.Point{X: float64(rt + 1), Y: y}, 1)
		}
	}
	slices.Reverse(left)
	return append(right, left...)
}

// bulging adds a lower point to a chain that runs down a picture and bulges to the
// right for side 1, to the left for -1, and drops those that it leaves inside.
func bulging(chain []record.Point, p record.Point, side float64) []record.Point {
	for len(chain) > 1 && side*cross(chain[len(chain)-2], chain[len(chain)-1], p) <= 0 {
		chain = chain[:len(chain)-1]
	}
	return append(chain, p)
}

func cross(o, a, b record.Point) float64 {
	return (a.X-o.X)*(b.Y-o.Y) - (a.Y-o.Y)*(b.X-o.X)
}

// quad fits four sides: hull edges are dropped one by one, their neighbours
// extended to meet, always the one that adds least area.
func (r region) quad() (Quad, bool) {
	h := r.hull()
	for len(h) > 4 {
		best, bestAdd, at := -1, math.Inf(1), record.Point{}
		for i := range h {
			a, b, c, d := h[(i+len(h)-1)%len(h)], h[i], h[(i+1)%len(h)], h[(i+2)%len(h)]
			p, ok := meet(a, b, d, c)
			if !ok {
				continue
			}
			if add := math.Abs(cross(b, p, c)) / 2; add < bestAdd {
				best, bestAdd, at = i, add, p
			}
		}
		if best < 0 {
			return Quad{}, false
		}
		next := (best + 1) % len(h)
		h[best] = at
		h = slices.Delete(h, next, next+1)
	}
	if len(h) < 4 {
		return Quad{}, false
	}
	q := topLeftFirst(Quad{h[0], h[1], h[2], h[3]})
	return q, area(q) > 0
}

// outline is every border point of the region.
func (r region) outline() []record.Point {
	x0, x1 := slices.Min(r.left), slices.Max(r.right)
	out := make([]record.Point, 0, 2*(len(r.left)+x1-x0+1))
	for i := range r.left {
		if r.right[i] < 0 {
			continue
		}
		y := float64(r.y0+i) + 0.5
		out = append(out, record.Point{X: float64(r.left[i]), Y: y}, record.Point{X: float64(r.right[i] + 1), Y: y})
	}
	// Top and bottom: per column, the first and last row that reaches it.
	top, bottom := make([]int, x1-x0+1), make([]int, x1-x0+1)
	for i := range r.left {
		for x := r.left[i]; x <= r.right[i]; x++ {
			if top[x-x0] == 0 {
				top[x-x0] = i + 1
			}
			bottom[x-x0] = i + 1
		}
	}
	for x, t := range top {
		if t > 0 {
			px := float64(x0+x) + 0.5
			out = append(out, record.Point{X: px, Y: float64(r.y0 + t - 1)}, record.Point{X: px, Y: float64(r.y0 + bottom[x])})
		}
	}
	return out
}

// fitSides lays each side of q through the outline's points near it, so that
// a torn corner or a spur does not tilt it.
func (r region) fitSides(q Quad) (Quad, bool) {
	pts := r.outline()
	var base, dir [4]record.Point
	for s := range 4 {
		a, b := q[s], q[(s+1)%4]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		ux, uy := (b.X-a.X)/l, (b.Y-a.Y)/l
		near := max(0.04*l, 3)
		var ts, ds []float64
		for _, p := range pts {
			t := (p.X-a.X)*ux + (p.Y-a.Y)*uy
			d := -(p.X-a.X)*uy + (p.Y-a.Y)*ux
			if t > 0.06*l && t < 0.94*l && math.Abs(d) < near {
				ts, ds = append(ts, t), append(ds, d)
			}
		}
		c, m, ok := robustLine(ts, ds)
		if !ok {
			return q, false
		}
		base[s] = record.Point{X: a.X - c*uy, Y: a.Y + c*ux}
		dir[s] = record.Point{X: ux - m*uy, Y: uy + m*ux}
	}
	var out Quad
	for s := range 4 {
		p := (s + 3) % 4
		x, ok := crossing(base[p], dir[p], base[s], dir[s])
		if !ok {
			return q, false
		}
		out[s] = x
	}
	return out, area(out) > 0.8*area(q)
}

// robustLine fits d = c + m t, leaving out the worst points twice.
func robustLine(ts, ds []float64) (c, m float64, ok bool) {
	keep := make([]bool, len(ts))
	for i := range keep {
		keep[i] = true
	}
	for range 3 {
		var n, st, sd, stt, std float64
		for i, t := range ts {
			if keep[i] {
				n, st, sd, stt, std = n+1, st+t, sd+ds[i], stt+t*t, std+t*ds[i]
			}
		}
		den := n*stt - st*st
		if n < 5 || den < 1e-6 {
			return 0, 0, false
		}
		m = (n*std - st*sd) / den
		c = (sd - m*st) / n
		res := make([]float32, 0, len(ts))
		for i, t := range ts {
			res = append(res, float32(math.Abs(ds[i]-c-m*t)))
		}
		limit := max(float64(raster.Quantile(slices.Clone(res), 0.75))*1.5, 0.8)
		for i := range keep {
			keep[i] = float64(res[i]) <= limit
		}
	}
	return c, m, true
}

// fill is the area that region and quad share against what either covers.
func (r region) fill(q Quad) float64 {
	both := 0.0
	for i := range r.left {
		l, rt := cutRow(q, float64(r.y0+i)+0.5)
		both += max(min(rt, float64(r.right[i]+1))-max(l, float64(r.left[i])), 0)
	}
	return both / (area(q) + float64(r.area) - both)
}
