package pdf

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tankroll/ocr/decode/reason"
)

// FuzzPage: any bytes give a page within the limit or an error with a reason.
func FuzzPage(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "kinds", "*.pdf"))
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, name := range files {
		raw, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	whole := "q 40 0 0 30 0 0 cm /I0 Do Q"
	f.Add(build(sheet{w: 40, h: 30, more: "/Rotate 90 /CropBox [5 5 20 20]", content: whole, on: []picture{packed(scan(8, 6))}}))
	f.Add(build(sheet{w: 40, h: 30, content: "BT /F 12 Tf 2 2 Td (TANK 3) Tj ET"}, sheet{w: 20, h: 20}))
	bits := "/ColorSpace /DeviceGray /BitsPerComponent 1 "
	f.Add(build(sheet{w: 40, h: 30, content: whole, on: []picture{{w: 16, h: 2, data: []byte{0x26, 0xa1, 0x4d, 0x10, 0x01}, dict: bits + "/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns 16 >>"}}}))
	f.Add(build(sheet{w: 40, h: 30, content: whole, on: []picture{{w: 16, h: 2, data: jbig2([]byte{0x26, 0xa1, 0x4d, 0x10, 0x01}, 16, 2), dict: bits + "/Filter /JBIG2Decode"}}}))
	symbols, letters := type7()
	f.Add(build(sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do Q", on: []picture{
		{w: 96, h: 64, data: jbig2Text(symbols, letters, 96, 64), globals: jbig2Symbols(symbols), dict: bits + "/Filter /JBIG2Decode"}}}))
	f.Add(build(sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do Q", on: []picture{
		{w: 96, h: 64, data: jbig2Generic(set(symbols, letters, 96, 64)), dict: "/ImageMask true /Filter /JBIG2Decode"}}}))
	f.Fuzz(func(t *testing.T, raw []byte) {
		const limit = 1 << 18
		known := func(err error) {
			for _, r := range []error{reason.ErrNotPicture, reason.ErrTooLarge, reason.ErrUnsupported} {
				if errors.Is(err, r) {
					return
				}
			}
			t.Errorf("an error without a reason: %v", err)
		}
		n, err := engine.Pages(raw)
		if err != nil {
			known(err)
			return
		}
		for i := range min(n, 2) {
			p, err := engine.Page(raw, i, limit)
			if err != nil {
				known(err)
				continue
			}
			if size := p.Luma.Rect.Size(); size.X*size.Y > limit || len(p.Luma.Pix) != size.X*size.Y {
				t.Errorf("%v pixels in %d bytes", size, len(p.Luma.Pix))
			}
		}
	})
}
