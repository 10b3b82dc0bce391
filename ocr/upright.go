package ocr

import (
	"context"
	"math"

	"tankroll/ocr/grid"
	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
)

// upright is a slip that was straightened and set on its feet.
type upright struct {
	view
	layout  lines.Layout
	grid    []grid.Line // nil when its print is on no grid
	turn    int         // degrees
	legible float64     // how surely its characters read, 0 to 1

	outlined float64 // confidence of its outline
}

// Blur is judged where it matters: print that reads surely is sharp enough. On
// the fit part print whose ink rises by less than leastRise of its level within
// a tenth of a capital is too soft to read, unless it reads anyway.
const (
	sureEnough = 0.6
	leastRise  = 0.5
)

// blurred is whether the picture must be taken again because it is not sharp.
func (u upright) blurred() bool {
	return u.legible < sureEnough && u.dens.Rise(readCap/10) < leastRise
}

// The first look is at a scale where the narrow side of a slip, 24 to 48
// characters, is firstWidth wide: characters are then 15 to 30 pixels wide.
const (
	firstWidth = 760
	firstEm    = firstWidth / 36 * 1.6
	mostZoom   = 1.5 // small pictures gain nothing by more
)

// setUpright finds how the print of one slip lies and stands it on its feet.
func (r *Reader) setUpright(ctx context.Context, original raster.Pyramid, m paper.Map, t *trace) (upright, error) {
	v := lift(original, m, min(firstWidth/min(m.W, m.H), mostZoom), firstEm)
	t.plane("first-ink", v.even, 1, 0)
	letters := v.letters()
	axis := paper.LineAxis(letters, v.em)
	first, second := 0, 1
	if axis < 0 {
		first, second = 1, 0
	}
	best, err := r.straighten(ctx, original, v, letters, first)
	if err != nil {
		return best, err
	}
	if math.Abs(axis) < sidewaysDoubt {
		other, err := r.straighten(ctx, original, v, letters, second)
		if err != nil {
			return best, err
		}
		if other.legible > best.legible {
			best = other
		}
	}
	t.plane("straight-ink", best.even, 1, 0)
	return best, nil
}

const (
	// leastSkew is the skew in degrees from which a slip is turned: less than
	// this the following of lines takes care of.
	leastSkew = 0.3
	// leastFollowed is the share of a slip on which lines must have been
	// followed before its bend is believed.
	leastFollowed = 0.1
)

// straighten levels the lines of the first view after some quarter turns, lifts
// the slip at the scale for reading, finds its lines and decides which end is
// up.
func (r *Reader) straighten(ctx context.Context, original raster.Pyramid, first view, letters raster.Plane, quarter int) (upright, error) {
	v, letters := first.quarter(quarter), letters.Quarter(quarter)
	if skew, _ := paper.MeasureSkew(letters, mostSkew); math.Abs(skew) > leastSkew {
		v = lift(original, v.m.Skewed(skew), v.scale, v.em)
		letters = v.letters()
	}
	if b, share := paper.MeasureBend(letters, v.em, v.scale); share > leastFollowed {
		v.m = v.m.Bent(b)
	}
	height := lines.Height(letters, 0.7*v.em)
	v = lift(original, v.m, v.scale*readCap/height, 1.4*readCap)
	up := upright{view: v, turn: 90 * quarter, layout: lines.Find(v.printOnly(), v.even, readCap)}
	up.layout.Bands = up.layout.Bands[:min(len(up.layout.Bands), mostLines)]
	return r.headUp(ctx, up)
}

// mostLines bounds the lines of a slip: a metre of paper holds 280.
const mostLines = 400
