package marks

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/raster"
)

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
