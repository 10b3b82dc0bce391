package paper

import (
	"slices"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// Paper is smooth: once its print is closed, brightness steps at a stripe, a fold or the edge
// of a strip of tape and nowhere else. What slips lie on is often not: checks, loops, stones,
// joints, keys. So outlines that hold some of such a ground are told by what lies right within
// their sides, wherever those run.

const (
	// roughStep is the relative change of brightness over three pixels from which a place is
	// rough.
	roughStep = 0.06
	// roughGround is the share of rough places from which something is no paper. Right within
	// a side of paper, the roughest of the four, it was below 0.065 on 95 of 100 slips of the
	// fit part and below 0.1 on 99 of 100, and up to 0.15 where titles in inverse print end near
	// a side; right around slips on checks, loops, stones and keys it was 0.1 and more, on tiles
	// and newspapers 0 to 0.23.
	roughGround = 0.08
	// roughFrom and roughTo are the pixels inward of a side between which it is looked: a
	// region's border lies up to three pixels inside of the paper's, and where it lies outside
	// by more, the paper's own side is in between.
	roughFrom, roughTo = 5.0, 13.0
)

// roughPlaces is 1 where brightness changes more than it does on paper.
func roughPlaces(steps raster.Plane) raster.Plane {
	out := raster.New(steps.W, steps.H)
	for i, v := range steps.Pix {
		if v > roughStep {
			out.Pix[i] = 1
		}
	}
	return out
}

// roughWithin is the share of rough places right within the side s of q.
func (f *finder) roughWithin(q Quad, s int) float64 {
	return f.rough.density(bandAlong(q, s, -roughTo, -roughFrom), 0)
}

// roughestWithin is the largest of the shares of rough places within the sides of q.
func (f *finder) roughestWithin(q Quad) float64 {
	most := 0.0
	for s := range 4 {
		most = max(most, f.roughWithin(q, s))
	}
	return most
}

// smooth is 1 for an outline with paper within all its sides, and less for one that holds as
// much of a rough ground as makes no doubt: little less where that is within one side, where it
// may be a stripe along it.
func (f *finder) smooth(q Quad) float64 {
	if f.rough.ring(q) < roughAround {
		return 1
	}
	var within [4]float64
	for s := range q {
		within[s] = min(max((f.roughWithin(q, s)-roughAtAll)/roughGround, 0), 1)
	}
	slices.Sort(within[:])
	return 1 - lostByOne*within[3] - lostByTwo*within[2]
}

const (
	// lostByOne is the share of the confidence that is lost by rough ground within one side, and
	// lostByTwo what is lost besides by that within another.
	lostByOne, lostByTwo = 0.2, 0.4
	// roughAtAll is the share of rough places up to which nothing is taken: titles in inverse
	// print that end near a side reach it.
	roughAtAll = 0.15
	// roughAround is the share of rough places right around an outline from which its ground is
	// rough: on smooth ones, where it was 0.032 at most, what is rough is a stripe on the paper.
	roughAround = 0.04
)

// reachesGround says whether l, of which c is a part, lies on rough ground and has some of it
// within a side, while c has none.
func (f *finder) reachesGround(c, l Quad) bool {
	around := f.rough.ring(l)
	if slices.ContainsFunc(l[:], func(p record.Point) bool { return !f.onPicture(p) }) {
		around = max(around, f.rough.ring(c)) // of what lies around l little is on the picture
	}
	return around > roughAround && f.roughestWithin(l) > roughGround && f.roughestWithin(c) < roughGround
}

// isRough says whether q holds rough ground and has some around it.
func (f *finder) isRough(q Quad) bool {
	return f.rough.ring(q) > roughAround && f.roughestWithin(q) > roughGround
}

// largerOf is the outline of two that covers more.
func largerOf(a, b Quad) Quad {
	if area(b) > area(a) {
		return b
	}
	return a
}
