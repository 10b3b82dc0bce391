package marks

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// Lengths are in millimetres, as if the shorter side of a slip were usualSide.
const (
	usualSide = 62.0
	widest    = 1.9 // half of what is wider is no line of a pen, no letter of a stamp and no double frame
	bridged   = 0.3 // half the gaps that are closed before the width is asked: print on a coloured band
	bareReach = 1.3 // half of what is filled from around to see the paper
	together  = 3.0 // parts of one mark are no farther apart
	shortest  = 4.0 // of a mark's longer side
	leastInk  = 1.6 // square millimetres
	fenced    = 0.8 // of the slip's sides that is not looked at: the ground shines in
)

// Colour is in steps of 255 on white paper.
const (
	plainTint = 13.0 // off the paper's colour from which a pixel is surely of another ink
	someTint  = 6.0  // what hangs together with such pixels belongs to it from this on
	alikeHue  = 0.55 // radians by which the hues of one mark differ at most
	yellowish = 0.55 // yellow against red from which it is a stain: no pen is brown
)

// Coloured is what ByColour found.
type Coloured struct {
	Plain *image.Gray // the page's luma without the marks; nil when there are none
	Marks []Found
	Of    []int // which of the outlines each mark lies in
	Ink   Ink
}

// ByColour finds coloured marks within outlines of slips, four corners each in the
// page's pixels, and takes them off.
func ByColour(p pixels.Page, outlines [][4]record.Point) Coloured {
	out := Coloured{}
	if p.Cb == nil {
		return out
	}
	for i, q := range outlines {
		a := newArea(p, q)
		if a == nil || !a.tinted() {
			continue
		}
		groups := a.groups()
		if len(groups) == 0 {
			continue
		}
		if out.Plain == nil {
			out.Plain = image.NewGray(p.Luma.Rect)
			copy(out.Plain.Pix, p.Luma.Pix)
			out.Ink = NewInk(p.Luma.Rect.Dx(), p.Luma.Rect.Dy(), p.Step)
		}
		for _, g := range groups {
			out.Marks = append(out.Marks, a.found(g))
			out.Of = append(out.Of, i)
			a.takeOff(g, out.Plain, out.Ink)
		}
	}
	return out
}

// area is the part of a page around one outline, on the grid of its colour.
type area struct {
	page     pixels.Page
	at       image.Rectangle // on the colour's grid
	w, h     int
	from, to []int           // of each row, what lies within the outline
	mm       float64         // samples in a millimetre
	used     image.Rectangle // of it, where there is colour
	luma     raster.Plane
	white    float64      // brightness of the paper
	offB     raster.Plane // how far each sample's colour is off the paper's
	offR     raster.Plane
}

// newArea is nil for an outline that holds nothing.
func newArea(p pixels.Page, q [4]record.Point) *area {
	s := float64(p.Step)
	for i := range q {
		q[i] = record.Point{X: q[i].X / s, Y: q[i].Y / s}
	}
	side := func(a, b int) float64 { return math.Hypot(q[a].X-q[b].X, q[a].Y-q[b].Y) }
	short := math.Min(math.Max(side(0, 1), side(2, 3)), math.Max(side(1, 2), side(3, 0)))
	a := &area{page: p, mm: short / usualSide}
	x0, y0, x1, y1 := q[0].X, q[0].Y, q[0].X, q[0].Y
	for _, c := range q {
		x0, y0, x1, y1 = math.Min(x0, c.X), math.Min(y0, c.Y), math.Max(x1, c.X), math.Max(y1, c.Y)
	}
	a.at = image.Rect(int(x0), int(y0), int(x1)+1, int(y1)+1).Intersect(p.Cb.Rect)
	a.w, a.h = a.at.Dx(), a.at.Dy()
	const fewest = 40
	if a.w < fewest || a.h < fewest {
		return nil
	}
	a.from, a.to = make([]int, a.h), make([]int, a.h)
	fence := fenced * a.mm
	for y := range a.h {
		l, r := rowIn(q, float64(y+a.at.Min.Y)+0.5)
		a.from[y], a.to[y] = max(int(l-float64(a.at.Min.X)+fence), 0), min(int(r-float64(a.at.Min.X)-fence), a.w)
		if float64(y+a.at.Min.Y) < y0+fence || float64(y+a.at.Min.Y) > y1-fence || a.to[y] < a.from[y] {
			a.from[y], a.to[y] = 0, 0
		}
	}
	return a
}

// rowIn is from where to where a row lies within a convex outline.
func rowIn(q [4]record.Point, y float64) (l, r float64) {
	l, r = math.Inf(1), math.Inf(-1)
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		if (a.Y <= y) == (b.Y <= y) {
			continue
		}
		x := a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
		l, r = math.Min(l, x), math.Max(r, x)
	}
	if l > r {
		return 0, 0
	}
	return l, r
}

// lumaRow is the mean brightness of the pixels that each sample of a row of the
// colour covers.
func (a *area) lumaRow(y int, out []float32) {
	s, g := a.page.Step, a.page.Luma
	clear(out)
	x0, y0 := a.at.Min.X*s, (y+a.at.Min.Y)*s
	rows := min(s, g.Rect.Dy()-y0)
	for dy := range rows {
		row := g.Pix[(y0+dy)*g.Stride:][:g.Rect.Dx()]
		for x := range out {
			sum := 0
			for dx := range s {
				sum += int(row[min(x0+x*s+dx, len(row)-1)])
			}
			out[x] += float32(sum)
		}
	}
	for x := range out {
		out[x] /= float32(s * rows)
	}
}

// block is the side, in samples of the colour, of the squares in which the paper's
// colour is asked for.
const block = 32

// tinted measures how far each sample is off its paper's colour, and says whether
// any is plainly. Paper is what is bright in a block; light that falls aslant or
// through a window colours it differently from block to block. Its colour is a
// share of its brightness, and so print, which is dark, has less of it.
func (a *area) tinted() bool {
	bw, bh := (a.w+block-1)/block, (a.h+block-1)/block
	shareB, shareR := raster.New(bw, bh), raster.New(bw, bh)
	var whites, b, r, y []float32
	var missing []int
	const every = 4
	rows := raster.New(a.w, block/every)
	for by := range bh {
		for k := range rows.H {
			a.lumaRow(min(by*block+k*every, a.h-1), rows.Row(k))
		}
		for bx := range bw {
			b, r, y = b[:0], r[:0], y[:0]
			for yy := by * block; yy < min((by+1)*block, a.h); yy += every {
				for xx := max(bx*block, a.from[yy]); xx < min((bx+1)*block, a.to[yy]); xx += 2 {
					i := (yy+a.at.Min.Y)*a.page.Cb.Stride + xx + a.at.Min.X
					l := rows.Row((yy - by*block) / every)[xx]
					y = append(y, l)
					b = append(b, (float32(a.page.Cb.Pix[i])-128)/(l+1))
					r = append(r, (float32(a.page.Cr.Pix[i])-128)/(l+1))
				}
			}
			const few = 12
			if len(y) < few {
				missing = append(missing, by*bw+bx)
				continue
			}
			bright := raster.Quantile(slices.Clone(y), 0.6)
			n := 0
			for i, l := range y {
				if l >= bright {
					b[n], r[n], n = b[i], r[i], n+1
				}
			}
			whites = append(whites, raster.Quantile(slices.Clone(y), 0.8))
			shareB.Pix[by*bw+bx], shareR.Pix[by*bw+bx] = raster.Quantile(b[:n], 0.5), raster.Quantile(r[:n], 0.5)
		}
	}
	if len(whites) == 0 {
		return false
	}
	a.white = float64(raster.Quantile(whites, 0.7))
	usualB, usualR := usual(shareB, missing), usual(shareR, missing)
	for _, k := range missing {
		shareB.Pix[k], shareR.Pix[k] = usualB, usualR
	}
	// A block full of ink shows the ink's colour for the paper's.
	const most = 0.06
	for k := range shareB.Pix {
		shareB.Pix[k] = min(max(shareB.Pix[k], usualB-most), usualB+most)
		shareR.Pix[k] = min(max(shareR.Pix[k], usualR-most), usualR+most)
	}
	shareB, shareR = calm(shareB), calm(shareR)
	return a.measure(shareB, shareR)
}

// usual is the middle of a plane but for the samples that are missing.
func usual(p raster.Plane, missing []int) float32 {
	out := slices.Clone(p.Pix)
	for i := len(missing) - 1; i >= 0; i-- {
		out = slices.Delete(out, missing[i], missing[i]+1)
	}
	return raster.Quantile(out, 0.5)
}

// calm takes the middle of each sample and its neighbours.
func calm(p raster.Plane) raster.Plane {
	out := raster.New(p.W, p.H)
	var near []float32
	for y := range p.H {
		for x := range p.W {
			near = near[:0]
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					near = append(near, p.At(x+dx, y+dy))
				}
			}
			out.Pix[y*p.W+x] = raster.Quantile(near, 0.5)
		}
	}
	return out
}

// measure fills offB and offR where any ink may be; it is false when fewer samples are
// plainly off the paper's colour than a mark has.
func (a *area) measure(shareB, shareR raster.Plane) bool {
	scale := float32(230 / math.Max(a.white, 60))
	plain, at := 0, image.Rectangle{}
	row := make([]float32, a.w)
	off := func(y int, each func(x int, l, b, r float32)) {
		a.lumaRow(y, row)
		from := (y+a.at.Min.Y)*a.page.Cb.Stride + a.at.Min.X
		cb, cr := a.page.Cb.Pix[from:][:a.w], a.page.Cr.Pix[from:][:a.w]
		sb, sr := shareB.Row(y/block), shareR.Row(y/block)
		for x := a.from[y]; x < a.to[y]; x++ {
			l := row[x]
			each(x, l, (float32(cb[x])-128-sb[x/block]*l)*scale, (float32(cr[x])-128-sr[x/block]*l)*scale)
		}
	}
	for y := range a.h {
		first, last := a.w, -1
		off(y, func(x int, _, b, r float32) {
			if b*b+r*r > plainTint*plainTint {
				plain++
				first, last = min(first, x), x
			}
		})
		if last >= 0 {
			at = at.Union(image.Rect(first, y, last+1, y+1))
		}
	}
	if float64(plain) < leastInk*a.mm*a.mm/3 {
		return false
	}
	const room = 6 // millimetres
	a.used = at.Inset(-int(room * a.mm)).Intersect(image.Rect(0, 0, a.w, a.h))
	w, h := a.used.Dx(), a.used.Dy()
	a.luma, a.offB, a.offR = raster.New(w, h), raster.New(w, h), raster.New(w, h)
	for y := a.used.Min.Y; y < a.used.Max.Y; y++ {
		a.lumaRow(y, row)
		copy(a.luma.Row(y-a.used.Min.Y), row[a.used.Min.X:a.used.Max.X])
		b0, r0 := a.offB.Row(y-a.used.Min.Y), a.offR.Row(y-a.used.Min.Y)
		off(y, func(x int, _, b, r float32) {
			if x -= a.used.Min.X; x >= 0 && x < w {
				b0[x], r0[x] = b, r
			}
		})
	}
	// From here on the area is what is used of it.
	a.from, a.to = a.from[a.used.Min.Y:a.used.Max.Y], a.to[a.used.Min.Y:a.used.Max.Y]
	for y := range a.from {
		a.from[y], a.to[y] = a.from[y]-a.used.Min.X, a.to[y]-a.used.Min.X
	}
	a.at = a.used.Add(a.at.Min)
	a.w, a.h = w, h
	return true
}

// group is one mark: the samples of its ink.
type group struct {
	places []int32
	box    image.Rectangle
	parts  []raster.Mark
	hue    float64
	tint   float64 // of its strongest samples
}

// groups gathers the samples that are off the paper's colour into marks.
func (a *area) groups() []group {
	strength := raster.New(a.w, a.h)
	for i := range strength.Pix {
		strength.Pix[i] = float32(math.Hypot(float64(a.offB.Pix[i]), float64(a.offR.Pix[i])))
	}
	strength = strength.Blur(0.6)
	broad := a.broad(strength)
	var parts []group
	for _, m := range strength.Marks(someTint) {
		if g, ok := a.part(m, strength, broad); ok {
			parts = append(parts, g)
		}
	}
	return a.gathered(parts)
}

// broad is where colour is too wide for a pen, with what lies around it.
func (a *area) broad(strength raster.Plane) raster.Plane {
	shut, open := max(int(bridged*a.mm+0.5), 1), max(int(widest*a.mm+0.5), 2)
	mask := strength.Map(func(v float32) float32 {
		if v > plainTint/1.5 {
			return 1
		}
		return 0
	})
	return mask.Close(shut, shut).Min(open, open).Max(open+2*shut, open+2*shut)
}

// mostBroad is the share of a part that may lie in what is broad: a blot.
const mostBroad = 0.3

// part tells whether a connected part may belong to a mark.
func (a *area) part(m raster.Mark, strength, broad raster.Plane) (group, bool) {
	g := group{places: m.Places, box: m.Box, parts: []raster.Mark{m}}
	var tints []float32
	b, r, wide := 0.0, 0.0, 0
	for _, k := range m.Places {
		tints = append(tints, strength.Pix[k])
		b, r = b+float64(a.offB.Pix[k]), r+float64(a.offR.Pix[k])
		if broad.Pix[k] > 0 {
			wide++
		}
	}
	g.tint = float64(raster.Quantile(tints, 0.9))
	g.hue = math.Atan2(r, b)
	switch {
	case g.tint < plainTint, float64(wide) > mostBroad*float64(len(m.Places)):
		return g, false
	case b < 0 && r > 0 && -b > yellowish*r: // brown, orange or yellow
		return g, false
	case a.atBorder(m):
		return g, false
	}
	return g, true
}

// atBorder is whether a part runs along the outline: the ground, or light from it.
func (a *area) atBorder(m raster.Mark) bool {
	n := 0
	for _, k := range m.Places {
		x, y := int(k)%a.w, int(k)/a.w
		if x <= a.from[y]+1 || x >= a.to[y]-2 {
			n++
		}
	}
	return float64(n) > 0.12*float64(len(m.Places))
}

// gathered puts parts of one hue that lie near each other together.
func (a *area) gathered(parts []group) []group {
	near := int(together * a.mm)
	for again := true; again; {
		again = false
		for i := 0; i < len(parts); i++ {
			for k := i + 1; k < len(parts); k++ {
				if math.Abs(math.Remainder(parts[i].hue-parts[k].hue, 2*math.Pi)) > alikeHue ||
					!parts[i].box.Inset(-near).Overlaps(parts[k].box) {
					continue
				}
				parts[i] = joined(parts[i], parts[k])
				parts = slices.Delete(parts, k, k+1)
				k, again = i, true
			}
		}
	}
	return slices.DeleteFunc(parts, func(g group) bool {
		return float64(max(g.box.Dx(), g.box.Dy())) < shortest*a.mm || float64(len(g.places)) < leastInk*a.mm*a.mm
	})
}

func joined(g, o group) group {
	if len(o.places) > len(g.places) {
		g, o = o, g
	}
	g.places = append(slices.Clone(g.places), o.places...)
	g.box, g.parts, g.tint = g.box.Union(o.box), append(g.parts, o.parts...), math.Max(g.tint, o.tint)
	return g
}

// found says what a group is.
func (a *area) found(g group) Found {
	s := a.page.Step
	b := g.box.Add(a.at.Min)
	f := Found{Kind: record.Handwriting, Box: image.Rect(b.Min.X*s, b.Min.Y*s, b.Max.X*s, b.Max.Y*s).Intersect(a.page.Luma.Rect)}
	if isStamp(g.parts, a.w, a.mm) {
		f.Kind = record.Stamp
	}
	// From nothing to all over what was seen on the fit part.
	f.Sure = 1 - math.Exp(-(g.tint-plainTint/2)/plainTint-float64(len(g.places))/(12*a.mm*a.mm))
	return f
}

// darkest is added to brightness before its logarithm is taken, as package ink does.
const darkest = 6

func density(paper, v float64) float64 { return math.Log((paper + darkest) / (v + darkest)) }

// takeOff gives the pixels of a mark back what its ink took from them. Its ink takes
// more of one colour than of another and print as much of each: how much ink lies at
// a place is told by the difference, and what it takes of the brightness by the
// places where it lies alone.
func (a *area) takeOff(g group, plain *image.Gray, ink Ink) {
	const halo = 2 // samples over which a JPEG's colour runs
	box := g.box.Inset(-3 * halo).Intersect(image.Rect(0, 0, a.w, a.h))
	bare := a.luma.Sub(box.Inset(-int(bareReach*2*a.mm))).Close(int(bareReach*a.mm+0.5)+1, int(bareReach*a.mm+0.5)+1)
	off := box.Min.Sub(box.Inset(-int(bareReach * 2 * a.mm)).Intersect(image.Rect(0, 0, a.w, a.h)).Min)
	c, on := raster.New(box.Dx(), box.Dy()), raster.New(box.Dx(), box.Dy())
	for _, k := range g.places {
		x, y := int(k)%a.w, int(k)/a.w
		on.Pix[(y-box.Min.Y)*box.Dx()+x-box.Min.X] = 1
		if a.offB.Pix[k]*a.offB.Pix[k]+a.offR.Pix[k]*a.offR.Pix[k] > plainTint*plainTint/2 {
			for dy := range a.page.Step {
				for dx := range a.page.Step {
					ink.Set((x+a.at.Min.X)*a.page.Step+dx, (y+a.at.Min.Y)*a.page.Step+dy)
				}
			}
		}
	}
	on = on.Max(halo, halo)
	paper := func(x, y int) float64 { return float64(bare.At(x+off.X, y+off.Y)) }
	hi, lo := channelsOf(g.hue)
	for y := range c.H {
		for x := range c.W {
			if on.Pix[y*c.W+x] == 0 {
				continue
			}
			i := (y+box.Min.Y)*a.w + x + box.Min.X
			scale := math.Max(a.white, 60) / 230
			b, r, l, p := float64(a.offB.Pix[i])*scale, float64(a.offR.Pix[i])*scale, float64(a.luma.Pix[i]), paper(x, y)
			c.Pix[y*c.W+x] = float32(math.Max(density(p, hi.of(l, b, r))-density(p, lo.of(l, b, r)), 0))
		}
	}
	most := c.Max(1, 1)
	takes := a.takes(c, most, box, paper)
	a.giveBack(plain, box, on, c, most, takes, paper)
}

// channel is how a colour's brightness follows from luma and colour differences.
type channel struct{ b, r float64 }

func (ch channel) of(l, b, r float64) float64 { return math.Max(l+ch.b*b+ch.r*r, 0) }

// channelsOf are the colour of which ink of a hue takes the most and the least.
func channelsOf(hue float64) (hi, lo channel) {
	all := []channel{{0, 1.402}, {-0.344, -0.714}, {1.772, 0}} // red, green, blue
	by := func(ch channel) float64 { return ch.b*math.Cos(hue) + ch.r*math.Sin(hue) }
	slices.SortFunc(all, func(x, y channel) int {
		if by(x) < by(y) {
			return -1
		}
		return 1
	})
	return all[0], all[2]
}

// takes is the density of brightness that a mark's ink has for each of its difference
// between colours, where it lies alone: print only adds to it.
func (a *area) takes(c, most raster.Plane, box image.Rectangle, paper func(x, y int) float64) float64 {
	top := raster.Quantile(slices.DeleteFunc(slices.Clone(c.Pix), func(v float32) bool { return v == 0 }), 0.8)
	var share []float32
	for y := range c.H {
		for x := range c.W {
			i := y*c.W + x
			if c.Pix[i] > 0 && c.Pix[i] >= 0.8*top && c.Pix[i] >= 0.9*most.Pix[i] {
				l := float64(a.luma.Pix[(y+box.Min.Y)*a.w+x+box.Min.X])
				share = append(share, float32(density(paper(x, y), l))/c.Pix[i])
			}
		}
	}
	const alone = 0.4
	return float64(raster.Quantile(share, alone))
}

// giveBack brightens the pixels of a mark. Colour runs over its lines' edges, where a
// pixel may be print beside the mark: nothing is given back beyond reach times what
// the place's own colour says.
func (a *area) giveBack(plain *image.Gray, box image.Rectangle, on, c, most raster.Plane, takes float64, paper func(x, y int) float64) {
	const (
		margin = 1.15 // lines are darkest in their middle, between two samples
		reach  = 2.2
	)
	s := a.page.Step
	from := box.Min.Add(a.at.Min).Mul(s)
	for y := range box.Dy() {
		for x := range box.Dx() {
			if on.Pix[y*on.W+x] == 0 {
				continue
			}
			p := paper(x, y)
			for dy := range s {
				for dx := range s {
					at := from.Add(image.Pt(x*s+dx, y*s+dy))
					if !at.In(plain.Rect) {
						continue
					}
					i := at.Y*plain.Stride + at.X
					u, v := (float64(dx)+0.5)/float64(s)-0.5, (float64(dy)+0.5)/float64(s)-0.5
					here := float64(c.Bilinear(float64(x)+u, float64(y)+v))
					k := math.Min(float64(most.Bilinear(float64(x)+u, float64(y)+v)), reach*here)
					left := density(p, float64(plain.Pix[i])) - margin*takes*k
					if k > 0 {
						bright := (p+darkest)*math.Exp(-math.Max(left, 0)) - darkest
						plain.Pix[i] = uint8(math.Min(math.Max(bright+0.5, float64(plain.Pix[i])), 255))
					}
				}
			}
		}
	}
}
