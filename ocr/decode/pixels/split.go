package pixels

import "image"

// Split takes a decoded image apart. Grey pixels are taken over as they are,
// without a copy: img must not be used afterwards.
func Split(img image.Image) Page {
	switch m := img.(type) {
	case *image.Gray:
		return Page{Luma: packed(m.Pix, m.Stride, m.Rect.Dx(), m.Rect.Dy())}
	case *image.YCbCr:
		return splitYCbCr(m)
	}
	b := img.Bounds()
	c := NewCanvas(b.Dx(), b.Dy())
	for y := range b.Dy() {
		splitRow(c, img, y, b)
	}
	return c.Page()
}

// packed is w x h pixels without gaps between rows.
func packed(pix []byte, stride, w, h int) *image.Gray {
	for y := 1; y < h && stride != w; y++ {
		copy(pix[y*w:(y+1)*w], pix[y*stride:y*stride+w])
	}
	return &image.Gray{Pix: pix[: w*h : w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}
}

// splitYCbCr takes the planes of a JPEG, WebP or HEIC as they are, which is a
// hundred times cheaper than converting every pixel.
func splitYCbCr(m *image.YCbCr) Page {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	p := Page{Luma: packed(m.Y, m.YStride, w, h), Step: Step}
	cw, ch := reduced(w), reduced(h)
	p.Cb, p.Cr = image.NewGray(image.Rect(0, 0, cw, ch)), image.NewGray(image.Rect(0, 0, cw, ch))
	if m.SubsampleRatio == image.YCbCrSubsampleRatio420 && Step == 2 && m.Rect.Min == (image.Point{}) {
		for y := range ch {
			copy(p.Cb.Pix[y*cw:(y+1)*cw], m.Cb[y*m.CStride:])
			copy(p.Cr.Pix[y*cw:(y+1)*cw], m.Cr[y*m.CStride:])
		}
		return p
	}
	for y := range ch {
		for x := range cw {
			i := m.COffset(m.Rect.Min.X+x*Step, m.Rect.Min.Y+y*Step)
			p.Cb.Pix[y*cw+x], p.Cr.Pix[y*cw+x] = m.Cb[i], m.Cr[i]
		}
	}
	return p
}

// splitRow converts row y of an image of any kind; what is transparent shows
// white paper. The kinds that decoders really give are told apart for speed.
func splitRow(c *Canvas, img image.Image, y int, b image.Rectangle) {
	w := b.Dx()
	switch m := img.(type) {
	case *image.Gray16:
		row := c.Row(y)
		for x := range w {
			row[x] = m.Pix[y*m.Stride+2*x]
		}
	case *image.Paletted:
		table := make([][3]uint8, len(m.Palette))
		for i, p := range m.Palette {
			table[i] = onWhite(p.RGBA())
		}
		for x := range w {
			// A file may use colours that its table lacks.
			if i := int(m.Pix[y*m.Stride+x]); i < len(table) {
				c.Set(x, y, table[i][0], table[i][1], table[i][2])
			}
		}
	case *image.RGBA:
		for x := range w {
			s := m.Pix[y*m.Stride+4*x:][:4:4]
			white := 255 - s[3]
			c.Set(x, y, s[0]+white, s[1]+white, s[2]+white)
		}
	case *image.NRGBA:
		for x := range w {
			s := m.Pix[y*m.Stride+4*x:][:4:4]
			if s[3] == 255 {
				c.Set(x, y, s[0], s[1], s[2])
			} else {
				v := onWhite(m.NRGBAAt(m.Rect.Min.X+x, m.Rect.Min.Y+y).RGBA())
				c.Set(x, y, v[0], v[1], v[2])
			}
		}
	case *image.NYCbCrA:
		for x := range w {
			ci, a := m.COffset(m.Rect.Min.X+x, m.Rect.Min.Y+y), int(m.A[y*m.AStride+x])
			over := func(v, paper int) uint8 { return uint8((v*a + paper*(255-a) + 127) / 255) }
			c.SetYCC(x, y, over(int(m.Y[y*m.YStride+x]), 255), over(int(m.Cb[ci]), 128), over(int(m.Cr[ci]), 128))
		}
	case image.RGBA64Image: // as all of the library's are; At would take memory for each pixel
		for x := range w {
			p := m.RGBA64At(b.Min.X+x, b.Min.Y+y)
			v := onWhite(uint32(p.R), uint32(p.G), uint32(p.B), uint32(p.A))
			c.Set(x, y, v[0], v[1], v[2])
		}
	default:
		for x := range w {
			v := onWhite(img.At(b.Min.X+x, b.Min.Y+y).RGBA())
			c.Set(x, y, v[0], v[1], v[2])
		}
	}
}

// onWhite puts a colour over white: it is premultiplied, so adding what is
// missing shows white.
func onWhite(r, g, b, a uint32) [3]uint8 {
	white := 0xffff - a
	return [3]uint8{uint8((r + white) >> 8), uint8((g + white) >> 8), uint8((b + white) >> 8)}
}
