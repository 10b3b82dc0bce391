// Package pixels is the form in which every decoder hands over a page:
// brightness in full and colour at a reduced size. Reading needs the first; the
// end-of-roll stripe and ink of pens and stamps are told by the other.
package pixels

import (
	"image"
	"image/color"
)

// Page is one decoded page. Cb and Cr are colour differences as JPEG defines
// them (128 is no colour), on a grid Step times coarser than Luma; they are nil
// when the page has no colour.
type Page struct {
	Luma   *image.Gray
	Cb, Cr *image.Gray
	Step   int
}

// Step is how much coarser colour is kept than brightness: as JPEG mostly keeps
// it. A pen's line is three pixels wide on a scan of 200 dpi.
const Step = 2

// coarse is how much coarser than Cb and Cr the planes of Coarse are.
const coarse = 2

// Coarse is the colour on a coarser grid, where millimetres matter: every second
// sample, and how much coarser than Luma that is. The planes are nil where the page
// has no colour.
func (p Page) Coarse() (cb, cr *image.Gray, step int) {
	if p.Cb == nil {
		return nil, nil, coarse * p.Step
	}
	return every(p.Cb), every(p.Cr), coarse * p.Step
}

// every keeps one sample of coarse each way.
func every(g *image.Gray) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, (g.Rect.Dx()+coarse-1)/coarse, (g.Rect.Dy()+coarse-1)/coarse))
	for y := range out.Rect.Dy() {
		row := g.Pix[coarse*y*g.Stride:]
		for x := range out.Rect.Dx() {
			out.Pix[y*out.Stride+x] = row[coarse*x]
		}
	}
	return out
}

func reduced(n int) int { return (n + Step - 1) / Step }

// Canvas is a page that is filled row by row, or tile by tile, so that no
// decoder has to hold it in full colour.
type Canvas struct {
	page     Page
	coloured bool
}

// NewCanvas makes a white page.
func NewCanvas(w, h int) *Canvas {
	c := &Canvas{page: Page{Luma: image.NewGray(image.Rect(0, 0, w, h)), Step: Step}}
	for i := range c.page.Luma.Pix {
		c.page.Luma.Pix[i] = 255
	}
	return c
}

// Row is where to write grey values of row y.
func (c *Canvas) Row(y int) []byte {
	g := c.page.Luma
	return g.Pix[y*g.Stride : y*g.Stride+g.Rect.Dx()]
}

// Set sets one pixel in colour.
func (c *Canvas) Set(x, y int, r, g, b uint8) {
	if r == g && g == b {
		c.page.Luma.Pix[y*c.page.Luma.Stride+x] = r
		if c.coloured && x%Step == 0 && y%Step == 0 {
			c.tint(x, y, 128, 128)
		}
		return
	}
	yy, cb, cr := color.RGBToYCbCr(r, g, b)
	c.page.Luma.Pix[y*c.page.Luma.Stride+x] = yy
	if x%Step == 0 && y%Step == 0 {
		c.tint(x, y, cb, cr)
	}
}

// SetYCC sets one pixel by its brightness and colour differences.
func (c *Canvas) SetYCC(x, y int, yy, cb, cr uint8) {
	c.page.Luma.Pix[y*c.page.Luma.Stride+x] = yy
	if x%Step == 0 && y%Step == 0 && (c.coloured || cb != 128 || cr != 128) {
		c.tint(x, y, cb, cr)
	}
}

// tint keeps the colour of a pixel; planes of it are made when the first colour
// is seen.
func (c *Canvas) tint(x, y int, cb, cr uint8) {
	if !c.coloured {
		w, h := reduced(c.page.Luma.Rect.Dx()), reduced(c.page.Luma.Rect.Dy())
		c.page.Cb, c.page.Cr = colourless(w, h), colourless(w, h)
		c.coloured = true
	}
	i := y/Step*c.page.Cb.Stride + x/Step
	c.page.Cb.Pix[i], c.page.Cr.Pix[i] = cb, cr
}

func colourless(w, h int) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for i := range g.Pix {
		g.Pix[i] = 128
	}
	return g
}

// Page is what was drawn.
func (c *Canvas) Page() Page {
	if !c.coloured {
		return Page{Luma: c.page.Luma}
	}
	return c.page
}

// Clone is a copy that shares no memory with p.
func (p Page) Clone() Page {
	for _, g := range []**image.Gray{&p.Luma, &p.Cb, &p.Cr} {
		if *g != nil {
			c := **g
			c.Pix = append([]byte(nil), c.Pix...)
			*g = &c
		}
	}
	return p
}
