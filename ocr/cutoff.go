package ocr

import (
	"image"
	"math"

	"tankroll/record"
)

const (
	// printRoom is the distance from a line to the picture's border, in distances
	// of lines, below which print runs off the picture: printers leave two lines
	// and more bare at either end of a slip.
	printRoom = 0.9
	// paperRoom is the distance from a corner of the paper to the picture's
	// border, as a share of the picture's longer side, below which the paper runs
	// off it. On the fit part the corners of such an end are within four pixels of
	// the border, and those of other ends more than fifty away.
	paperRoom = 0.008
)

// edges says at which sides paper or print run off the picture.
//
// It returns how much speaks for whether print is cut off, 0 to 1: how far from
// the distance that decides the nearest line lies; nothing where no line was found.
func (u upright) edges(p *record.Paper, size image.Point) (sure float64) {
	nearest := math.Inf(1)
	corner := u.m.Quad
	near := paperRoom * float64(max(size.X, size.Y))
	off := func(a, b record.Point) record.Edge {
		if u.toEnds(a, size) < near || u.toEnds(b, size) < near {
			return record.EdgeOpen
		}
		return record.EdgeWhole
	}
	p.Top, p.Bottom = off(corner[0], corner[1]), off(corner[2], corner[3])

	room := printRoom * u.layout.Pitch / u.scale
	for i, b := range u.layout.Bands {
		if float64(b.X1-b.X0) < 2*u.layout.Cap {
			continue
		}
		for _, x := range []int{b.X0, (b.X0 + b.X1) / 2, b.X1} {
			for _, y := range []int{b.Y0, b.Y1} {
				var at record.Point
				at.X, at.Y = u.m.ToOriginal(float64(x)/u.scale, float64(y)/u.scale)
				nearest = min(nearest, u.toSides(at, size), u.toEnds(at, size))
				switch {
				case u.toSides(at, size) < room:
					p.Sides = record.EdgeCut
				case u.toEnds(at, size) >= room:
				case i < len(u.layout.Bands)/2:
					p.Top = record.EdgeCut
				default:
					p.Bottom = record.EdgeCut
				}
			}
		}
	}
	p.CutOff = p.Top == record.EdgeCut || p.Bottom == record.EdgeCut || p.Sides == record.EdgeCut
	if math.IsInf(nearest, 1) {
		return 0
	}
	return 0.5 + 0.5*min(math.Abs(nearest/room-1), 1)
}

// toEnds is the distance from a point of the original to the borders that lie
// before and behind the lines of print.
func (u upright) toEnds(p record.Point, size image.Point) float64 {
	if u.turn%180 == 90 {
		return math.Min(p.X, float64(size.X)-p.X)
	}
	return math.Min(p.Y, float64(size.Y)-p.Y)
}

// toSides is the same for the borders beside the lines.
func (u upright) toSides(p record.Point, size image.Point) float64 {
	if u.turn%180 == 90 {
		return math.Min(p.Y, float64(size.Y)-p.Y)
	}
	return math.Min(p.X, float64(size.X)-p.X)
}
