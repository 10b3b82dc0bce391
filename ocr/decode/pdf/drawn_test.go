package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"strings"
	"testing"

	"tankroll/ocr/decode/reason"
)

// sheetOf96x64 is a page that is one picture of 96 x 64 pixels, then more.
func sheetOf96x64(p picture, more string) sheet {
	p.w, p.h = 96, 64
	return sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm 0 g /I0 Do Q " + more, on: []picture{p}}
}

func plain(v byte) *image.Gray {
	return &image.Gray{Pix: bytes.Repeat([]byte{v}, 96*64), Stride: 96, Rect: image.Rect(0, 0, 96, 64)}
}

// with is p with data made of its own.
func (p picture) with(change func([]byte) []byte) picture {
	p.data = change(bytes.Clone(p.data))
	return p
}

func half(b []byte) []byte    { return b[:len(b)/2] }
func nothing([]byte) []byte   { return nil }
func zeros(b []byte) []byte   { clear(b); return b }
func badHead(b []byte) []byte { copy(b, "UUUUUUUU"); return b }

const (
	oneBit = "/ColorSpace /DeviceGray /BitsPerComponent 1 "
	group4 = "/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns 96 /Rows 64 >>"
)

// TestMissingPicture: a page whose picture cannot be decoded is an error that says so,
// and not an empty sheet; the pages around it are drawn.
func TestMissingPicture(t *testing.T) {
	symbols, letters := type7()
	grey := dct(t, scan(96, 64))
	inForm := grey.with(badHead)
	inForm.inForm = true
	fax := picture{data: strip(t, "bilevel-g4.tif"), dict: oneBit + group4}
	faxMask := picture{data: fax.data, dict: "/ImageMask true /BitsPerComponent 1 " + group4}
	arithmetic := picture{data: jbig2Generic(blackAndWhite(t)), dict: oneBit + "/Filter /JBIG2Decode"}
	text := picture{data: jbig2Text(symbols, letters, 96, 64), globals: jbig2Symbols(symbols), dict: oneBit + "/Filter /JBIG2Decode"}
	strips := func(p picture) sheet {
		top := packed(scan(96, 48))
		p.w, p.h = 96, 16
		return sheet{w: 96, h: 64, content: "q 96 0 0 48 0 16 cm /I0 Do Q q 96 0 0 16 0 0 cm /I1 Do Q", on: []picture{top, p}}
	}
	turned := func(degrees int) sheet {
		s := strips(dct(t, scan(96, 16)).with(badHead))
		s.more = fmt.Sprintf("/Rotate %d", degrees)
		return s
	}
	tests := []struct {
		name string
		s    sheet
		says string
	}{
		{"JPEG, its head", sheetOf96x64(grey.with(badHead), ""), "a JPEG on page 2"},
		{"JPEG, zeros", sheetOf96x64(grey.with(zeros), ""), "a JPEG on page 2"},
		{"JPEG, nothing", sheetOf96x64(grey.with(nothing), ""), "a JPEG on page 2"},
		{"JPEG below a stamp", sheetOf96x64(grey.with(badHead), "BT /F 12 Tf 20 20 Td (TANK 3) Tj ET"), "a JPEG on page 2"},
		{"JPEG in a form", sheetOf96x64(inForm, ""), "a JPEG on page 2"},
		{"JPEG 2000", sheetOf96x64(picture{data: scan(96, 64).Pix[:500], dict: "/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /JPXDecode"}, ""), "a JPEG 2000 on page 2"},
		{"fax, nothing", sheetOf96x64(fax.with(nothing), ""), "a fax on page 2"},
		{"fax, zeros", sheetOf96x64(fax.with(zeros), ""), "a fax on page 2"},
		{"fax as a mask, zeros", sheetOf96x64(faxMask.with(zeros), ""), "a fax on page 2"},
		{"JBIG2, half", sheetOf96x64(arithmetic.with(half), ""), "a JBIG2 on page 2"},
		{"JBIG2, its head", sheetOf96x64(arithmetic.with(badHead), ""), "a JBIG2 on page 2"},
		{"JBIG2, zeros", sheetOf96x64(arithmetic.with(zeros), ""), "a JBIG2 on page 2"},
		{"JBIG2, zeros after its page", sheetOf96x64(arithmetic.with(func(b []byte) []byte { clear(b[len(pageOf(0, 96, 64)):]); return b }), ""), "a JBIG2 on page 2"},
		{"JBIG2 of symbols, its head", sheetOf96x64(text.with(badHead), ""), "a JBIG2 on page 2"},
		{"JBIG2 of symbols, half", sheetOf96x64(text.with(half), ""), "a JBIG2 on page 2"},
		{"a filter that there is not", sheetOf96x64(picture{data: scan(96, 64).Pix, dict: "/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter /FooDecode"}, ""), "a picture on page 2"},
		{"one strip of two", strips(dct(t, scan(96, 16)).with(badHead)), "a JPEG on page 2"},
		{"one strip, page turned by 90", turned(90), "a JPEG on page 2"},
		{"one strip, page turned by 180", turned(180), "a JPEG on page 2"},
		{"one strip, page turned by 270", turned(270), "a JPEG on page 2"},
	}
	good := scan(40, 30)
	whole := sheet{w: 40, h: 30, content: "q 40 0 0 30 0 0 cm /I0 Do Q", on: []picture{packed(good)}}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			raw := build(whole, c.s, whole)
			_, err := engine.Page(raw, 1, limit)
			if !errors.Is(err, reason.ErrNotPicture) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "photograph the page again") {
				t.Errorf("error %v, want one of %q", err, c.says)
			}
			same(t, page(t, raw, 0).Luma, good)
			same(t, page(t, raw, 2).Luma, good)
		})
	}
}

// TestEmptySheets: pages that are white, and pictures that show little, are no error.
func TestEmptySheets(t *testing.T) {
	white := plain(white)
	symbols, _ := type7()
	dot := picture{w: 1, h: 1, data: []byte{255}, dict: "/ColorSpace /DeviceGray /BitsPerComponent 8"}
	// Group 4 says a row like the one before, or a first one that is white, in one bit.
	g4 := append(bytes.Repeat([]byte{255}, 64/8), 0, 16, 1)
	seeThrough := packed(scan(96, 64))
	seeThrough.mask = &picture{w: 96, h: 64, data: make([]byte, 96*64), dict: "/ColorSpace /DeviceGray /BitsPerComponent 8"}
	inForm := packed(white)
	inForm.inForm = true
	broken := dct(t, scan(96, 64)).with(badHead)
	tests := []struct {
		name string
		s    sheet
	}{
		{"a white scan", sheetOf96x64(packed(white), "")},
		{"a white JPEG", sheetOf96x64(dct(t, white), "")},
		{"a white fax", sheetOf96x64(picture{data: g4, dict: oneBit + group4}, "")},
		{"a white fax as a mask", sheetOf96x64(picture{data: g4, dict: "/ImageMask true /BitsPerComponent 1 " + group4}, "")},
		{"a white JBIG2", sheetOf96x64(picture{data: jbig2Generic(white), dict: oneBit + "/Filter /JBIG2Decode"}, "")},
		{"a JBIG2 of no more than a page", sheetOf96x64(picture{data: pageOf(0, 96, 64), dict: oneBit + "/Filter /JBIG2Decode"}, "")},
		{"a JBIG2 of no letters, filled up", sheetOf96x64(picture{data: append(jbig2Text(symbols, nil, 96, 64), "\r\n"...), globals: jbig2Symbols(symbols), dict: oneBit + "/Filter /JBIG2Decode"}, "")},
		{"a white picture in the page's drawing", sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm BI /W 1 /H 1 /CS /G /BPC 8 ID \xff EI Q"}},
		{"a spacer", sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do Q", on: []picture{dot}}},
		{"a picture that cannot be seen", sheetOf96x64(seeThrough, "")},
		{"a white scan in a form", sheetOf96x64(inForm, "")},
		{"a mark too small to count", sheet{w: 96, h: 64, content: "q 9 0 0 9 0 0 cm /I0 Do Q", on: []picture{broken}}},
		{"a picture off the page", sheet{w: 96, h: 64, content: "q 96 0 0 64 200 0 cm /I0 Do Q", on: []picture{broken}}},
		{"nothing", sheet{w: 96, h: 64}},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			for i, v := range page(t, build(c.s), 0).Luma.Pix {
				if v != 255 {
					t.Fatalf("pixel %d is %d", i, v)
				}
			}
		})
	}
}
