package paper

import (
	"image"
	"math"

	"tankroll/ocr/raster"
)

// The paper maker's warning that a roll is about to end is a coloured band along
// the paper, printed at the mill, that runs on to the slip's end. Where the
// picture has colour it is told by its colour; where it has none, by being
// darker than the paper to both of its sides with edges as sharp as print. A
// shadow has no sharp edges, a stain is not straight, a fold is not so wide, and
// ground that the outline let in goes on beyond the outline.

// The stripe is looked for on a small picture of the slip without its print.
const (
	stripeCols = 160   // columns of that picture
	leastBand  = 0.045 // of the slip's width: narrower is a fold or a rule
	mostBand   = 0.35  // wider is a shadow or another paper
	outerCols  = 16    // columns beside the slip that are looked at too
	tinted     = 10.0  // least difference of colour from the paper, in steps of 255
	shaded     = 0.11  // least difference of the logarithm of brightness
	edgeCols   = 3     // columns within which a stripe's edge must lie
	windows    = 10    // stretches of the slip's length that are looked at, each three tenths long
	agreed     = 3     // neighbouring ones that must show the band at the same place
)

// Colour holds a page's colour differences for looking them up by the place on
// the original; the zero value has no colour.
type Colour struct {
	cb, cr raster.Plane
	step   float64
}

// NewColour takes a page's planes, which may be nil, and how much coarser they
// are than the page.
func NewColour(cb, cr *image.Gray, step int) Colour {
	if cb == nil || cr == nil {
		return Colour{}
	}
	return Colour{raster.FromGray(cb), raster.FromGray(cr), float64(step)}
}

// at is the colour at a place on the original.
func (c Colour) at(x, y float64) (cb, cr float32) {
	x, y = x/c.step-0.5, y/c.step-0.5
	return c.cb.Bilinear(x, y), c.cr.Bilinear(x, y)
}

// EndOfRoll says whether the stripe shows on the upright slip that m maps. pitch
// is the distance of its lines in flat units. sure, 0 to 1, is how much speaks for
// the answer: how many stretches show the stripe, or how few show a part of one.
func EndOfRoll(original raster.Pyramid, colour Colour, m Map, pitch float64) (found bool, sure float64) {
	l := flattenWide(original, colour, m, pitch)
	find := l.darkBand
	if l.coloured() {
		find = l.colourBand // what is only darker there is a shadow or a stain
	}
	most := l.runToEnd(find)
	if most >= agreed {
		return true, 0.5 + 0.5*float64(most-agreed+1)/(windows-agreed+1)
	}
	return false, 1 - 0.5*float64(most)/agreed
}

// wide is a small picture of a slip without its print, and some columns beside
// it. Its first column lies outerCols to the left of the slip.
type wide struct {
	dark   raster.Plane // logarithm of brightness
	cb, cr raster.Plane
}

func flattenWide(original raster.Pyramid, colour Colour, m Map, pitch float64) wide {
	scale := stripeCols / m.W
	w, h := stripeCols+2*outerCols, max(int(m.H*scale), windows)
	src, step := original.Level(scale)
	out := wide{dark: raster.New(w, h)}
	if colour.step > 0 {
		out.cb, out.cr = raster.New(w, h), raster.New(w, h)
	}
	for y := range h {
		for x := range w {
			ox, oy := m.ToOriginal((float64(x-outerCols)+0.5)/scale, (float64(y)+0.5)/scale)
			i := y*w + x
			out.dark.Pix[i] = src.Bilinear(ox/step-0.5, oy/step-0.5)
			if colour.step > 0 {
				out.cb.Pix[i], out.cr.Pix[i] = colour.at(ox, oy)
			}
		}
	}
	// Lines of print leave paper between them, a stripe does not.
	r := max(int(math.Ceil(0.8*pitch*scale)), 1)
	out.dark = out.dark.Close(0, r).Map(func(v float32) float32 { return float32(math.Log(float64(v) + 6)) })
	return out
}

// coloured reports whether any colour shows on and around the slip; a gray picture may be
// kept as one of colours.
func (l wide) coloured() bool {
	const least, share = 4, 0.02 // steps of 255; of the places
	n := 0
	for i := range l.cb.Pix {
		if math.Hypot(float64(l.cb.Pix[i])-128, float64(l.cr.Pix[i])-128) > least {
			n++
		}
	}
	return float64(n) > share*float64(len(l.dark.Pix))
}

// profile is the median of each column over the rows y0..y1.
func profile(p raster.Plane, y0, y1 int) []float64 {
	out := make([]float64, p.W)
	col := make([]float32, 0, y1-y0)
	for x := range out {
		col = col[:0]
		for y := y0; y < y1; y++ {
			col = append(col, p.Pix[y*p.W+x])
		}
		out[x] = float64(raster.Quantile(col, 0.5))
	}
	return out
}

// band is a run of columns.
type band struct{ x0, x1 int }

// runToEnd is in how many stretches that follow each other up to the slip's top
// or bottom find sees a band at the same place.
func (l wide) runToEnd(find func(y0, y1 int) (band, bool)) int {
	h := l.dark.H
	var at [windows]band
	var seen [windows]bool
	for i := range windows {
		y0 := i * (h - 3*h/10) / (windows - 1)
		at[i], seen[i] = find(y0, min(y0+3*h/10, h))
	}
	chain := func(from, step int) int {
		n := 0
		for i := from; i >= 0 && i < windows && seen[i]; i += step {
			if n > 0 && (absInt(at[i].x0-at[i-step].x0) > 2*edgeCols || absInt(at[i].x1-at[i-step].x1) > 2*edgeCols) {
				break
			}
			n++
		}
		return n
	}
	return max(chain(windows-1, -1), chain(0, 1))
}

func absInt(n int) int { return max(n, -n) }

// fits says whether a band is as wide as a stripe.
func (b band) fits() bool {
	w := float64(b.x1-b.x0) / stripeCols
	return w >= leastBand && w <= mostBand
}

// colourBand finds a band of another colour than the paper's.
func (l wide) colourBand(y0, y1 int) (band, bool) {
	cb, cr := profile(l.cb, y0, y1), profile(l.cr, y0, y1)
	paperB, paperR := medianOf(cb[outerCols:outerCols+stripeCols]), medianOf(cr[outerCols:outerCols+stripeCols])
	off := make([]float64, len(cb))
	for x := range off {
		off[x] = math.Hypot(cb[x]-paperB, cr[x]-paperR)
	}
	return bandOf(off, tinted)
}

// darkBand finds a band that is darker than the paper.
func (l wide) darkBand(y0, y1 int) (band, bool) {
	p := profile(l.dark, y0, y1)
	inner := p[outerCols : outerCols+stripeCols]
	off := make([]float64, len(p))
	// The light falls off over the slip: the paper is what is brightest near by.
	const near = 2 * stripeCols / 5
	for x := range p {
		lo, hi := max(x-outerCols-near, 0), min(x-outerCols+near+1, len(inner))
		off[x] = quantileOf(inner[lo:hi], 0.7) - p[x]
	}
	return bandOf(off, shaded)
}

// bandOf finds the run of columns on the slip that stand off by least or more
// and end sharply on both sides; at the slip's own side what follows must not
// be more of the same.
func bandOf(off []float64, least float64) (band, bool) {
	left, right := outerCols, outerCols+stripeCols
	for x := left; x < right; {
		if off[x] < least {
			x++
			continue
		}
		b := band{x0: x}
		for x < right && off[x] >= least {
			x++
		}
		b.x1 = x
		if b.fits() && b.sharp(off) && b.even(off) {
			return b, true
		}
	}
	return band{}, false
}

// level is the median of the band.
func (b band) level(off []float64) float64 { return medianOf(off[b.x0:b.x1]) }

// sharp says whether the band rises within a few columns at both ends.
func (b band) sharp(off []float64) bool {
	level := b.level(off)
	falls := func(x, way int) bool {
		if x < 0 || x >= len(off) {
			return false
		}
		for k := range edgeCols + 1 {
			if i := x + k*way; i >= 0 && i < len(off) && math.Abs(off[i]) < 0.4*level {
				return true
			}
		}
		return false
	}
	// At the slip's side the ground follows: other than the band, if it is one.
	differs := func(x, way int) bool {
		n, same := 0, 0
		for k := 2; k < outerCols-2; k++ {
			if i := x + k*way; i >= 0 && i < len(off) {
				n++
				if math.Abs(off[i]-level) < 0.25*level {
					same++
				}
			}
		}
		return n == 0 || same < n/2
	}
	const margin = 3
	ends := func(x, way int, side bool) bool {
		return falls(x, way) || side && differs(x, way)
	}
	return ends(b.x0-1, -1, b.x0 <= outerCols+margin) && ends(b.x1, 1, b.x1 >= outerCols+stripeCols-margin)
}

// even says whether the band is about equally strong all over.
func (b band) even(off []float64) bool {
	level := b.level(off)
	n := 0
	for _, v := range off[b.x0:b.x1] {
		if v > 0.7*level && v < 1.4*level {
			n++
		}
	}
	return 10*n > 7*(b.x1-b.x0)
}

func medianOf(v []float64) float64 { return quantileOf(v, 0.5) }

func quantileOf(v []float64, q float64) float64 {
	s := make([]float32, len(v))
	for i, x := range v {
		s[i] = float32(x)
	}
	return float64(raster.Quantile(s, q))
}
