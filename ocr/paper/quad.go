package paper

import (
	"math"

	"tankroll/record"
)

// Arithmetic of four-sided outlines.

// meet is where the line a-b beyond b meets the line d-c beyond c.
func meet(a, b, d, c record.Point) (record.Point, bool) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-d.X, c.Y-d.Y
	den := ux*vy - uy*vx
	if math.Abs(den) < 1e-9 {
		return record.Point{}, false
	}
	t := ((d.X-a.X)*vy - (d.Y-a.Y)*vx) / den
	s := ((d.X-a.X)*uy - (d.Y-a.Y)*ux) / den
	if t < 1 || s < 1 { // they part: extending does not close the gap
		return record.Point{}, false
	}
	return record.Point{X: a.X + t*ux, Y: a.Y + t*uy}, true
}

// topLeftFirst turns a clockwise quad so that it starts at the top left.
func topLeftFirst(q Quad) Quad {
	best := 0
	for i := range q {
		if q[i].X+q[i].Y < q[best].X+q[best].Y {
			best = i
		}
	}
	var out Quad
	for i := range out {
		out[i] = q[(best+i)%4]
	}
	if area(out) < 0 {
		out[1], out[3] = out[3], out[1]
	}
	return out
}

// area is the quad's area, positive for clockwise corners.
func area(q Quad) float64 {
	var a float64
	for i := range q {
		n := q[(i+1)%4]
		a += q[i].X*n.Y - n.X*q[i].Y
	}
	return a / 2
}

func crossing(a, u, b, v record.Point) (record.Point, bool) {
	den := u.X*v.Y - u.Y*v.X
	if math.Abs(den) < 1e-6 {
		return record.Point{}, false
	}
	t := ((b.X-a.X)*v.Y - (b.Y-a.Y)*v.X) / den
	return record.Point{X: a.X + t*u.X, Y: a.Y + t*u.Y}, true
}

// cutRow is where a row enters and leaves a convex quad; left > right when it
// does not meet it.
func cutRow(q Quad, y float64) (l, r float64) {
	l, r = math.Inf(1), math.Inf(-1)
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		if (a.Y <= y) == (b.Y <= y) {
			continue
		}
		x := a.X + (y-a.Y)/(b.Y-a.Y)*(b.X-a.X)
		l, r = min(l, x), max(r, x)
	}
	return l, r
}

// expanded moves every side of q out by d pixels, corner by corner; in, where d is below 0.
func expanded(q Quad, d float64) Quad {
	cx, cy := middleOf(q)
	out := q
	for i, p := range q {
		out[i].X += d * math.Copysign(1, p.X-cx)
		out[i].Y += d * math.Copysign(1, p.Y-cy)
	}
	return out
}

// within is the part of the line from a to b that lies in q; not ok when it is shorter
// than a tenth of the line.
func within(a, b record.Point, q Quad) (p, r record.Point, ok bool) {
	from, to := 0.0, 1.0
	for s := range 4 {
		da, db := outward(a, q[s], q[(s+1)%4]), outward(b, q[s], q[(s+1)%4])
		switch {
		case da > 0 && db > 0:
			return a, b, false
		case da > 0:
			from = max(from, da/(da-db))
		case db > 0:
			to = min(to, da/(da-db))
		}
	}
	return along(a, b, from), along(a, b, to), to-from > 0.1
}

// anySide says whether something is so of a side of q, given by its ends.
func anySide(q Quad, so func(a, b record.Point) bool) bool {
	for s := range q {
		if so(q[s], q[(s+1)%4]) {
			return true
		}
	}
	return false
}

func middleOf(q Quad) (x, y float64) {
	for _, p := range q {
		x, y = x+p.X/4, y+p.Y/4
	}
	return x, y
}

// covered is the share of a that lies within b.
func covered(a, b Quad) float64 {
	var both, all float64
	y0, y1 := rowsOf(a)
	step := max((y1-y0)/60, 0.5)
	for y := y0 + step/2; y < y1; y += step {
		l, r := cutRow(a, y)
		if r <= l {
			continue
		}
		all += r - l
		bl, br := cutRow(b, y)
		both += max(min(r, br)-max(l, bl), 0)
	}
	return both / max(all, 1e-9)
}

func rowsOf(q Quad) (y0, y1 float64) {
	y0, y1 = q[0].Y, q[0].Y
	for _, p := range q {
		y0, y1 = min(y0, p.Y), max(y1, p.Y)
	}
	return y0, y1
}

// overlap is the shared area of a and b against what either covers.
func overlap(a, b Quad) float64 {
	both := covered(a, b) * area(a)
	return both / (area(a) + area(b) - both)
}

// rectangular is 1 for four right angles, falling to 0 at angles that no
// photograph of a slip has.
func rectangular(q Quad) float64 {
	worst := 0.0
	for i := range q {
		a, b, c := q[(i+3)%4], q[i], q[(i+1)%4]
		ux, uy, vx, vy := a.X-b.X, a.Y-b.Y, c.X-b.X, c.Y-b.Y
		worst = max(worst, math.Abs(ux*vx+uy*vy)/math.Hypot(ux, uy)/math.Hypot(vx, vy))
	}
	const most = 0.6 // 37 degrees
	return max(1-worst/most*worst/most, 0)
}

func sides(q Quad) (w, h float64) {
	d := func(a, b record.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
	return (d(q[0], q[1]) + d(q[3], q[2])) / 2, (d(q[1], q[2]) + d(q[0], q[3])) / 2
}

// lineDistance is how far p lies from the line through a and b.
func lineDistance(p, a, b record.Point) float64 { return math.Abs(outward(p, a, b)) }

// nearestOn is the point of the line through a and b that is nearest to p.
func nearestOn(p, a, b record.Point) record.Point {
	dx, dy := b.X-a.X, b.Y-a.Y
	return along(a, b, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/max(dx*dx+dy*dy, 1e-9))
}

// outward is how far p lies outside of a side from a to b of clockwise corners.
func outward(p, a, b record.Point) float64 {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	return ((p.X-a.X)*(b.Y-a.Y) - (p.Y-a.Y)*(b.X-a.X)) / max(l, 1e-9)
}
