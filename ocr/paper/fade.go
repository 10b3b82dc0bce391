package paper

import (
	"image"
	"math"

	"tankroll/ocr/raster"
)

// The stripe at the end of a roll is printed below the text, so it darkens paper
// and print by the same share and colours both. How much of it lies at a place is
// told by the colour there, and so its darkness can be taken off: what is left is
// print on even paper. It works where the picture has colour and the stripe more
// of it than the paper; elsewhere the stripe stays for the lifting of ink to deal
// with, which leaves its edges and its grain.

const (
	leastLoss = 0.04 // share of the paper's brightness that a stripe takes, from which it is worth taking off
	mostLoss  = 0.75 // print on what is darker is not to be seen
	mostPress = 1.15 // of the stripe's usual strength, where it was printed heavier
)

// StripeOff is the page's luma without the coloured stripe on the slip that m maps,
// as a copy; nil when no such stripe shows. pitch is the distance of its lines in
// flat units.
func (c Colour) StripeOff(luma *image.Gray, original raster.Pyramid, m Map, pitch float64) *image.Gray {
	if c.step == 0 {
		return nil
	}
	l := flattenWide(original, c, m, pitch)
	s, ok := l.measureStripe()
	if !ok {
		return nil
	}
	out := image.NewGray(luma.Rect)
	copy(out.Pix, luma.Pix)
	box := m.Quad.bounds().Intersect(luma.Rect)
	press := c.press(luma, box, s)
	for i, on := range c.onStripe(m, s, box, press) {
		if !on {
			press.Pix[i] = 0
		}
	}
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := out.Pix[y*out.Stride : y*out.Stride+out.Rect.Dx()]
		for x := box.Min.X; x < box.Max.X; x++ {
			k := float64(press.Bilinear((float64(x-box.Min.X)+0.5)/c.step-0.5, (float64(y-box.Min.Y)+0.5)/c.step-0.5))
			if k > 0 {
				// The share of colour rises as k/(1-loss*k) when the stripe gets
				// stronger, for its paper gets darker too.
				row[x] = uint8(math.Min(float64(row[x])*(1+k*s.loss/(1-s.loss))+0.5, 255))
			}
		}
	}
	return out
}

// stripe is what a stripe does to paper: how its colour, as a share of its
// brightness, is off that of the paper beside it, and what brightness it takes.
type stripe struct {
	paperB, paperR float64
	offB, offR     float64
	loss           float64
	u0, u1         float64 // where it runs, as shares of the slip's width
}

// measureStripe compares the stripe with the paper beside it wherever it shows.
func (l wide) measureStripe() (stripe, bool) {
	var paper, on [3][]float64 // brightness, and both colours as shares of it
	h := l.dark.H
	seen := 0
	x0, x1 := outerCols+stripeCols, outerCols
	for i := range windows {
		y0 := i * (h - 3*h/10) / (windows - 1)
		y1 := min(y0+3*h/10, h)
		b, ok := l.colourBand(y0, y1)
		if !ok {
			continue
		}
		seen++
		x0, x1 = min(x0, b.x0), max(x1, b.x1)
		dark, cb, cr := profile(l.dark, y0, y1), profile(l.cb, y0, y1), profile(l.cr, y0, y1)
		for x := outerCols; x < outerCols+stripeCols; x++ {
			to := &paper
			switch near := edgeCols + 1; {
			case x >= b.x0+near && x < b.x1-near:
				to = &on
			case x >= b.x0-near && x < b.x1+near:
				continue
			}
			v := math.Exp(dark[x]) - 6
			to[0] = append(to[0], v)
			to[1], to[2] = append(to[1], (cb[x]-128)/max(v, 1)), append(to[2], (cr[x]-128)/max(v, 1))
		}
	}
	if seen < agreed || len(on[0]) == 0 || len(paper[0]) == 0 {
		return stripe{}, false
	}
	s := stripe{paperB: medianOf(paper[1]), paperR: medianOf(paper[2]), loss: 1 - medianOf(on[0])/medianOf(paper[0])}
	const room = 2 * edgeCols
	s.u0, s.u1 = float64(x0-outerCols-room)/stripeCols, float64(x1-outerCols+room)/stripeCols
	s.offB, s.offR = medianOf(on[1])-s.paperB, medianOf(on[2])-s.paperR
	return s, s.loss > leastLoss && s.loss < mostLoss
}

// press is how much of the stripe's share of colour shows at every place of box, 1
// where it is as strong as usual, one pixel for every pixel of the colour planes.
func (c Colour) press(luma *image.Gray, box image.Rectangle, s stripe) raster.Plane {
	step := int(c.step)
	out := raster.New(max((box.Dx()+step-1)/step, 1), max((box.Dy()+step-1)/step, 1))
	size := s.offB*s.offB + s.offR*s.offR
	for y := range out.H {
		for x := range out.W {
			at := image.Rect(0, 0, step, step).Add(box.Min).Add(image.Pt(x*step, y*step)).Intersect(luma.Rect)
			sum, n := 0, max(at.Dx()*at.Dy(), 1)
			for yy := at.Min.Y; yy < at.Max.Y; yy++ {
				for xx := at.Min.X; xx < at.Max.X; xx++ {
					sum += int(luma.Pix[yy*luma.Stride+xx])
				}
			}
			v := max(float64(sum)/float64(n), 8)
			b, r := c.at(float64(at.Min.X)+c.step/2, float64(at.Min.Y)+c.step/2)
			k := (((float64(b)-128)/v-s.paperB)*s.offB + ((float64(r)-128)/v-s.paperR)*s.offR) / size
			out.Pix[y*out.W+x] = float32(min(max(k, 0), mostPress))
		}
	}
	return out.Blur(0.7)
}

// onStripe says which of press's pixels lie where the stripe runs: elsewhere the
// ground or a stain may be of its colour.
func (c Colour) onStripe(m Map, s stripe, box image.Rectangle, press raster.Plane) []bool {
	out := make([]bool, len(press.Pix))
	u0, u1 := max(s.u0, 0)*m.W, min(s.u1, 1)*m.W
	// Flat units are about as large as the original's pixels.
	step := c.step / 3
	for v := 0.0; v < m.H; v += step {
		for u := u0; u < u1; u += step {
			ox, oy := m.ToOriginal(u, v)
			x, y := int((ox-float64(box.Min.X))/c.step), int((oy-float64(box.Min.Y))/c.step)
			if ox >= float64(box.Min.X) && oy >= float64(box.Min.Y) && x < press.W && y < press.H {
				out[y*press.W+x] = true
			}
		}
	}
	return out
}

// bounds is the box around q, with a little room.
func (q Quad) bounds() image.Rectangle {
	const room = 8
	x0, y0, x1, y1 := q[0].X, q[0].Y, q[0].X, q[0].Y
	for _, p := range q {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	return image.Rect(int(x0)-room, int(y0)-room, int(x1)+room, int(y1)+room)
}
