package tiff

import (
	"context"
	"fmt"
	"io"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
)

// Page decodes the page whose directory starts at a place that Pages gave, of at
// most limit pixels, turned as its orientation tag says. The error wraps one of
// the reasons or is that of ctx, which is looked at before each row. A page of which a
// part cannot be read is an error: what is missing could be a line of print.
func Page(ctx context.Context, raw []byte, at int64, limit int) (pixels.Page, error) {
	l, err := readLayout(raw, at, limit)
	if err != nil {
		return pixels.Page{}, err
	}
	c := pixels.NewCanvas(l.w, l.h)
	var planes [][]byte
	parts := 1
	if l.separate && l.samples > 1 {
		parts = l.samples
		planes = make([][]byte, l.colours())
		for i := range planes {
			planes[i] = make([]byte, l.w*l.h)
		}
	}
	for n := range parts * l.across * l.down {
		if err := l.part(ctx, c, planes, n); err != nil {
			return pixels.Page{}, err
		}
	}
	if planes != nil {
		l.join(c, planes)
	}
	return c.Page().Turned(l.orientation), nil
}

// part decodes strip or tile n. Separate planes follow one another and are
// collected; those of alpha are not needed.
func (l *layout) part(ctx context.Context, c *pixels.Canvas, planes [][]byte, n int) error {
	plane, i := n/(l.across*l.down), n%(l.across*l.down)
	if planes != nil && plane >= len(planes) {
		return nil
	}
	raw, err := l.chunk(n)
	if err != nil {
		return err
	}
	x0, y0, rows := i%l.across*l.cw, i/l.across*l.ch, l.rows(i/l.across)
	if l.packing == packJPEG {
		return l.jpeg(ctx, c, raw, x0, y0, rows)
	}
	r, err := l.unpack(raw, rows)
	if err != nil {
		return err
	}
	samples := l.samples
	if planes != nil {
		samples = 1
	}
	row := make([]byte, (l.cw*samples*l.bits+7)/8)
	for y := y0; y < min(y0+rows, l.h); y++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := io.ReadFull(r, row); err != nil {
			return unpacking(err)
		}
		if l.predictor {
			l.sumUp(row, samples)
		}
		if planes != nil {
			for x := x0; x < min(x0+l.cw, l.w); x++ {
				planes[plane][y*l.w+x] = l.top(row, x-x0)
			}
		} else {
			l.setRow(c, row, x0, y)
		}
	}
	return nil
}

// unpacking says what an error of a decompressor means.
func unpacking(err error) error {
	if reason.Ended(err) {
		return truncated()
	}
	return fmt.Errorf("%w: damaged TIFF (%v): export it again as JPEG or PNG", reason.ErrNotPicture, err)
}

// sumUp undoes the horizontal predictor: each sample is kept as its difference
// from the pixel before.
func (l *layout) sumUp(row []byte, samples int) {
	if l.bits == 8 {
		for i := samples; i < len(row); i++ {
			row[i] += row[i-samples]
		}
		return
	}
	for i := 2 * samples; i+1 < len(row); i += 2 {
		l.order.PutUint16(row[i:], l.order.Uint16(row[i:])+l.order.Uint16(row[i-2*samples:]))
	}
}

// top is the upper 8 bits of sample i of a row of 8 or 16 bits.
func (l *layout) top(row []byte, i int) uint8 {
	if l.bits == 8 {
		return row[i]
	}
	return uint8(l.order.Uint16(row[2*i:]) >> 8)
}

// setRow puts a row of samples on the page from x0 on.
func (l *layout) setRow(c *pixels.Canvas, row []byte, x0, y int) {
	x1 := min(x0+l.cw, l.w)
	switch {
	case l.meaning == palette:
		l.setPalette(c, row, x0, x1, y)
	case l.bits < 8:
		out, most, per := c.Row(y), 1<<l.bits-1, 8/l.bits
		for x := x0; x < x1; x++ {
			i := x - x0
			v := int(row[i/per]>>(8-l.bits*(i%per+1))) & most * 255 / most
			out[x] = l.invert(uint8(v))
		}
	default:
		var s [5]uint8
		n := l.colours()
		for x := x0; x < x1; x++ {
			at := (x - x0) * l.samples
			for i := range n {
				s[i] = l.top(row, at+i)
			}
			alpha := uint8(255)
			if l.alpha >= 0 {
				alpha = l.top(row, at+l.alpha)
			}
			l.set(c, x, y, s[:n], alpha)
		}
	}
}

func (l *layout) invert(v uint8) uint8 {
	if l.meaning == whiteIsZero {
		return 255 - v
	}
	return v
}

// set puts one pixel of 8 bit samples on the page, over white paper.
func (l *layout) set(c *pixels.Canvas, x, y int, s []uint8, alpha uint8) {
	var r, g, b uint8
	switch l.meaning {
	case cmyk:
		ink := func(v uint8) uint8 { return uint8((255 - int(v)) * (255 - int(s[3])) / 255) }
		r, g, b = ink(s[0]), ink(s[1]), ink(s[2])
	case rgb:
		r, g, b = s[0], s[1], s[2]
	default:
		r = l.invert(s[0])
		g, b = r, r
	}
	if alpha != 255 {
		over := func(v uint8) uint8 {
			if l.premul {
				return uint8(min(int(v)+255-int(alpha), 255))
			}
			return uint8((int(v)*int(alpha) + 255*(255-int(alpha))) / 255)
		}
		r, g, b = over(r), over(g), over(b)
	}
	c.Set(x, y, r, g, b)
}

func (l *layout) setPalette(c *pixels.Canvas, row []byte, x0, x1, y int) {
	n, most, per := 1<<l.bits, 1<<l.bits-1, 8/l.bits
	for x := x0; x < x1; x++ {
		i := x - x0
		v := int(row[i/per]>>(8-l.bits*(i%per+1))) & most
		// All reds come first, then all greens, of 16 bits each.
		colour := func(k int) uint8 { return uint8(l.value(tagColorMap, v+k*n, 0) >> 8) }
		c.Set(x, y, colour(0), colour(1), colour(2))
	}
}

// join puts separate planes together.
func (l *layout) join(c *pixels.Canvas, planes [][]byte) {
	var s [5]uint8
	for y := range l.h {
		for x := range l.w {
			for i, p := range planes {
				s[i] = p[y*l.w+x]
			}
			l.set(c, x, y, s[:len(planes)], 255)
		}
	}
}
