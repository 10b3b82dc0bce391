// Package decode turns the bytes of a photo, scan or multi-page TIFF into
// pages of pixels.
//
// Size and limits are checked on the header before a pixel is decoded, so a
// small file that claims a huge picture costs nothing. A page carries its
// brightness in full and its two colour differences at a reduced size: reading
// needs the first, only the end-of-roll stripe needs the others.
//
// The camera's mark of how it was held (EXIF orientation) is obeyed: pixels
// are counted on the picture as every viewer shows it.
package decode

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strings"

	"github.com/hhrutter/tiff"
	"golang.org/x/image/webp"
)

// The reasons why bytes cannot be opened as a picture. Errors of this package
// wrap one of them.
var (
	ErrEmpty       = errors.New("file is empty")
	ErrNotPicture  = errors.New("not a picture")
	ErrTruncated   = errors.New("picture is cut short")
	ErrTooLarge    = errors.New("picture is too large")
	ErrUnsupported = errors.New("not supported by this version")
)

// Limits bounds what is decoded. Zero fields mean the defaults.
type Limits struct {
	Bytes  int64 // of the file
	Pixels int   // of one page
	Pages  int   // of one file
}

// Defaults are the limits that hold when none are given.
var defaults = Limits{
	Bytes:  64 << 20, // a 600 dpi A4 colour scan as PNG is about 50 MB
	Pixels: 80e6,     // 600 dpi A4 is 35 MP, phones make up to 50 MP; 80 MP is 0.5 GB while decoding
	Pages:  200,      // a year of weekly reports in one TIFF is 52
}

// WithDefaults fills zero fields with the defaults.
func (l Limits) WithDefaults() Limits {
	if l.Bytes <= 0 {
		l.Bytes = defaults.Bytes
	}
	if l.Pixels <= 0 {
		l.Pixels = defaults.Pixels
	}
	if l.Pages <= 0 {
		l.Pages = defaults.Pages
	}
	return l
}

// File is an opened file whose pages have not been decoded yet.
type File struct {
	raw    []byte
	format string
	pages  []int64 // TIFF: offset of each page's directory; else one entry
	limits Limits
}

// Open looks at the header of raw and refuses what cannot be read: empty,
// not a picture, too large, too many pages, a kind this version cannot read.
func Open(raw []byte, limits Limits) (*File, error) {
	limits = limits.WithDefaults()
	if len(raw) == 0 {
		return nil, fmt.Errorf("%w: nothing to read", ErrEmpty)
	}
	if int64(len(raw)) > limits.Bytes {
		return nil, fmt.Errorf("%w: %d bytes, the limit is %d: save it smaller or raise the limit", ErrTooLarge, len(raw), limits.Bytes)
	}
	format := sniff(raw)
	switch format {
	case "":
		return nil, fmt.Errorf("%w: use JPEG, PNG, WebP or TIFF", ErrNotPicture)
	case "PDF", "HEIC", "GIF", "BMP":
		return nil, fmt.Errorf("%s is %w: export as JPEG or PNG", format, ErrUnsupported)
	}
	f := &File{raw: raw, format: format, pages: []int64{0}, limits: limits}
	if format == "TIFF" {
		pages, err := tiffPages(raw, limits.Pages)
		if err != nil {
			return nil, err
		}
		f.pages = pages
	}
	return f, nil
}

// Pages is the number of pages.
func (f *File) Pages() int { return len(f.pages) }

// Page decodes page n, counted from 0.
func (f *File) Page(n int) (p Page, err error) {
	if n < 0 || n >= len(f.pages) {
		return Page{}, fmt.Errorf("no page %d: the file has %d", n+1, len(f.pages))
	}
	// Decoders of four formats by four authors see hostile bytes here: a panic
	// in one of them is a bad picture, not the end of the program.
	defer func() {
		if r := recover(); r != nil {
			p, err = Page{}, fmt.Errorf("%w: damaged %s: %v", ErrNotPicture, f.format, r)
		}
	}()
	cfg, err := f.config(n)
	if err != nil {
		return Page{}, f.explain(err)
	}
	if err := checkSize(cfg.Width, cfg.Height, f.limits.Pixels); err != nil {
		return Page{}, err
	}
	img, err := f.pixels(n)
	if err != nil {
		return Page{}, f.explain(err)
	}
	if b := img.Bounds(); b.Dx() != cfg.Width || b.Dy() != cfg.Height {
		return Page{}, fmt.Errorf("%w: header and pixels differ in size", ErrNotPicture)
	}
	page := split(img)
	if f.format == "JPEG" || f.format == "WebP" || f.format == "PNG" {
		page = page.turned(orientation(f.raw, f.format))
	}
	return page, nil
}

func checkSize(w, h, limit int) error {
	if w <= 0 || h <= 0 {
		return fmt.Errorf("%w: it has no pixels", ErrNotPicture)
	}
	if w > limit/h {
		return fmt.Errorf("%w: %d x %d pixels, the limit is %d: save it smaller or raise the limit", ErrTooLarge, w, h, limit)
	}
	return nil
}

func (f *File) config(n int) (image.Config, error) {
	r := bytes.NewReader(f.raw)
	switch f.format {
	case "JPEG":
		return jpeg.DecodeConfig(r)
	case "PNG":
		return png.DecodeConfig(r)
	case "WebP":
		return webp.DecodeConfig(r)
	}
	return tiff.DecodeConfigAt(r, f.pages[n])
}

func (f *File) pixels(n int) (image.Image, error) {
	r := bytes.NewReader(f.raw)
	switch f.format {
	case "JPEG":
		return jpeg.Decode(r)
	case "PNG":
		return png.Decode(r)
	case "WebP":
		return webp.Decode(r)
	}
	return tiff.DecodeAt(r, f.pages[n])
}

// explain says which of our reasons a decoder's error is.
func (f *File) explain(err error) error {
	var unsupported jpeg.UnsupportedError
	var unsupportedPNG png.UnsupportedError
	var unsupportedTIFF tiff.UnsupportedError
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), strings.Contains(err.Error(), "unexpected EOF"),
		strings.Contains(err.Error(), "not enough pixel data"):
		return fmt.Errorf("%w: the %s ends too early: copy or export it again", ErrTruncated, f.format)
	case errors.As(err, &unsupported), errors.As(err, &unsupportedPNG), errors.As(err, &unsupportedTIFF):
		return fmt.Errorf("this kind of %s is %w: export as JPEG or PNG (%v)", f.format, ErrUnsupported, err)
	}
	return fmt.Errorf("%w: damaged %s (%v): export it again as JPEG or PNG", ErrNotPicture, f.format, err)
}
