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
	longest   = 32  // of a line below a word: longer ones that are no wider than thinnest
	thinnest  = 2.5 // are folds and edges of tape
	fenced    = 0.8 // of the slip's sides that is not looked at: the ground shines in
)

// Colour is in steps of 255 on white paper.
const (
	plainTint = 13.0 // off the paper's colour from which a pixel is surely of another ink
	someTint  = 6.0  // what hangs together with such pixels belongs to it from this on
	alikeHue  = 0.55 // radians by which the hues of one mark differ at most
	yellowish = 0.55 // yellow against red from which it is a stain: no pen is brown,
	greenish  = 0.35 // and none is yellow: green has so much less red
)

// Coloured is what ByColour found.
type Coloured struct {
	Plain *image.Gray // the page's luma without the marks; nil when there are none
	Marks []Found
	Ink   Ink
}

// ByColour finds coloured marks within outlines of slips, four corners each in the
// page's pixels, and takes them off.
func ByColour(p pixels.Page, outlines [][4]record.Point) Coloured {
	out := Coloured{}
	if p.Cb == nil {
		return out
	}
	for _, q := range outlines {
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
			a.takeOff(g, out.Plain, out.Ink)
		}
	}
	return out
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
	case b < 0 && -b > yellowish*r && r > greenish*b: // brown, orange or yellow
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
		long, thin := float64(max(g.box.Dx(), g.box.Dy())), float64(min(g.box.Dx(), g.box.Dy()))
		return long < shortest*a.mm || float64(len(g.places)) < leastInk*a.mm*a.mm || long > longest*a.mm && thin < thinnest*a.mm
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
