package paper

import (
	"math"

	"tankroll/record"
)

// A region's border lies where its threshold or its fence ran, which may be in the
// soft shadow beside the paper or on a worn margin. Once an outline is chosen, each
// of its sides is laid where brightness changes most near by.

const (
	snapReach = 5.0  // pixels to either side that are searched
	snapShare = 0.5  // of a side's places that must show a step of one kind
	snapStep  = 0.02 // of the brightness: a smaller step is none
	snapMost  = 4.5  // pixels that a corner may move
)

// snapped is q with its sides on the steps near by, or where they were. The step of a line
// of print that runs along a side is none, nor of the ends of lines: it leaves print outside
// that was inside.
func (f *finder) snapped(q Quad) Quad {
	out := f.onSteps(q, [4]bool{})
	var print [4]bool
	for s := range q {
		a, b := out[s], out[(s+1)%4]
		print[s] = outward(q[s], a, b)+outward(q[(s+1)%4], a, b) > 2*nearMark &&
			(f.cutsPrint(a, b) && !f.cutsPrint(q[s], q[(s+1)%4]) || f.onEnds(a, b) && !f.onEnds(q[s], q[(s+1)%4]))
	}
	if print != [4]bool{} {
		return f.onSteps(q, print)
	}
	return out
}

// onEnds says whether a side from a to b runs over the ends of lines.
func (f *finder) onEnds(a, b record.Point) bool {
	return f.endsInPrint(a, b) && (f.printedAt(a, b, 0) || f.printedAt(a, b, 1))
}

// onSteps is q with its sides but some on the steps near by, or where they were.
func (f *finder) onSteps(q Quad, but [4]bool) Quad {
	var base, dir [4]record.Point
	for s := range q {
		base[s], dir[s] = q[s], record.Point{X: q[(s+1)%4].X - q[s].X, Y: q[(s+1)%4].Y - q[s].Y}
		if !but[s] {
			base[s], dir[s] = f.stepAlong(q[s], q[(s+1)%4])
		}
	}
	var out Quad
	for s := range q {
		p, ok := crossing(base[(s+3)%4], dir[(s+3)%4], base[s], dir[s])
		if !ok || math.Hypot(p.X-q[s].X, p.Y-q[s].Y) > snapMost*math.Sqrt2 {
			return q
		}
		out[s] = p
	}
	return out
}

// stepAlong is the line along which brightness steps near the side from a to b: from
// the paper down to a shadow or a darker ground where that shows, else up to a
// brighter ground.
func (f *finder) stepAlong(a, b record.Point) (base, dir record.Point) {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	ux, uy := (b.X-a.X)/max(l, 1e-9), (b.Y-a.Y)/max(l, 1e-9)
	nx, ny := uy, -ux // outward for clockwise corners
	var ts, ds [2][]float64
	n := 0
	for t := 0.06 * l; t < 0.94*l; t += 2 {
		n++
		var step, at [2]float64
		for d := -snapReach; d <= snapReach; d += 0.5 {
			x, y := a.X+t*ux+d*nx, a.Y+t*uy+d*ny
			in, out := float64(f.soft.Bilinear(x-nx-0.5, y-ny-0.5)), float64(f.soft.Bilinear(x+nx-0.5, y+ny-0.5))
			fall := (in - out) / (in + out + 8)
			if fall > step[0] {
				step[0], at[0] = fall, d
			}
			if -fall > step[1] {
				step[1], at[1] = -fall, d
			}
		}
		for k := range 2 {
			if step[k] > snapStep {
				ts[k], ds[k] = append(ts[k], t), append(ds[k], at[k])
			}
		}
	}
	for k := range 2 {
		if float64(len(ts[k])) < snapShare*float64(n) {
			continue
		}
		if c, m, ok := robustLine(ts[k], ds[k]); ok && math.Abs(c) < snapMost && math.Abs(c+m*l) < snapMost {
			return record.Point{X: a.X + c*nx, Y: a.Y + c*ny}, record.Point{X: ux + m*nx, Y: uy + m*ny}
		}
	}
	return a, record.Point{X: ux, Y: uy}
}
