package pdf

import (
	"fmt"
	"image"
	"math"
	"math/bits"

	"github.com/klippa-app/go-pdfium/enums"
	"github.com/klippa-app/go-pdfium/references"
	"github.com/klippa-app/go-pdfium/requests"

	"tankroll/ocr/decode/reason"
)

// PDFium leaves out a picture that it cannot decode and says nothing: a broken scan
// comes out as an empty sheet. Where a picture lies and the page is mostly white, or all
// of one tone, the picture is decoded once more by itself, which tells.

// placed is a picture on the page, large enough to count.
type placed struct {
	object references.FPDF_PAGEOBJECT
	at     matrix
	rows   int // of its pixels; 0 when it cannot be opened
}

const (
	white = 255
	// blank is the share of white from which a picture is looked at closely: where
	// it is left out type, stamps and other pictures may still lie.
	blank = 0.5
)

// checkDrawn is an error when a picture is missing on page n, from 0, as it was drawn.
func (d document) checkDrawn(n int, c *content, page *image.Gray) error {
	for _, p := range c.placed {
		part := c.pixels(p.at, page.Rect.Size()).Intersect(page.Rect)
		plain := oneTone(page, part)
		if !plain && whiteShare(page, part) < blank {
			continue
		}
		filter := d.filter(p.object)
		if !d.decodes(p.object) || plain && d.emptied(p, filter) {
			return fmt.Errorf("%w: damaged PDF (%s on page %d cannot be decoded): scan or photograph the page again, or export it as JPEG or PNG", reason.ErrNotPicture, named(filter), n+1)
		}
	}
	return nil
}

// decodes is whether PDFium can decode a picture.
func (d document) decodes(o references.FPDF_PAGEOBJECT) bool {
	b, err := d.FPDFImageObj_GetBitmap(&requests.FPDFImageObj_GetBitmap{ImageObject: o})
	if err != nil {
		return false
	}
	_, err = d.FPDFBitmap_Destroy(&requests.FPDFBitmap_Destroy{Bitmap: b.Bitmap})
	return err == nil
}

// filter is the last of a picture's filters, the one that makes pixels; "" for none.
func (d document) filter(o references.FPDF_PAGEOBJECT) string {
	n, err := d.FPDFImageObj_GetImageFilterCount(&requests.FPDFImageObj_GetImageFilterCount{ImageObject: o})
	if err != nil || n.Count == 0 {
		return ""
	}
	f, err := d.FPDFImageObj_GetImageFilter(&requests.FPDFImageObj_GetImageFilter{ImageObject: o, Index: n.Count - 1})
	if err != nil {
		return ""
	}
	return f.ImageFilter
}

// named is what people call a picture that is packed with filter.
func named(filter string) string {
	switch filter {
	case "DCTDecode":
		return "a JPEG"
	case "JPXDecode":
		return "a JPEG 2000"
	case "JBIG2Decode":
		return "a JBIG2"
	case "CCITTFaxDecode":
		return "a fax"
	}
	return "a picture"
}

// emptied is whether the data of a picture that shows nothing are not those of one that
// does not. The decoders of black and white do not tell what they skip.
func (d document) emptied(p placed, filter string) bool {
	if filter != "JBIG2Decode" && filter != "CCITTFaxDecode" {
		return false
	}
	data, err := d.FPDFImageObj_GetImageDataDecoded(&requests.FPDFImageObj_GetImageDataDecoded{ImageObject: p.object})
	if err != nil {
		return true
	}
	if filter == "JBIG2Decode" {
		return !segmentsFit(data.Data)
	}
	return faxRows(data.Data) < p.rows/2 // the last rows may be left out
}

// faxRows is how many rows fax data can hold at the most: every code has a bit that is 1.
func faxRows(data []byte) (n int) {
	for _, b := range data {
		n += bits.OnesCount8(b)
	}
	return n
}

// pixels is where on a page drawn at size a picture lies that m lays on it.
func (c *content) pixels(m matrix, size image.Point) image.Rectangle {
	l, b, r, t := m.bounds()
	w, h := c.box[2]-c.box[0], c.box[3]-c.box[1]
	// In shares of the page, from its top left.
	l, r, t, b = (l-c.box[0])/w, (r-c.box[0])/w, (c.box[3]-t)/h, (c.box[3]-b)/h
	switch c.turned {
	case enums.FPDF_PAGE_ROTATION_90_CW:
		l, t, r, b = 1-b, l, 1-t, r
	case enums.FPDF_PAGE_ROTATION_180_CW:
		l, t, r, b = 1-r, 1-b, 1-l, 1-t
	case enums.FPDF_PAGE_ROTATION_270_CW:
		l, t, r, b = t, 1-r, b, 1-l
	}
	// Whole pixels within, so that what lies beside is not counted.
	from := func(v float64, n int) int { return int(math.Ceil(min(max(v, 0), 1)*float64(n) - inset)) }
	to := func(v float64, n int) int { return int(math.Floor(min(max(v, 0), 1)*float64(n) + inset)) }
	return image.Rect(from(l, size.X), from(t, size.Y), to(r, size.X), to(b, size.Y))
}

// oneTone is whether all of a part of a page is equally bright.
func oneTone(page *image.Gray, part image.Rectangle) bool {
	if part.Empty() {
		return false
	}
	first := page.Pix[page.PixOffset(part.Min.X, part.Min.Y)]
	for y := part.Min.Y; y < part.Max.Y; y++ {
		at := page.PixOffset(part.Min.X, y)
		for _, v := range page.Pix[at : at+part.Dx()] {
			if v != first {
				return false
			}
		}
	}
	return true
}

// whiteShare is how much of a part of a page is white.
func whiteShare(page *image.Gray, part image.Rectangle) float64 {
	if part.Empty() {
		return 0
	}
	n := 0
	for y := part.Min.Y; y < part.Max.Y; y++ {
		at := page.PixOffset(part.Min.X, y)
		for _, v := range page.Pix[at : at+part.Dx()] {
			if v == white {
				n++
			}
		}
	}
	return float64(n) / float64(part.Dx()*part.Dy())
}
