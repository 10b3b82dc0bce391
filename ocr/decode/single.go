package decode

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/webp"

	"tankroll/ocr/decode/reason"
)

// config reads the size of a format of one picture from its header.
func (f *File) config() (image.Config, error) {
	r := bytes.NewReader(f.raw)
	switch f.format {
	case "JPEG":
		return jpeg.DecodeConfig(r)
	case "PNG":
		return png.DecodeConfig(r)
	}
	return webp.DecodeConfig(r)
}

// pixels decodes a format of one picture from r, which gives its bytes.
func (f *File) pixels(r io.Reader) (image.Image, error) {
	switch f.format {
	case "JPEG":
		return jpeg.Decode(r)
	case "PNG":
		return png.Decode(r)
	}
	img, err := webp.Decode(r)
	if err != nil {
		return nil, err
	}
	switch m := img.(type) {
	case *image.YCbCr:
		fullRange(m)
	case *image.NYCbCrA:
		fullRange(&m.YCbCr)
	}
	return img, nil
}

// fullRange stretches brightness from 16 to 235 and colour from 16 to 240, which
// is how WebP counts as video does, to 0 to 255, which is how all else counts.
func fullRange(m *image.YCbCr) {
	stretch(m.Y, 16, 219, 0)
	stretch(m.Cb, 128, 224, 128)
	stretch(m.Cr, 128, 224, 128)
}

// stretch moves what stood at from to to, and makes steps steps 255.
func stretch(pix []byte, from, steps, to float64) {
	var table [256]byte
	for i := range table {
		table[i] = uint8(math.Round(min(max((float64(i)-from)*255/steps+to, 0), 255)))
	}
	for i, v := range pix {
		pix[i] = table[v]
	}
}

// explain says which of our reasons a decoder's error is.
func (f *File) explain(err error) error {
	var unsupported jpeg.UnsupportedError
	var unsupportedPNG png.UnsupportedError
	switch {
	case reason.Ended(err):
		return fmt.Errorf("%w: the %s ends too early: copy or export it again", ErrTruncated, f.format)
	case errors.As(err, &unsupported), errors.As(err, &unsupportedPNG):
		return fmt.Errorf("this kind of %s is %w: export as JPEG or PNG (%v)", f.format, ErrUnsupported, err)
	}
	return fmt.Errorf("%w: damaged %s (%v): export it again as JPEG or PNG", ErrNotPicture, f.format, err)
}
