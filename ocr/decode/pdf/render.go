package pdf

import (
	"fmt"

	"github.com/klippa-app/go-pdfium/enums"
	"github.com/klippa-app/go-pdfium/requests"
	"github.com/klippa-app/go-pdfium/structs"

	"tankroll/ocr/decode/pixels"
)

// Page draws page n, counted from 0, of at most limit pixels; no picture on it
// may have more either, and each of some size must show.
func (e *Engine) Page(raw []byte, n, limit int) (p pixels.Page, err error) {
	err = e.with(raw, func(d document) error {
		ref, err := d.FPDF_LoadPage(&requests.FPDF_LoadPage{Document: d.ref, Index: n})
		if err != nil {
			return err
		}
		page := requests.Page{ByReference: &ref.Page}
		c, err := d.content(page, limit)
		if err != nil {
			return err
		}
		size, err := d.resolution(page, c)
		if err != nil {
			return err
		}
		if p, err = d.draw(page, size.X, size.Y); err != nil {
			return err
		}
		return d.checkDrawn(n, c, p.Luma)
	})
	return p, err
}

// band is how many pixels are drawn at once, at 4 bytes each: most pages are
// one band. PDFium decodes a picture of more than 60 MB anew for each band, so
// smaller ones would cost time.
const band = 16e6

// inset is by how many pixels the page is drawn smaller at each edge. PDFium draws
// a picture into all pixels that it touches; were it to reach over the edge by a
// rounding error, it would be stretched by a pixel and every pixel of it change.
const inset = 0.01

// fit is the matrix that lays the page on w x h pixels; it starts from the page at a
// pixel a point.
func (d document) fit(page requests.Page, w, h int) (structs.FPDF_FS_MATRIX, error) {
	pw, ph, err := d.size(page)
	if err != nil {
		return structs.FPDF_FS_MATRIX{}, err
	}
	along := func(pixels int, points float64) float32 {
		return float32((float64(pixels) - 2*inset) / points)
	}
	return structs.FPDF_FS_MATRIX{A: along(w, pw), D: along(h, ph), E: inset}, nil
}

// draw draws a page on white paper, w x h pixels.
func (d document) draw(page requests.Page, w, h int) (pixels.Page, error) {
	rows := min(h, max(1, band/w))
	bitmap, err := d.FPDFBitmap_CreateEx(&requests.FPDFBitmap_CreateEx{Width: w, Height: rows, Format: enums.FPDF_BITMAP_FORMAT_BGRX, Pointer: uint64(0)})
	if err != nil {
		return pixels.Page{}, fmt.Errorf("no memory for %d x %d pixels: %w", w, rows, err)
	}
	defer d.FPDFBitmap_Destroy(&requests.FPDFBitmap_Destroy{Bitmap: bitmap.Bitmap})
	m, err := d.fit(page, w, h)
	if err != nil {
		return pixels.Page{}, err
	}
	clip := structs.FPDF_FS_RECTF{Right: float32(w), Bottom: float32(rows)}
	out := pixels.NewCanvas(w, h)
	for top := 0; top < h; top += rows {
		if _, err := d.FPDFBitmap_FillRect(&requests.FPDFBitmap_FillRect{Bitmap: bitmap.Bitmap, Width: w, Height: rows, Color: 0xffffffff}); err != nil {
			return pixels.Page{}, err
		}
		// Annotations are drawn too: stamps and notes are what a viewer shows.
		m.F = float32(-float64(top) + inset)
		if _, err := d.FPDF_RenderPageBitmapWithMatrix(&requests.FPDF_RenderPageBitmapWithMatrix{Bitmap: bitmap.Bitmap, Page: page,
			Matrix: m, Clipping: clip, Flags: enums.FPDF_RENDER_FLAG_ANNOT}); err != nil {
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
