package ocr

import (
	"cmp"
	"context"
	"image"
	"slices"

	"tankroll/ocr/decode"
	"tankroll/ocr/marks"
	"tankroll/ocr/paper"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// written is what people left on a page, as far as it is known, in the page's pixels.
type written struct {
	marks []*leftMark
	ink   []inkLayer
}

// leftMark is one mark with the lines of text that its ink was seen on.
type leftMark struct {
	marks.Found
	over []int
}

// inkLayer is where ink of some marks lies, and what it does to words.
type inkLayer struct {
	marks.Ink
	reach float64 // capitals from a word within which ink may have taken or added a character
	trust float64 // the most that a word with ink on it is trusted
}

// What words are trusted at most that ink lies on. Ink of a colour is taken off from
// print too; of black ink what lies on print is left there.
const (
	belowColour = 0.9
	belowBlack  = 0.6
	reachBlack  = 0.7
)

// byColour finds coloured marks on the slips that were found, and returns the page
// without them.
func byColour(px decode.Page, found []paper.Candidate, t *trace) (decode.Page, written) {
	var outlines [][4]record.Point
	for _, c := range found {
		outlines = append(outlines, [4]record.Point(c.Quad))
	}
	if len(outlines) == 0 {
		outlines = append(outlines, [4]record.Point(paper.Whole(px.Luma.Rect.Dx(), px.Luma.Rect.Dy())))
	}
	c := marks.ByColour(px, outlines)
	if c.Plain == nil {
		return px, written{}
	}
	t.image("marks-off", c.Plain)
	px.Luma = c.Plain
	return px, writtenAs(c.Marks, inkLayer{c.Ink, 0, belowColour})
}

func writtenAs(found []marks.Found, ink inkLayer) written {
	w := written{ink: []inkLayer{ink}}
	for _, f := range found {
		w.marks = append(w.marks, &leftMark{Found: f})
	}
	return w
}

// on is the part of what is written that lies on a slip.
func (w written) on(m paper.Map) written {
	var out written
	for _, f := range w.marks {
		mid := f.Box.Min.Add(f.Box.Max).Div(2)
		if m.Quad.Holds(float64(mid.X), float64(mid.Y)) {
			out.marks = append(out.marks, f)
		}
	}
	if len(out.marks) > 0 {
		out.ink = w.ink
	}
	return out
}

// and is both together.
func (w written) and(o written) written {
	return written{slices.Concat(w.marks, o.marks), slices.Concat(w.ink, o.ink)}
}

// fewInk is how many places of ink lie on what a mark crosses at least.
const fewInk = 3

// trust is the most that a word of the slip u within a rectangle of its plane is
// trusted for the ink that lies on it: 1 when there is none.
func (w written) trust(u upright, x0, y0, x1, y1 float64) float64 {
	out := 1.0
	for _, n := range w.ink {
		if n.trust >= out {
			continue
		}
		room := n.reach * u.layout.Cap
		few := 0
		w.each(u, n, x0-room, y0, x1+room, y1, func(image.Point) bool { few++; return few < fewInk })
		if few >= fewInk {
			out = n.trust
		}
	}
	return out
}

// note notes that line number line of the slip's text stands within a rectangle of the
// slip's plane.
func (w written) note(u upright, line int, x0, y0, x1, y1 float64) {
	seen := make([]int, len(w.marks))
	for _, n := range w.ink {
		w.each(u, n, x0, y0, x1, y1, func(p image.Point) bool {
			for i, m := range w.marks {
				if p.In(m.Box) {
					if seen[i]++; seen[i] == fewInk {
						m.over = append(m.over, line)
					}
				}
			}
			return true
		})
	}
}

// each calls f for places within a rectangle of the slip's plane that have ink, until
// it returns false.
func (w written) each(u upright, n inkLayer, x0, y0, x1, y1 float64, f func(image.Point) bool) {
	step := 0.8 * float64(n.Step)
	for y := y0 / u.scale; y < y1/u.scale; y += step {
		for x := x0 / u.scale; x < x1/u.scale; x += step {
			ox, oy := u.m.ToOriginal(x, y)
			if p := image.Pt(int(ox), int(oy)); n.At(p.X, p.Y) && !f(p) {
				return
			}
		}
	}
}

// record gives the marks of the slip u from its top to its bottom.
func (w written) record(u upright) []record.Mark {
	down := func(m *leftMark) float64 {
		mid := m.Box.Min.Add(m.Box.Max).Div(2)
		top, foot := middle(u.m.Quad[0], u.m.Quad[1]), middle(u.m.Quad[2], u.m.Quad[3])
		return (float64(mid.X)-top.X)*(foot.X-top.X) + (float64(mid.Y)-top.Y)*(foot.Y-top.Y)
	}
	all := slices.Clone(w.marks)
	slices.SortStableFunc(all, func(a, b *leftMark) int { return cmp.Compare(down(a), down(b)) })
	var out []record.Mark
	for _, m := range all {
		slices.Sort(m.over)
		out = append(out, record.Mark{Kind: m.Kind, Sure: m.Sure, Over: slices.Compact(m.over),
			Box: record.Box{X: m.Box.Min.X, Y: m.Box.Min.Y, W: m.Box.Dx(), H: m.Box.Dy()}})
	}
	return out
}

func middle(a, b record.Point) record.Point {
	return record.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
}

// leastHeld is the share of its legible print that a slip has at least when its marks are
// taken off: what loses more was no mark, or hid too much.
const leastHeld = 0.6

// unmarked is the slip without marks whose ink is as black as print, stood up anew, and
// the page's luma without them. Where print would go with them it stays as it is, and
// what is known of them only doubts words.
func (r *Reader) unmarked(ctx context.Context, u upright, luma *image.Gray, original raster.Pyramid, t *trace) (upright, *image.Gray, error) {
	plain, shaped := byShape(luma, original, u, t)
	if plain == nil {
		return u, luma, nil
	}
	without, err := r.setUprightAgain(ctx, raster.NewGrayPyramid(plain), u, t)
	if err != nil {
		return u, luma, err
	}
	if without.turn != u.turn && without.stands < u.stands || without.held() < leastHeld*u.held() {
		u.written = shaped
		return u, luma, nil
	}
	without.outlined, without.found, without.written = u.outlined, u.found, shaped
	return without, plain, nil
}

// shapeCap is the height of a capital in pixels at which black marks are looked for.
const shapeCap = 14

// byShape finds the marks on an upright slip whose ink is as black as print, and returns
// the page's luma without them as a copy; nil when there are none.
func byShape(luma *image.Gray, original raster.Pyramid, u upright, t *trace) (*image.Gray, written) {
	if u.legible < leastLegible || !marks.MayHold(u.even, readCap) {
		return nil, written{}
	}
	scale := u.scale * shapeCap / readCap
	s := marks.ByShape(marks.Seen{Luma: u.m.Flatten(original, scale), Cap: shapeCap, Level: u.dens.Level})
	if len(s.Marks) == 0 {
		return nil, written{}
	}
	plain := image.NewGray(luma.Rect)
	copy(plain.Pix, luma.Pix)
	w, size := s.Paper.W, luma.Rect.Size()
	around := func(k int32) image.Rectangle {
		x, y := float64(int(k)%w), float64(int(k)/w)
		b := u.m.Box(x/scale, y/scale, (x+1)/scale, (y+1)/scale, size)
		return image.Rect(b.X, b.Y, b.X+b.W, b.Y+b.H)
	}
	for _, k := range s.Off {
		r := around(k)
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				plain.Pix[y*plain.Stride+x] = uint8(s.Paper.Pix[k] + 0.5)
			}
		}
	}
	const step = 2
	ink := marks.NewInk(size.X, size.Y, step)
	for _, k := range s.Ink {
		r := around(k)
		for y := r.Min.Y; y < r.Max.Y; y += step {
			for x := r.Min.X; x < r.Max.X; x += step {
				ink.Set(x, y)
			}
		}
	}
	for i, f := range s.Marks {
		b := f.Box
		o := u.m.Box(float64(b.Min.X)/scale, float64(b.Min.Y)/scale, float64(b.Max.X)/scale, float64(b.Max.Y)/scale, size)
		s.Marks[i].Box = image.Rect(o.X, o.Y, o.X+o.W, o.Y+o.H)
	}
	t.image("marks-off", plain)
	return plain, writtenAs(s.Marks, inkLayer{ink, reachBlack, belowBlack})
}

// doubt lowers the confidence in a word that ink lies on.
func (w written) doubt(word *record.Word, u upright, x0, y0, x1, y1 float64) {
	most := w.trust(u, x0, y0, x1, y1)
	word.Confidence, word.AsFigures = min(word.Confidence, most), min(word.AsFigures, most)
}
