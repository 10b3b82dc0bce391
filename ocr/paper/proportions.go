package paper

import (
	"image"
	"math"
)

const (
	// clearlyNarrower is by how much of itself, at least, a sheet grows smaller to one side for
	// its proportions to be reckoned: leaning by 10 degrees it does by 0.06 to 0.11, and little
	// is won there; by 20 degrees by twice that. Corners are off by a hundredth of the sheet, and
	// of a scan they would tell a camera that is not there.
	clearlyNarrower = 0.13
	// shortLens and longLens are the focal lengths that phones have, in longer sides of the
	// picture: 0.36 for their widest view, which bends straight lines, 0.7 and 1 for the usual ones.
	shortLens, longLens = 0.5, 3.5
	// cropped is how near to the picture's border, in shorter sides of it, a corner is not the
	// paper's but the picture's.
	cropped = 0.008
)

// NewMapSeen is NewMap with the proportions of the sheet itself, where perspective shows them
// in a picture of that size: what a leaning camera shortens grows. Leaning by 35 degrees half of
// the directions are right to 1.7 %, 20 % before; along one side of the sheet alone, where only
// one pair of sides runs together, it is NewMap.
func NewMapSeen(q Quad, size image.Point) (Map, bool) {
	m, ok := NewMap(q)
	if !ok {
		return m, false
	}
	grow, ok := m.shortened(size)
	if !ok {
		return m, true
	}
	w, h := m.W*max(1, 1/grow), m.H*max(1, grow)
	hm, ok := fit(w, h, q)
	if !ok {
		return m, true
	}
	return Map{W: w, H: h, Quad: q, h: hm}, true
}

// shortened is by how much more the sheet's length is shortened than its width. Both sides of
// a rectangle and the camera's focal length f follow from the homography to it, where the
// principal point is known; it is the middle of the picture, unless somebody cut it. It is false
// where the sides are nearly parallel, where f is none that phones have, and where the picture
// ends before the paper.
func (m Map) shortened(size image.Point) (float64, bool) {
	border := cropped * float64(min(size.X, size.Y))
	unit := float64(max(size.X, size.Y))
	var q Quad
	for i, c := range m.Quad {
		if c.X < border || c.Y < border || c.X > float64(size.X)-border || c.Y > float64(size.Y)-border {
			return 0, false
		}
		q[i].X, q[i].Y = (c.X-float64(size.X)/2)/unit, (c.Y-float64(size.Y)/2)/unit
	}
	h, ok := fit(m.W, m.H, q)
	if !ok {
		return 0, false
	}
	// The homography's first two columns are what a unit along the width and one along the
	// length become; both are square to each other and as long.
	across, along := h[6]*m.W, h[7]*m.H
	if math.Hypot(across, along) < clearlyNarrower {
		return 0, false
	}
	f2 := -(h[0]*h[1] + h[3]*h[4]) / (h[6] * h[7])
	if !(f2 > shortLens*shortLens && f2 < longLens*longLens) {
		return 0, false
	}
	wide := h[0]*h[0] + h[3]*h[3] + f2*h[6]*h[6]
	long := h[1]*h[1] + h[4]*h[4] + f2*h[7]*h[7]
	return math.Sqrt(long / wide), true
}
