package paper

import (
	"iter"
	"math"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// Slips of one console are of one width, and on a page they are taped one below the other.
// Where they abut, one outline holds them all, with a margin across it that is bare and
// an edge in the margin. A fold across one slip is such an edge too, but print goes on
// closer on both sides of it.

const (
	edgeAcross = 0.5  // how much of the edge must be seen
	endPart    = 0.12 // of the length, nearer to whose ends no slip begins; nor where less is left than the shortest side of one
	// edgeTilt is by how many pixels the edge may lie higher at one end, tiltStep how finely
	// that is tried: clerks lay slips straight to two degrees.
	edgeTilt, tiltStep = 6.0, 2.0
	// apartPrint is how much is bare around the edge, as a share of the width: what the
	// foot of one slip and the head of the next leave.
	apartPrint = 0.3
	// surelyStep is how much of an edge is seen that is no fold: of a fold's line, which is
	// as bright on both sides, 0.7 counts. apartSides is how many pixels are bare around it:
	// what two sides of paper keep so and the room between them, and more than two blank
	// lines are.
	surelyStep = 0.75
	apartSides = 3.0 * bareEdge
	// leastOfPage is the share of its picture that a slip has which was scanned by itself.
	leastOfPage = 0.35
	// plainlyAcross is how clearly lines run one way: of 579 slips on pages of the fit part 482
	// upright ones are above 0.8, and 97 on their side below -0.8 but one.
	plainlyAcross = 0.5
)

// parted cuts slips in two where another one begins. Of one slip alone on its picture
// nothing is cut off, unless it is a small part of it on a sheet and no fold; what holds no
// print is no other slip.
func (f *finder) parted(chosen []Candidate) []Candidate {
	alone := len(chosen)-f.blank(chosen) <= 1
	var out []Candidate
	for len(chosen) > 0 {
		c := chosen[0]
		chosen = chosen[1:]
		if alone && !f.smallOnSheet(c) {
			out = append(out, c)
			continue
		}
		if a, b, ok := f.twoIn(c, alone); ok {
			chosen = append([]Candidate{a, b}, chosen...)
			continue
		}
		out = append(out, c)
	}
	return out
}

// blank is how many of the chosen hold no print but that of a rough ground.
func (f *finder) blank(chosen []Candidate) int {
	n := 0
	for _, c := range chosen {
		if f.marks.density(c.Quad, -5) < leastPrinted || f.isRough(c.Quad) {
			n++
		}
	}
	return n
}

// smallOnSheet says whether c is a small part of the picture, on a sheet as white.
func (f *finder) smallOnSheet(c Candidate) bool {
	return area(c.Quad) < leastOfPage*float64(len(f.print.Pix)) && f.onWhite(c.Quad)
}

// twoIn are the two slips that one outline holds; surely says that what may be a fold does
// not count.
func (f *finder) twoIn(c Candidate, surely bool) (first, second Candidate, ok bool) {
	best := edgeAcross
	for at := range f.cutsOf(c.Quad, tiltStep) {
		seen := f.side(at.l, at.r)
		if seen <= best || f.besidePrint(at.l, at.r) {
			continue
		}
		above, okA := f.bareFrom(at.r, at.l, at.upper)
		below, okB := f.bareFrom(at.l, at.r, at.lower)
		if !okA || !okB || above+below < min(apartPrint*at.wide, apartSides) ||
			(surely || above+below < apartPrint*at.wide) && seen < surelyStep && !f.crossed(at.upper, at.lower) && !f.shifted(at.upper, at.lower) {
			continue
		}
		best, ok = seen, true
		first, second = c, c
		first.Quad, second.Quad = topLeftFirst(at.upper), topLeftFirst(at.lower)
	}
	return first, second, ok
}

// cut is a line across an outline from one side to the other, how wide the outline is there, and
// what lies on either side of the line.
type cut struct {
	l, r         record.Point
	wide         float64
	upper, lower Quad
}

// cutsOf are the lines across q, along its sides and across, where either part is as long as a slip;
// at each place at tilts so many pixels apart.
func (f *finder) cutsOf(q Quad, tiltStep float64) iter.Seq[cut] {
	return func(yield func(cut) bool) {
		for turn := range 2 {
			o := Quad{q[turn], q[1+turn], q[2+turn], q[(3+turn)%4]}
			long := math.Hypot(o[3].X-o[0].X, o[3].Y-o[0].Y)
			wide := math.Hypot(o[1].X-o[0].X, o[1].Y-o[0].Y)
			end := max(endPart*long, leastShort*float64(min(f.closed.W, f.closed.H)))
			for at := end; at < long-end; at++ {
				for tilt := -edgeTilt; tilt <= edgeTilt; tilt += tiltStep {
					l, r := along(o[0], o[3], (at-tilt/2)/long), along(o[1], o[2], (at+tilt/2)/long)
					if !yield(cut{l, r, wide, Quad{o[0], o[1], r, l}, Quad{l, r, o[2], o[3]}}) {
						return
					}
				}
			}
		}
	}
}

// crossed says whether lines of print run across one of two outlines and down the other.
func (f *finder) crossed(a, b Quad) bool {
	u, v := f.linesAcross(a), f.linesAcross(b)
	return min(u, v) < -plainlyAcross && max(u, v) > plainlyAcross
}

// linesAcross is above 0 where lines of print run across q, below 0 where they run down it;
// the size, in natural logarithms, says how clearly.
func (f *finder) linesAcross(q Quad) float64 {
	m, ok := NewMap(q)
	if !ok {
		return 0
	}
	const most = 2 // degrees by which a clerk lays slips askew
	flat := m.Flatten(raster.NewPyramid(f.print), 1)
	_, across := MeasureSkew(flat, most)
	_, down := MeasureSkew(flat.Quarter(1), most)
	return math.Log(max(across, 1e-12) / max(down, 1e-12))
}

// along is the point a share of the way from a to b.
func along(a, b record.Point, t float64) record.Point {
	return record.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

// besidePrint says whether print stands right beside a line, which then goes through it.
func (f *finder) besidePrint(l, r record.Point) bool {
	n := 0
	for d := 3.0; d <= 6; d++ {
		for _, side := range []float64{d, -d} {
			if f.printedAt(l, r, side) {
				n++
			}
		}
	}
	const edge = 1 // of a strip of tape may run there
	return n > edge
}
