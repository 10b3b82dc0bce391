package ocr

import (
	"context"
	"image"
	"math"
	"slices"

	"tankroll/ocr/decode"
	"tankroll/ocr/ink"
	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// slips finds the slips of a page and reads each. Where no slip stands out the
// whole picture is read as one.
func (r *Reader) slips(ctx context.Context, px decode.Page, t *trace) ([]record.Slip, error) {
	luma := raster.FromGray(px.Luma)
	planes := paper.Reduced(px.Luma, px.Cb, px.Cr)
	found := paper.Find(planes)
	t.outlines("found", planes, found)
	if len(found) == 0 {
		found = []paper.Candidate{{Quad: paper.Whole(luma.W, luma.H)}}
	}
	var set []upright
	for i, c := range found {
		m, ok := paper.NewMap(c.Quad)
		if !ok {
			continue
		}
		u, err := r.setUpright(ctx, luma, m, t.slip(i+1))
		if err != nil {
			return nil, err
		}
		set = append(set, u)
	}
	var out []record.Slip
	for i, u := range legibleOnly(set) {
		words, err := r.read(ctx, u.view, u.layout, t.slip(i+1))
		if err != nil {
			return nil, err
		}
		cells := r.readCells(u.view, u.layout)
		t.slip(i+1).cells("grid", u.view, u.layout, cells)
		s := r.assemble(u.view, u.layout, words, cells, image.Pt(luma.W, luma.H))
		s.Turn = u.turn
		out = append(out, s)
	}
	return out, nil
}

// Where one slip on a picture is legible, something that is hardly so is not a
// slip but table, tape or texture. Alone, it may be a ghost and is kept.
const (
	leastLegible   = 0.12 // of the room for characters: texture reaches about 0.05
	clearlyLegible = 0.35
)

func legibleOnly(set []upright) []upright {
	best := 0.0
	for _, u := range set {
		best = max(best, u.legible)
	}
	return slices.DeleteFunc(set, func(u upright) bool { return best > clearlyLegible && u.legible < leastLegible })
}

// view is a slip lifted at one scale.
type view struct {
	m     paper.Map
	scale float64 // pixels a flat unit
	em    float64 // height of a character cell in pixels
	dens  ink.Density
	even  raster.Plane
}

func lift(luma raster.Plane, m paper.Map, scale, em float64) view {
	flat := m.Flatten(luma, 1, scale)
	d := ink.Lift(flat, em)
	even := d.Even(em)
	clearBorder(even)
	clearMargin(even, m, luma.W, luma.H)
	return view{m, scale, em, d, even}
}

// The first look is at a scale where the narrow side of a slip, 24 to 48
// characters, is this wide: characters are then 15 to 30 pixels high.
const firstWidth = 760

// setUpright finds how the print of one slip lies and stands it on its feet.
func (r *Reader) setUpright(ctx context.Context, luma raster.Plane, m paper.Map, t *trace) (upright, error) {
	v := lift(luma, m, min(firstWidth/min(m.W, m.H), 1.5), firstWidth/36*1.6)
	t.plane("first-ink", v.even, 1, 0)
	clean := paper.LettersOnly(paper.PrintOnly(v.even, v.em), v.em)
	axis := paper.LineAxis(clean, v.em)
	first, second := 0, 1
	if axis < 0 {
		first, second = 1, 0
	}
	best, err := r.upright(ctx, luma, v, clean, first)
	if err != nil {
		return best, err
	}
	if math.Abs(axis) < sidewaysDoubt || best.legible < clearlyLegible {
		other, err := r.upright(ctx, luma, v, clean, second)
		if err != nil {
			return best, err
		}
		// What the smear says clearly takes clear reading to overrule.
		if other.legible > best.legible*(1+math.Abs(axis)) {
			best = other
		}
	}
	t.plane("straight-ink", best.even, 1, 0)
	return best, nil
}

// leastFollowed is the share of a slip on which lines must have been followed
// before its bend is believed.
const leastFollowed = 0.1

// upright is a slip that was straightened and set on its feet.
type upright struct {
	view
	layout  lines.Layout
	turn    int
	legible float64
}

// upright straightens the slip of the first view after some quarter turns and
// decides by reading a few lines whether to stand it on its head.
func (r *Reader) upright(ctx context.Context, luma raster.Plane, first view, clean raster.Plane, quarter int) (upright, error) {
	skew, _ := paper.MeasureSkew(clean.Quarter(quarter), mostSkew)
	v := lift(luma, first.m.Turned(quarter).Skewed(skew), first.scale, first.em)
	clean = paper.LettersOnly(paper.PrintOnly(v.even, v.em), v.em)
	if b, share := paper.MeasureBend(clean, v.em, v.scale); share > leastFollowed {
		v.m = v.m.Bent(b)
		v = lift(luma, v.m, v.scale, v.em)
		clean = paper.LettersOnly(paper.PrintOnly(v.even, v.em), v.em)
	}
	l := lines.Find(clean, clean, v.em*0.7)
	v = lift(luma, v.m, v.scale*readCap/l.Cap, readCap*1.4)
	clean = paper.PrintOnly(v.even, v.em)
	up := upright{view: v, layout: lines.Find(clean, v.even, readCap), turn: 90 * quarter}
	down := upright{view: v.flipped(), turn: (90*quarter + 180) % 360}
	down.layout = lines.Find(clean.Quarter(2), down.even, readCap)
	var err error
	if up.legible, err = r.measureLegible(ctx, up.view, up.layout); err != nil {
		return up, err
	}
	if down.legible, err = r.measureLegible(ctx, down.view, down.layout); err != nil {
		return down, err
	}
	if down.legible > up.legible {
		return down, nil
	}
	return up, nil
}

// flipped is the view with its bottom made its top.
func (v view) flipped() view {
	v.m = v.m.Flipped()
	v.dens.Plane, v.even = v.dens.Plane.Quarter(2), v.even.Quarter(2)
	return v
}
