package decode

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

// split takes a decoded image apart. The planes of a JPEG are taken as they
// are, which is a hundred times cheaper than converting every pixel.
func split(img image.Image) Page {
	switch m := img.(type) {
	case *image.Gray:
		return Page{Luma: packed(m.Pix, m.Stride, m.Bounds().Dx(), m.Bounds().Dy())}
	case *image.YCbCr:
		return splitYCbCr(m)
	}
	return splitAny(img)
}

func packed(pix []byte, stride, w, h int) *image.Gray {
	if stride == w && len(pix) >= w*h {
		return &image.Gray{Pix: pix[:w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		copy(out.Pix[y*w:(y+1)*w], pix[y*stride:])
	}
	return out
}

func splitYCbCr(m *image.YCbCr) Page {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	p := Page{Luma: packed(m.Y, m.YStride, w, h), Step: colourStep}
	cw, ch := reduced(w), reduced(h)
	p.Cb, p.Cr = image.NewGray(image.Rect(0, 0, cw, ch)), image.NewGray(image.Rect(0, 0, cw, ch))
	for y := range ch {
		for x := range cw {
			i := m.COffset(m.Rect.Min.X+x*colourStep, m.Rect.Min.Y+y*colourStep)
			p.Cb.Pix[y*cw+x], p.Cr.Pix[y*cw+x] = m.Cb[i], m.Cr[i]
		}
	}
	return p
}

// colourStep is how much coarser colour is kept than brightness: the stripe we
// look for is millimetres wide.
const colourStep = 4

func reduced(n int) int { return (n + colourStep - 1) / colourStep }

// splitAny converts pixel by pixel; transparent pixels show white paper.
func splitAny(img image.Image) Page {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	cw, ch := reduced(w), reduced(h)
	p := Page{Luma: image.NewGray(image.Rect(0, 0, w, h)), Step: colourStep,
		Cb: image.NewGray(image.Rect(0, 0, cw, ch)), Cr: image.NewGray(image.Rect(0, 0, cw, ch))}
	coloured := false
	for y := range h {
		for x := range w {
			r, g, bl := onWhite(img, b.Min.X+x, b.Min.Y+y)
			yy, cb, cr := color.RGBToYCbCr(r, g, bl)
			p.Luma.Pix[y*w+x] = yy
			if x%colourStep == 0 && y%colourStep == 0 {
				i := y/colourStep*cw + x/colourStep
				p.Cb.Pix[i], p.Cr.Pix[i] = cb, cr
				coloured = coloured || cb != 128 || cr != 128
			}
		}
	}
	if !coloured {
		return Page{Luma: p.Luma}
	}
	return p
}

func onWhite(img image.Image, x, y int) (r, g, b uint8) {
	switch m := img.(type) {
	case *image.NRGBA:
		i := m.PixOffset(x, y)
		s := m.Pix[i : i+4 : i+4]
		if s[3] == 255 {
			return s[0], s[1], s[2]
		}
	case *image.RGBA:
		i := m.PixOffset(x, y)
		s := m.Pix[i : i+4 : i+4]
		if s[3] == 255 {
			return s[0], s[1], s[2]
		}
	}
	cr, cg, cb, ca := img.At(x, y).RGBA() // premultiplied: adding what is missing shows white
	white := 0xffff - ca
	return uint8((cr + white) >> 8), uint8((cg + white) >> 8), uint8((cb + white) >> 8)
}

// turned applies an EXIF orientation.
func (p Page) turned(orientation int) Page {
	if orientation <= 1 {
		return p
	}
	p.Luma = turn(p.Luma, orientation)
	if p.Cb != nil {
		p.Cb, p.Cr = turn(p.Cb, orientation), turn(p.Cr, orientation)
	}
	return p
}

// turn returns g as EXIF orientation o wants it shown.
func turn(g *image.Gray, o int) *image.Gray {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	ow, oh := w, h
	if o >= 5 {
		ow, oh = h, w
	}
	out := image.NewGray(image.Rect(0, 0, ow, oh))
	for y := range oh {
		for x := range ow {
			sx, sy := x, y
			switch o {
			case 2:
				sx = w - 1 - x
			case 3:
				sx, sy = w-1-x, h-1-y
			case 4:
				sy = h - 1 - y
			case 5:
				sx, sy = y, x
			case 6:
				sx, sy = y, h-1-x
			case 7:
				sx, sy = w-1-y, h-1-x
			case 8:
				sx, sy = w-1-y, x
			}
			out.Pix[y*ow+x] = g.Pix[sy*w+sx]
		}
	}
	return out
}
