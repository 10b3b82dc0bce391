package ocr

import (
	"context"
	"image"

	"golang.org/x/sync/errgroup"

	"tankroll/ocr/lines"
	"tankroll/ocr/recognise"
)

// readCap is the height of a capital in pixels at which lines are recognised.
const readCap = 30

// strip is one line as it is given to the recognizer.
type strip struct {
	band lines.Band
	gray *image.Gray
	x0   int // its left edge on the plane
	y0   int
	wide float64        // how much wider than on the plane it is
	led  []lines.Leader // that were wiped off, before it was made wider
}

// The recognizer knows type of ordinary proportions. The cell of a character is
// this wide, in capitals, on most heads; condensed and double width print lies
// outside and is brought in.
const (
	leastAspect = 0.78
	mostAspect  = 1.15
)

// toUsual is the factor by which print of one cell width is brought to usual
// proportions.
func toUsual(cell, cap float64) float64 {
	if cell <= 0 || cap <= 0 {
		return 1
	}
	a := cell / cap
	return min(max(a, leastAspect), mostAspect) / a
}

// read has the recognizer read every line whose cells hold print, as many at
// once as there are workers.
func (r *Reader) read(ctx context.Context, u upright, cells []cellLine, t *trace) ([][]recognise.Word, error) {
	out := make([][]recognise.Word, len(u.layout.Bands))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(r.opts.Workers)
	for i, b := range u.layout.Bands {
		if b.Rule || cells != nil && cells[i].dull() {
			continue
		}
		step, cap := u.layout.Cell, u.layout.Cap
		switch {
		case cells != nil:
			step, cap = cells[i].Step, cells[i].Cap
		case u.grid != nil && u.grid[i].Cells > 0: // its width was found, its cells are not read
			step, cap = u.grid[i].Step, u.grid[i].Cap
		}
		s := cutStrip(u.view, b, u.layout, toUsual(step, cap))
		t.image("line", s.gray)
		group.Go(func() error {
			words, err := r.recognised(ctx, s)
			out[i] = s.onPlane(words)
			return err
		})
	}
	return out, group.Wait()
}

// recognised is what the recognizer says of one line.
func (r *Reader) recognised(ctx context.Context, s strip) ([]recognise.Word, error) {
	if r.testOnlyStrip != nil {
		r.testOnlyStrip(s)
	}
	return r.pool.Read(ctx, s.gray, recognise.Line)
}

// onPlane moves words from the strip to the plane it was cut from.
func (s strip) onPlane(words []recognise.Word) []recognise.Word {
	by := image.Pt(s.x0, s.y0)
	back := func(r image.Rectangle) image.Rectangle {
		r.Min.X, r.Max.X = int(float64(r.Min.X)/s.wide+0.5), int(float64(r.Max.X)/s.wide+0.5)
		return r.Add(by)
	}
	for j := range words {
		words[j].Box = back(words[j].Box)
		for k := range words[j].Symbols {
			words[j].Symbols[k].Box = back(words[j].Symbols[k].Box)
		}
	}
	return words
}

// cutStrip makes the picture of one line: black on white, leaders wiped off, a
// bar of inverse print turned round and cut inside of its edges, made wider or
// narrower by a factor.
func cutStrip(v view, b lines.Band, l lines.Layout, wide float64) strip {
	pad, margin := int(0.35*l.Cap), int(0.7*l.Cap)
	if b.Inverse {
		pad, margin = -1, -int(0.15*l.Cap)
	}
	r := image.Rect(b.X0-margin, b.Y0-pad, b.X1+margin, b.Y1+pad).Intersect(image.Rect(0, 0, v.even.W, v.even.H))
	p := v.even.Sub(r)
	var led []lines.Leader
	if !b.Inverse {
		led = lines.TakeLeaders(p, l.Cell, l.Cap, float64(b.Y0-r.Min.Y))
	}
	if w := int(float64(p.W)*wide + 0.5); w > 0 && w != p.W {
		p = p.Resize(w, p.H)
	}
	if b.Inverse {
		return strip{b, p.Gray(0, 1), r.Min.X, r.Min.Y, wide, nil}
	}
	return strip{b, p.Gray(1, 0), r.Min.X, r.Min.Y, wide, led}
}
