// Package decode turns the bytes of a photo, a scan, or a file with several
// scanned pages into pages of pixels.
//
// Size and limits are checked on the header before a pixel is decoded, so a
// small file that claims a huge picture costs nothing. JPEG, PNG, WebP and TIFF
// are decoded here; HEIC and PDF in a child process, see worker.
//
// The camera's mark of how it was held is obeyed, whatever the format keeps it
// in: pixels are counted on the picture as every viewer shows it.
package decode

import (
	"bytes"
	"context"
	"fmt"
	"image"

	"tankroll/ocr/decode/heif"
	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/tiff"
	"tankroll/ocr/decode/timed"
	"tankroll/ocr/decode/worker"
)

// The reasons why bytes cannot be opened as a picture. Errors of this package
// wrap one of them, or are the context's.
var (
	ErrEmpty       = reason.ErrEmpty
	ErrNotPicture  = reason.ErrNotPicture
	ErrTruncated   = reason.ErrTruncated
	ErrTooLarge    = reason.ErrTooLarge
	ErrUnsupported = reason.ErrUnsupported
)

// Kinds names what can be read, for people.
const Kinds = "JPEG, PNG, WebP, HEIC, TIFF or PDF"

// Page is one decoded page.
type Page = pixels.Page

// Decoder opens files. HEIC and PDF need a child process, which starts with the
// first of them; close the decoder to end it.
type Decoder struct{ worker *worker.Worker }

// New makes a decoder; nothing is started.
func New() *Decoder { return &Decoder{worker.New()} }

// Close ends the child process. The decoder may be used again.
func (d *Decoder) Close() error { return d.worker.Close() }

// RunWorkerIfAsked must be the first thing that main and TestMain of a program
// that opens files do: it is where the child process starts. It does nothing
// otherwise.
func RunWorkerIfAsked() { worker.RunIfAsked() }

// File is an opened file whose pages have not been decoded yet.
type File struct {
	raw    []byte
	format string
	pages  int
	at     []int64 // TIFF: where each page's directory starts
	limits Limits
	worker *worker.Worker
}

// Open looks at the header of raw and refuses what cannot be read: empty,
// not a picture, too large, too many pages, a kind this version cannot read.
func (d *Decoder) Open(ctx context.Context, raw []byte, limits Limits) (*File, error) {
	limits = limits.WithDefaults()
	format, err := look(raw, limits)
	if err != nil {
		return nil, err
	}
	f := &File{raw: raw, format: format, pages: 1, limits: limits, worker: d.worker}
	switch f.format {
	case "GIF", "BMP", "AVIF":
		return nil, fmt.Errorf("%s is %w: export as JPEG or PNG", f.format, ErrUnsupported)
	case "TIFF":
		f.at, err = tiff.Pages(raw, limits.Pages)
		f.pages = len(f.at)
	case "HEIC":
		err = heif.Check(raw, limits.Pixels)
	case "PDF":
		f.pages, err = d.worker.PDFPages(ctx, raw)
		if err == nil && f.pages > limits.Pages {
			err = fmt.Errorf("%w: %d pages, the limit is %d: split it or raise the limit of pages", ErrTooLarge, f.pages, limits.Pages)
		}
	}
	if err != nil {
		return nil, err
	}
	return f, nil
}

// Look says whether raw may be a picture of some kind, whole or damaged, of one
// that can be read or not: it has bytes, not too many, and begins as one.
func Look(raw []byte, limits Limits) error {
	_, err := look(raw, limits.WithDefaults())
	return err
}

// look names the format, or says why raw is none.
func look(raw []byte, limits Limits) (format string, err error) {
	if len(raw) == 0 {
		return "", fmt.Errorf("%w: copy or export it again", ErrEmpty)
	}
	if int64(len(raw)) > limits.Bytes {
		return "", fmt.Errorf("%w: %.4g MB, the limit is %.4g MB: save it smaller or raise the limit of megabytes", ErrTooLarge, mega(int64(len(raw))), mega(limits.Bytes))
	}
	if format = sniff(raw); format == "" {
		return "", fmt.Errorf("%w: use %s", ErrNotPicture, Kinds)
	}
	return format, nil
}

// Pages is the number of pages.
func (f *File) Pages() int { return f.pages }

// Size is how many pixels page n has by its header, before it is turned; zero
// when the header does not tell, as that of a PDF or HEIC.
func (f *File) Size(n int) image.Point {
	switch f.format {
	case "HEIC", "PDF":
		return image.Point{}
	case "TIFF":
		return tiff.Size(f.raw, f.at[n])
	}
	cfg, err := f.config()
	if err != nil {
		return image.Point{}
	}
	return image.Pt(cfg.Width, cfg.Height)
}

// Page decodes page n, counted from 0. When ctx ends the context's error is returned: a
// HEIC or PDF that is being decoded is stopped, other formats stop when more of their
// bytes, or of a TIFF the next row, are wanted. What takes none takes time in proportion
// to its pixels.
func (f *File) Page(ctx context.Context, n int) (p Page, err error) {
	if n < 0 || n >= f.pages {
		return Page{}, fmt.Errorf("no page %d: the file has %d", n+1, f.pages)
	}
	if err := ctx.Err(); err != nil {
		return Page{}, err
	}
	// Decoders of several formats by several authors see hostile bytes here: a
	// panic in one of them is a bad picture, not the end of the program.
	defer func() {
		if r := recover(); r != nil {
			p, err = Page{}, fmt.Errorf("%w: damaged %s (%v): export it again as JPEG or PNG", ErrNotPicture, f.format, r)
		}
	}()
	switch f.format {
	case "HEIC":
		return f.worker.Picture(ctx, f.raw, f.limits.Pixels)
	case "PDF":
		return f.worker.PDFPage(ctx, f.raw, n, f.limits.Pixels)
	case "TIFF":
		return tiff.Page(ctx, f.raw, f.at[n], f.limits.Pixels)
	}
	return f.picture(ctx)
}

// picture decodes a format of one picture.
func (f *File) picture(ctx context.Context) (Page, error) {
	cfg, err := f.config()
	if err != nil {
		return Page{}, f.explain(err)
	}
	if err := reason.CheckSize(cfg.Width, cfg.Height, f.limits.Pixels); err != nil {
		return Page{}, err
	}
	r := timed.NewReader(ctx, bytes.NewReader(f.raw))
	img, err := f.pixels(r)
	if r.Ended() != nil {
		return Page{}, r.Ended()
	}
	if err != nil {
		return Page{}, f.explain(err)
	}
	if b := img.Bounds(); b.Dx() != cfg.Width || b.Dy() != cfg.Height {
		return Page{}, fmt.Errorf("%w: damaged %s (header and pixels differ in size): export it again as JPEG or PNG", ErrNotPicture, f.format)
	}
	return pixels.Split(img).Turned(orientation(f.raw, f.format)), nil
}
