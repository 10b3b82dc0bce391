package pdf

import (
	"fmt"

	"github.com/klippa-app/go-pdfium/enums"
	"github.com/klippa-app/go-pdfium/requests"

	"tankroll/ocr/decode/pixels"
)

// Page draws page n, counted from 0, of at most limit pixels; no picture on it
// may have more either.
func (e *Engine) Page(raw []byte, n, limit int) (p pixels.Page, err error) {
	err = e.with(raw, func(d document) error {
		ref, err := d.FPDF_LoadPage(&requests.FPDF_LoadPage{Document: d.ref, Index: n})
		if err != nil {
			return err
		}
		page := requests.Page{ByReference: &ref.Page}
		size, err := d.resolution(page, limit)
		if err != nil {
			return err
		}
		p, err = d.draw(page, size.X, size.Y)
		return err
	})
	return p, err
}

// band is how many pixels are drawn at once, at 4 bytes each: most pages are
// one band. PDFium decodes a picture of more than 60 MB anew for each band, so
// smaller ones would cost time.
const band = 16e6

// draw draws a page on white paper, w x h pixels.
func (d document) draw(page requests.Page, w, h int) (pixels.Page, error) {
	rows := min(h, max(1, band/w))
	bitmap, err := d.FPDFBitmap_CreateEx(&requests.FPDFBitmap_CreateEx{Width: w, Height: rows, Format: enums.FPDF_BITMAP_FORMAT_BGRX, Pointer: uint64(0)})
	if err != nil {
		return pixels.Page{}, fmt.Errorf("no memory for %d x %d pixels: %w", w, rows, err)
	}
	out := pixels.NewCanvas(w, h)
	for top := 0; top < h; top += rows {
		if _, err := d.FPDFBitmap_FillRect(&requests.FPDFBitmap_FillRect{Bitmap: bitmap.Bitmap, Width: w, Height: rows, Color: 0xffffffff}); err != nil {
			return pixels.Page{}, err
		}
		// Annotations are drawn too: stamps and notes are what a viewer shows.
		if _, err := d.FPDF_RenderPageBitmap(&requests.FPDF_RenderPageBitmap{Bitmap: bitmap.Bitmap, Page: page,
			StartY: -top, SizeX: w, SizeY: h, Flags: enums.FPDF_RENDER_FLAG_ANNOT}); err != nil {
			return pixels.Page{}, err
		}
		buffer, err := d.FPDFBitmap_GetBuffer(&requests.FPDFBitmap_GetBuffer{Bitmap: bitmap.Bitmap})
		if err != nil {
			return pixels.Page{}, err
		}
		if len(buffer.Buffer) < 4*w*rows {
			return pixels.Page{}, fmt.Errorf("%d bytes for %d x %d pixels", len(buffer.Buffer), w, rows)
		}
		for y := range min(rows, h-top) {
			row := buffer.Buffer[4*w*y : 4*w*(y+1)]
			for x := range w {
				s := row[4*x : 4*x+4 : 4*x+4]
				out.Set(x, top+y, s[2], s[1], s[0])
			}
		}
	}
	return out.Page(), nil
}
