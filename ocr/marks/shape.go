package marks

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/lines"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// Lengths are in capitals of the slip's print, some 2 mm.
const (
	large      = 2.7  // of a mark's longer side: double height print with its tails is less
	high       = 1.5  // and of its shorter side: an underline is a rule
	largeDark  = 1.6  // of the longer side of what is much darker than print
	slender    = 0.5  // the width of its lines at most
	airy       = 0.45 // of its box, at most, that it fills
	bent       = 0.18 // how far it strays from a straight line at least: folds and scratches do not
	alongLine  = 0.3  // how far from a line its places lie at most,
	mostlyLine = 0.5  // and the share of a mark's places there from which it is that line
	beside     = 1.3  // how far apart parts of one mark may lie
	biggerThan = 1.35 // letters of a stamp against capitals
	mostLetter = 3.6  // of a stamp
	frameHigh  = 4.5  // of what goes around three lines or more
	edge       = 0.4  // of the slip, that a mark keeps away from: the ground shines in
	offLines   = 1.5  // of a mark's line that must lie off the lines of print, in capitals
)

const (
	// leastDark is the density of ink of pens and stamps at least: stains, rings of cups,
	// folds and tape take less light.
	leastDark = 0.55
	// muchDarker is how many times as dark as print a mark is that is told by that alone.
	muchDarker = 1.7
	// faint is the density of print up to which that is looked for, and fewRest the parts
	// as dark that are no marks: with more of them some are print.
	faint   = 0.6
	fewRest = 40
	// asDark is the least of print's density that belongs to a mark.
	asDark = 0.4
	// lit is how bright the paper below a mark is at least, against the brightest near by,
	// at all but the share rim of its places.
	lit = 0.7
	rim = 0.2
	// strong is the share of a mark's pixels that count for how dark it is.
	strong = 0.75
)

// Seen is a slip as ByShape looks at it: luma flattened and upright, capitals cap
// pixels high, lines pitch apart, solid print of a density of level.
type Seen struct {
	Luma       raster.Plane
	Cap, Level float64
}

// Shaped is what ByShape found, in pixels of Seen.
type Shaped struct {
	Marks []Found
	Off   []int32      // pixels to be given the paper's brightness
	Paper raster.Plane // that brightness
	Ink   []int32      // pixels on which ink of a mark lies, those on print included
}

// MayHold says whether print as 1 on 0, capitals cap pixels high, has parts of the size
// of a mark: only then ByShape is worth its time.
func MayHold(even raster.Plane, cap float64) bool {
	const height = 7 // of a capital, in pixels
	f := max(int(cap/height), 1)
	small := even.Reduce(f)
	s := shaper{cap: cap / float64(f), w: small.W, h: small.H}
	return slices.ContainsFunc(small.Marks(0.3), func(m raster.Mark) bool { return s.sized(m, large) && s.drawn(m) })
}

// ByShape finds marks whose ink is as black as print. What is much darker than print is
// told by that; else a mark is what is much larger than a character, bent and slender.
func ByShape(s Seen) Shaped {
	p := shaper{cap: s.Cap, w: s.Luma.W, h: s.Luma.H}
	r := max(int(0.5*s.Cap+0.5), 2)
	p.paper = s.Luma.Close(r, r).Blur(0.3 * s.Cap)
	p.dark = raster.New(p.w, p.h)
	for i, v := range s.Luma.Pix {
		p.dark.Pix[i] = float32(density(float64(p.paper.Pix[i]), float64(v)))
	}
	out := Shaped{Paper: p.paper}
	if s.Level < faint {
		p.darker = true
		if seeds, rest := p.seeds(math.Max(muchDarker*s.Level, leastDark)); len(rest) < fewRest {
			p.settle(&out, seeds, rest)
		}
		for _, k := range out.Off {
			p.dark.Pix[k] = 0
		}
		p.darker = false
	}
	seeds, rest := p.seeds(math.Max(asDark*s.Level, 0.2))
	if len(seeds) > 0 {
		p.findLines(s.Level, seeds, rest)
		p.settle(&out, seeds, rest)
	}
	return out
}

// shaper tells marks from print on one slip.
type shaper struct {
	w, h        int
	cap         float64
	dark, paper raster.Plane
	bright      raster.Plane // the brightest paper near each place, once it was asked for
	darker      bool         // marks are darker than any print
	zone        []bool       // pixels on lines of print; nil where marks are told by darkness
	band        []int16
	layout      lines.Layout
}

// seeds are the parts that are large and drawn as by a pen, and the rest.
func (p *shaper) seeds(least float64) (seeds, rest []raster.Mark) {
	size := large
	if p.darker {
		size = largeDark
	}
	for _, m := range p.dark.Marks(float32(least)) {
		if p.sized(m, size) && p.drawn(m) && p.inky(m) {
			seeds = append(seeds, m)
		} else if len(m.Places) > 3 {
			rest = append(rest, m)
		}
	}
	return seeds, rest
}

// sized is whether a part is as large as a mark and does not run off the slip.
func (p *shaper) sized(m raster.Mark, size float64) bool {
	w, h := float64(m.Box.Dx()), float64(m.Box.Dy())
	return math.Max(w, h) >= size*p.cap && math.Min(w, h) >= high*p.cap*size/large &&
		m.Box.In(image.Rect(0, 0, p.w, p.h).Inset(int(edge*p.cap)+1))
}

// drawn is whether a part is of slender lines that are not one straight line.
func (p *shaper) drawn(m raster.Mark) bool {
	n := float64(len(m.Places))
	if n > airy*float64(m.Box.Dx()*m.Box.Dy()) {
		return false
	}
	return p.lineWidth(m.Places) <= slender*p.cap && !p.straightens(m)
}

// straightens is whether a part is nearly one straight line.
func (p *shaper) straightens(m raster.Mark) bool {
	n, sx, sy := float64(len(m.Places)), 0.0, 0.0
	for _, k := range m.Places {
		sx, sy = sx+float64(int(k)%p.w), sy+float64(int(k)/p.w)
	}
	mx, my := sx/n, sy/n
	xx, yy, xy := 0.0, 0.0, 0.0
	for _, k := range m.Places {
		dx, dy := float64(int(k)%p.w)-mx, float64(int(k)/p.w)-my
		xx, yy, xy = xx+dx*dx/n, yy+dy*dy/n, xy+dx*dy/n
	}
	least := (xx + yy - math.Sqrt((xx-yy)*(xx-yy)+4*xy*xy)) / 2
	if math.Sqrt(math.Max(least, 0)) < bent*p.cap {
		return true
	}
	// A scratch may have characters hanging on it.
	angle := math.Atan2(2*xy, xx-yy) / 2
	on := 0
	for _, k := range m.Places {
		if d := (float64(int(k)/p.w)-my)*math.Cos(angle) - (float64(int(k)%p.w)-mx)*math.Sin(angle); math.Abs(d) < alongLine*p.cap {
			on++
		}
	}
	return float64(on) > mostlyLine*n
}

// lineWidth is how wide the lines are that places are drawn with: twice the area by
// the length of its edge.
func (p *shaper) lineWidth(places []int32) float64 {
	on := make(map[int32]struct{}, len(places))
	for _, k := range places {
		on[k] = struct{}{}
	}
	edge := 0
	for _, k := range places {
		for _, d := range [4]int32{-1, 1, -int32(p.w), int32(p.w)} {
			if _, ok := on[k+d]; !ok {
				edge++
			}
		}
	}
	return 2.2 * float64(len(places)) / float64(max(edge, 1))
}

// inky is whether a part is as dark as ink, and no rim of something dark and broad.
func (p *shaper) inky(m raster.Mark) bool {
	if p.bright.W == 0 {
		r := int(3 * p.cap)
		p.bright = p.paper.Max(r, r)
	}
	v, shade := make([]float32, len(m.Places)), make([]float32, len(m.Places))
	for i, k := range m.Places {
		v[i], shade[i] = p.dark.Pix[k], p.paper.Pix[k]/p.bright.Pix[k]
	}
	return float64(raster.Quantile(v, strong)) >= leastDark && raster.Quantile(shade, rim) >= lit
}

// settle decides which seeds are marks, gathers what belongs to them and takes it off.
func (p *shaper) settle(out *Shaped, seeds, rest []raster.Mark) {
	seeds = slices.DeleteFunc(seeds, func(m raster.Mark) bool { return !p.offPrint(m) })
	for len(seeds) > 0 {
		mark := []raster.Mark{seeds[0]}
		box := seeds[0].Box
		seeds = seeds[1:]
		near := int(beside * p.cap)
		for again := true; again; {
			again = false
			for _, list := range []*[]raster.Mark{&seeds, &rest} {
				*list = slices.DeleteFunc(*list, func(m raster.Mark) bool {
					if !box.Inset(-near).Overlaps(m.Box) || list == &rest && !p.belongs(m, mark) {
						return false
					}
					mark, box, again = append(mark, m), box.Union(m.Box), true
					return true
				})
			}
		}
		p.take(out, mark, box)
	}
}

// offPrint is whether enough of a part lies off the lines of print.
func (p *shaper) offPrint(m raster.Mark) bool {
	if p.zone == nil {
		return true
	}
	var off []int32
	for _, k := range m.Places {
		if !p.zone[k] {
			off = append(off, k)
		}
	}
	if float64(min(m.Box.Dx(), m.Box.Dy())) > frameHigh*p.cap && surrounds(m, p.w) {
		return true
	}
	return float64(len(off)) > offLines*p.cap*math.Max(p.lineWidth(m.Places), 0.15*p.cap) && 5*len(off) > len(m.Places)
}

// belongs is whether a part that is no seed belongs to a mark near by: one that is not on
// a line of print, or larger than print and within a stamp's frame.
func (p *shaper) belongs(m raster.Mark, mark []raster.Mark) bool {
	if p.zone == nil {
		return true
	}
	off := 0
	for _, k := range m.Places {
		if !p.zone[k] {
			off++
		}
	}
	if 10*off > 7*len(m.Places) {
		return float64(len(m.Places)) > 0.05*p.cap*p.cap
	}
	return p.letterOf(m, mark)
}

// take notes a mark and what of it is taken off.
func (p *shaper) take(out *Shaped, mark []raster.Mark, box image.Rectangle) {
	f := Found{Kind: record.Handwriting, Box: box}
	const inMM = 0.5 // capitals in a millimetre
	if isStamp(mark, p.w, inMM*p.cap) || slices.ContainsFunc(mark, func(m raster.Mark) bool { return p.round(m) }) {
		f.Kind = record.Stamp
	}
	ink, dark := 0, 0.0
	var all []int32
	for _, m := range mark {
		all = append(all, m.Places...)
		for _, k := range m.Places {
			dark += float64(p.dark.Pix[k])
		}
		ink += len(m.Places)
	}
	dark /= float64(ink)
	f.Sure = (1 - math.Exp(-float64(ink)/(4*p.cap*p.cap*slender))) * math.Min(dark/leastDark/2, 1)
	out.Marks = append(out.Marks, f)
	width := p.lineWidth(all)
	off, on := []int32{}, []int32{}
	for _, m := range mark {
		whole := f.Kind == record.Stamp && p.letterOf(m, mark)
		for _, k := range m.Places {
			if !whole && p.zone != nil && p.zone[k] {
				on = append(on, k)
			} else {
				off = append(off, k)
			}
		}
	}
	out.Ink = append(out.Ink, all...)
	off = append(off, p.strokesIn(on, width)...)
	out.Off = append(out.Off, p.wider(off, on)...)
}

// round is whether a part is a circle as only a stamp is.
func (p *shaper) round(m raster.Mark) bool {
	w, h := float64(m.Box.Dx()), float64(m.Box.Dy())
	if math.Min(w, h) < 5*p.cap || w/h < 0.92 || w/h > 1.09 {
		return false
	}
	cx, cy, r := float64(m.Box.Min.X)+w/2, float64(m.Box.Min.Y)+h/2, (w+h)/4
	on := 0
	for _, k := range m.Places {
		if d := math.Hypot(float64(int(k)%p.w)+0.5-cx, float64(int(k)/p.w)+0.5-cy); d > 0.9*r {
			on++
		}
	}
	const mostly = 0.85
	return float64(on) > mostly*float64(len(m.Places))
}
