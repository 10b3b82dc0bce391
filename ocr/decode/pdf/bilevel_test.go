package pdf

import (
	"image"
	"image/color"
	"testing"

	"tankroll/ocr/decode/pixels"
)

// symbol is a picture of black and white drawn in rows of text.
func symbol(rows ...string) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, len(rows[0]), len(rows)))
	for y, row := range rows {
		for x, c := range row {
			if c == ' ' {
				g.Pix[y*g.Stride+x] = 255
			}
		}
	}
	return g
}

// type7 is a few letters of a small face, the lowest first, and a page set in them.
func type7() (symbols []*image.Gray, letters []letter) {
	symbols = []*image.Gray{
		symbol("###", "  #", "###", "#  ", "###"),
		symbol("#####", "  #  ", "  #  ", "  #  ", "  #  ", "  #  ", "  #  "),
		symbol("#   #", "#  # ", "# #  ", "##   ", "# #  ", "#  # ", "#   #"),
		symbol("  #   ", " # #  ", " # #  ", "#   # ", "##### ", "#   # ", "#    #"),
	}
	for y := 4; y < 50; y += 9 {
		for i, x := 0, 3+y%4; x < 80; i, x = i+1, x+8 {
			letters = append(letters, letter{(i + y) % len(symbols), x, y})
		}
	}
	return symbols, letters
}

// TestBilevel: every way in which scanners pack black and white into a PDF comes
// out to the pixel.
func TestBilevel(t *testing.T) {
	black := blackAndWhite(t)
	symbols, letters := type7()
	const bw = "/ColorSpace /DeviceGray /BitsPerComponent 1 "
	fax := func(name, how string) picture {
		return picture{data: strip(t, name), dict: bw + "/Filter /CCITTFaxDecode /DecodeParms << /Columns 96 /Rows 64 " + how + " >>"}
	}
	tests := []struct {
		name string
		p    picture
		want *image.Gray
	}{
		{"CCITT group 4", fax("bilevel-g4.tif", "/K -1"), black},
		{"CCITT group 3, one-dimensional", fax("bilevel-g3-1d.tif", "/K 0 /EndOfLine true"), black},
		{"CCITT group 3, two-dimensional", fax("bilevel-g3-2d.tif", "/K 4 /EndOfLine true"), black},
		{"JBIG2 coded as fax", picture{data: jbig2(strip(t, "bilevel-g4.tif"), 96, 64), dict: bw + "/Filter /JBIG2Decode"}, black},
		{"JBIG2 coded arithmetically", picture{data: jbig2Generic(black), dict: bw + "/Filter /JBIG2Decode"}, black},
		{"JBIG2 of symbols that pages share", picture{data: jbig2Text(symbols, letters, 96, 64), globals: jbig2Symbols(symbols), dict: bw + "/Filter /JBIG2Decode"},
			set(symbols, letters, 96, 64)},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			c.p.w, c.p.h = 96, 64
			same(t, page(t, build(sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do Q", on: []picture{c.p}}), 0).Luma, c.want)
		})
	}
}

// halves is a coloured picture, paper on the left and a coloured sheet on the right.
func halves(w, h int) *image.RGBA {
	g := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{R: 240, G: 235, B: 220, A: 255}
			if x >= w/2 {
				c = color.RGBA{R: 230, G: 160, B: 170, A: 255}
			}
			g.SetRGBA(x, y, c)
		}
	}
	return g
}

// TestPagesOfSeveralKinds: a scanner that packs each page as suits it.
func TestPagesOfSeveralKinds(t *testing.T) {
	black := blackAndWhite(t)
	symbols, letters := type7()
	const bw = "/ColorSpace /DeviceGray /BitsPerComponent 1 "
	on := func(p picture) sheet {
		p.w, p.h = 96, 64
		return sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do Q", on: []picture{p}}
	}
	raw := build(on(dct(t, halves(96, 64))),
		on(picture{data: strip(t, "bilevel-g4.tif"), dict: bw + "/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns 96 /Rows 64 >>"}),
		on(picture{data: jbig2Text(symbols, letters, 96, 64), globals: jbig2Symbols(symbols), dict: bw + "/Filter /JBIG2Decode"}),
		on(picture{data: jbig2Generic(black), dict: bw + "/Filter /JBIG2Decode"}))
	if n, err := engine.Pages(raw); n != 4 || err != nil {
		t.Fatalf("%d pages, %v", n, err)
	}
	onGround(t, page(t, raw, 0), nil)
	same(t, page(t, raw, 1).Luma, black)
	same(t, page(t, raw, 2).Luma, set(symbols, letters, 96, 64))
	same(t, page(t, raw, 3).Luma, black)
}

// TestPrintOnGround: a page that a scanner has taken apart, a coarse photograph of
// the ground and fine print that is laid on it, is put together at the print's size.
func TestPrintOnGround(t *testing.T) {
	black := blackAndWhite(t)
	symbols, letters := type7()
	const mask = "/ImageMask true /BitsPerComponent 1 "
	tests := []struct {
		name  string
		print picture
		want  *image.Gray
	}{
		{"CCITT", picture{data: strip(t, "bilevel-g4.tif"), dict: mask + "/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns 96 /Rows 64 >>"}, black},
		{"JBIG2", picture{data: jbig2Generic(black), dict: mask + "/Filter /JBIG2Decode"}, black},
		{"JBIG2 of symbols", picture{data: jbig2Text(symbols, letters, 96, 64), globals: jbig2Symbols(symbols), dict: mask + "/Filter /JBIG2Decode"}, set(symbols, letters, 96, 64)},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			c.print.w, c.print.h = 96, 64
			onGround(t, page(t, build(sheet{w: 96, h: 64, content: "q 96 0 0 64 0 0 cm /I0 Do 0 g /I1 Do Q", on: []picture{dct(t, halves(32, 16)), c.print}}), 0), c.want)
		})
	}
}

// onGround fails the test unless the page shows print, if any, black on the halves.
func onGround(t *testing.T, p pixels.Page, print *image.Gray) {
	t.Helper()
	if p.Luma.Rect.Dx() != 96 || p.Luma.Rect.Dy() != 64 || p.Cr == nil {
		t.Fatalf("%v pixels, red %v", p.Luma.Rect.Size(), p.Cr)
	}
	ground := halves(96, 64)
	for y := range 64 {
		for x := range 96 {
			if x >= 42 && x < 54 {
				continue // where the halves meet
			}
			c := ground.RGBAAt(x, y)
			want, _, cr := color.RGBToYCbCr(c.R, c.G, c.B)
			if print != nil && print.GrayAt(x, y).Y == 0 {
				want = 0
			}
			if got := p.Luma.GrayAt(x, y).Y; max(got, want)-min(got, want) > 4 {
				t.Fatalf("at %d,%d brightness is %d, want %d", x, y, got, want)
			}
			if print == nil {
				if got := p.Cr.GrayAt(x/p.Step, y/p.Step).Y; max(got, cr)-min(got, cr) > 4 {
					t.Fatalf("at %d,%d red is %d, want %d", x, y, got, cr)
				}
			}
		}
	}
}
