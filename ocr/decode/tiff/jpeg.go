package tiff

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/timed"
)

// jpegIsRGB tells the JPEG decoder that the three samples are red, green and
// blue, which in a TIFF another tag says.
const jpegIsRGB = "\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00\x00"

// jpeg decodes a strip or tile that is a JPEG of its own. The tables that all of
// them share stand in a tag, as a JPEG without pixels.
func (l *layout) jpeg(ctx context.Context, c *pixels.Canvas, raw []byte, x0, y0, rows int) error {
	if len(raw) < 4 || raw[0] != 0xff || raw[1] != 0xd8 {
		return damaged("a part is no JPEG")
	}
	head := []byte("\xff\xd8")
	if l.meaning == rgb {
		head = append(head, jpegIsRGB...)
	}
	if tables, _, n := l.bytes(tagJPEGTables); n > 4 && tables[0] == 0xff && tables[1] == 0xd8 {
		head = append(head, bytes.TrimSuffix(tables[2:n], []byte("\xff\xd9"))...)
	}
	whole := append(head, raw[2:]...)
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(whole))
	if err != nil {
		return unpacking(err)
	}
	// A strip may be a few rows longer than it should, never more: it could claim
	// gigabytes.
	if cfg.Width > l.cw+16 || cfg.Height > l.ch+16 {
		return damaged("a part of %d x %d holds a JPEG of %d x %d", l.cw, rows, cfg.Width, cfg.Height)
	}
	r := timed.NewReader(ctx, bytes.NewReader(whole))
	img, err := jpeg.Decode(r)
	if r.Ended() != nil {
		return r.Ended()
	}
	if err != nil {
		return unpacking(err)
	}
	w, h := min(l.cw, l.w-x0), min(rows, l.h-y0)
	if cfg.Width < w || cfg.Height < h {
		return damaged("a part of %d x %d holds a JPEG of %d x %d", w, h, cfg.Width, cfg.Height)
	}
	for y := range h {
		l.copyRow(c, img, x0, y0, y, w)
	}
	return nil
}

func (l *layout) copyRow(c *pixels.Canvas, img image.Image, x0, y0, y, w int) {
	switch m := img.(type) {
	case *image.YCbCr:
		for x := range w {
			i := m.COffset(x, y)
			c.SetYCC(x0+x, y0+y, m.Y[m.YOffset(x, y)], m.Cb[i], m.Cr[i])
		}
	case *image.Gray:
		out := c.Row(y0 + y)
		for x := range w {
			out[x0+x] = l.invert(m.Pix[y*m.Stride+x])
		}
	default:
		for x := range w {
			r, g, b, _ := img.At(x, y).RGBA()
			c.Set(x0+x, y0+y, uint8(r>>8), uint8(g>>8), uint8(b>>8))
		}
	}
}
