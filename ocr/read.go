package ocr

import (
	"context"
	"image"

	"tankroll/ocr/lines"
	"tankroll/ocr/recognise"
	"tankroll/record"
)

// readCap is the height of a capital in pixels at which lines are recognised.
const readCap = 30

// strip is one line as it is given to the recognizer.
type strip struct {
	band lines.Band
	gray *image.Gray
	x0   int // its left edge on the plane
	y0   int
}

func (r *Reader) read(ctx context.Context, v view, l lines.Layout, t *trace) ([][]recognise.Word, error) {
	out := make([][]recognise.Word, len(l.Bands))
	for i, b := range l.Bands {
		if b.Rule {
			continue
		}
		s := cutStrip(v, b, l)
		t.image("line", s.gray)
		words, err := r.pool.Read(ctx, s.gray, recognise.Line)
		if err != nil {
			return nil, err
		}
		for j := range words {
			words[j].Box = words[j].Box.Add(image.Pt(s.x0, s.y0))
			for k := range words[j].Symbols {
				words[j].Symbols[k].Box = words[j].Symbols[k].Box.Add(image.Pt(s.x0, s.y0))
			}
		}
		out[i] = words
	}
	return out, nil
}

func cutStrip(v view, b lines.Band, l lines.Layout) strip {
	pad := int(0.35 * l.Cap)
	margin := int(0.7 * l.Cap)
	r := image.Rect(b.X0-margin, b.Y0-pad, b.X1+margin, b.Y1+pad).Intersect(image.Rect(0, 0, v.even.W, v.even.H))
	p := v.even.Sub(r)
	if !b.Inverse {
		lines.TakeLeaders(p, l.Cell, l.Cap, float64(b.Y0-r.Min.Y))
	}
	if b.Inverse {
		return strip{b, p.Gray(0, 1), r.Min.X, r.Min.Y}
	}
	return strip{b, p.Gray(1, 0), r.Min.X, r.Min.Y}
}

func (r *Reader) assemble(v view, l lines.Layout, words [][]recognise.Word, limit image.Point) record.Slip {
	s := record.Slip{Corners: [4]record.Point(v.m.Quad)}
	s.Paper.Ink = v.dens.Ink()
	box := func(q image.Rectangle) record.Box {
		return v.m.Box(float64(q.Min.X)/v.scale, float64(q.Min.Y)/v.scale, float64(q.Max.X)/v.scale, float64(q.Max.Y)/v.scale, limit)
	}
	cell := l.Cell
	for i, b := range l.Bands {
		line := record.Line{Box: box(image.Rect(b.X0, b.Y0, b.X1, b.Y1)), Rule: b.Rule, Inverse: b.Inverse, Tall: b.Tall, Wide: b.Wide}
		for _, w := range words[i] {
			line.Words = append(line.Words, record.Word{Text: w.Text, Col: (float64(w.Box.Min.X) - l.Left) / cell,
				Width: float64(w.Box.Dx()) / cell, Box: box(w.Box), Confidence: w.Confidence})
		}
		if len(line.Words) > 0 || line.Rule {
			s.Lines = append(s.Lines, line)
		}
	}
	return s
}
