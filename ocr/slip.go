package ocr

import (
	"context"
	"image"

	"tankroll/ocr/decode"
	"tankroll/ocr/ink"
	"tankroll/ocr/lines"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// slips finds the slips of a page and reads each.
func (r *Reader) slips(ctx context.Context, px decode.Page, t *trace) ([]record.Slip, error) {
	luma := raster.FromGray(px.Luma)
	w, h := float64(luma.W), float64(luma.H)
	quads := []paper.Quad{{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}}
	var out []record.Slip
	for i, q := range quads {
		m, ok := paper.NewMap(q)
		if !ok {
			continue
		}
		s, err := r.slip(ctx, luma, m, t.slip(i+1))
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, nil
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
	return view{m, scale, em, d, d.Even(em)}
}

// The first look is at a scale where the narrow side of a slip, 24 to 48
// characters, is this wide: characters are then 15 to 30 pixels high.
const firstWidth = 760

// slip reads one slip.
func (r *Reader) slip(ctx context.Context, luma raster.Plane, m paper.Map, t *trace) (record.Slip, error) {
	scale := min(firstWidth/min(m.W, m.H), 1.5)
	v := lift(luma, m, scale, firstWidth/36*1.6)
	t.plane("first-ink", v.even, 1, 0)
	deg, conf := paper.MeasureSkew(v.even, 6)
	if conf > 0.1 && deg != 0 {
		v = lift(luma, m.Skewed(deg), v.scale, v.em)
	}
	layout := lines.Find(v.even, v.em*0.7)
	if b, share := paper.MeasureBend(v.even, layout.Pitch, v.scale); share > 0.1 {
		v.m = v.m.Bent(b)
	}
	v = lift(luma, v.m, v.scale*readCap/layout.Cap, readCap*1.4)
	t.plane("straight-ink", v.even, 1, 0)
	layout = lines.Find(v.even, readCap)
	words, err := r.read(ctx, v, layout, t)
	if err != nil {
		return record.Slip{}, err
	}
	return r.assemble(v, layout, words, image.Pt(luma.W, luma.H)), nil
}
