package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/sandbox"
)

// engine is shared: translating PDFium takes seconds where there is no cache.
var engine = New(new(sandbox.Cache))

const limit = 20e6

func page(t *testing.T, raw []byte, n int) pixels.Page {
	t.Helper()
	p, err := engine.Page(raw, n, limit)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func same(t *testing.T, got, want *image.Gray) {
	t.Helper()
	if got.Rect.Size() != want.Rect.Size() {
		t.Fatalf("%v pixels, want %v", got.Rect.Size(), want.Rect.Size())
	}
	if bytes.Equal(got.Pix, want.Pix) {
		return
	}
	n := 0
	for i := range got.Pix {
		if got.Pix[i] != want.Pix[i] {
			n++
		}
	}
	t.Errorf("%d of %d pixels differ", n, len(got.Pix))
}

// whole200x150 draws picture 0 over a page of 200 x 150 points.
const whole200x150 = "q 200 0 0 150 0 0 cm /I0 Do Q"

// TestScans: a page that is one picture comes out as the picture, to the pixel,
// however it is compressed, turned and cropped.
func TestScans(t *testing.T) {
	g := scan(640, 480)
	colour := image.NewYCbCr(image.Rect(0, 0, 64, 48), image.YCbCrSubsampleRatio444)
	for i := range colour.Y {
		colour.Y[i], colour.Cb[i], colour.Cr[i] = uint8(60+i%7*20), 90, 180
	}
	jpegGrey := dct(t, g)
	decoded, err := jpeg.Decode(bytes.NewReader(jpegGrey.data))
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		s    sheet
		want *image.Gray
	}{
		{"flate", sheet{w: 200, h: 150, content: whole200x150, on: []picture{packed(g)}}, g},
		{"a page in fractions of a point", sheet{w: 153.6, h: 115.2, content: "q 153.6 0 0 115.2 0 0 cm /I0 Do Q", on: []picture{packed(g)}}, g},
		{"a page of metres, as phones make", sheet{w: 4000, h: 3000, content: "q 4000 0 0 3000 0 0 cm /I0 Do Q", on: []picture{packed(g)}}, g},
		{"pixels that are not square", sheet{w: 200, h: 300, content: "q 200 0 0 300 0 0 cm /I0 Do Q", on: []picture{packed(g)}}, g},
		{"turned by the page, 90", sheet{w: 200, h: 150, more: "/Rotate 90", content: whole200x150, on: []picture{packed(g)}}, pixels.Split(scan(640, 480)).Turned(6).Luma},
		{"turned by the page, 180", sheet{w: 200, h: 150, more: "/Rotate 180", content: whole200x150, on: []picture{packed(g)}}, pixels.Split(scan(640, 480)).Turned(3).Luma},
		{"turned by the page, 270", sheet{w: 200, h: 150, more: "/Rotate 270", content: whole200x150, on: []picture{packed(g)}}, pixels.Split(scan(640, 480)).Turned(8).Luma},
		{"on its side, turned upright by the page", sheet{w: 150, h: 200, more: "/Rotate 90", content: "q 0 200 -150 0 150 0 cm /I0 Do Q", on: []picture{packed(g)}}, g},
		{"cropped to the lower right quarter", sheet{w: 200, h: 150, more: "/CropBox [100 0 200 75]", content: whole200x150, on: []picture{packed(g)}}, crop(g, image.Rect(320, 240, 640, 480))},
		{"in a form", sheet{w: 200, h: 150, content: "q 2 0 0 2 0 0 cm q 100 0 0 75 0 0 cm /I0 Do Q Q", on: []picture{packed(g)}}, g},
		{"in two strips", sheet{w: 200, h: 150, content: "q 200 0 0 75 0 75 cm /I0 Do Q q 200 0 0 75 0 0 cm /I1 Do Q",
			on: []picture{packed(crop(g, image.Rect(0, 0, 640, 240))), packed(crop(g, image.Rect(0, 240, 640, 480)))}}, nil},
		{"under unseen text", sheet{w: 200, h: 150, content: whole200x150 + " BT 3 Tr /F 12 Tf 20 20 Td (TANK 3) Tj ET", on: []picture{packed(g)}}, g},
		{"grey JPEG", sheet{w: 200, h: 150, content: whole200x150, on: []picture{jpegGrey}}, nil},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			raw := build(c.s)
			if n, err := engine.Pages(raw); n != 1 || err != nil {
				t.Fatalf("%d pages, %v", n, err)
			}
			p := page(t, raw, 0)
			if p.Cb != nil {
				t.Error("a grey page has colour")
			}
			switch {
			case c.want != nil:
				same(t, p.Luma, c.want)
			case c.name == "grey JPEG":
				near(t, p.Luma, decoded.(*image.Gray), 1)
			default:
				// Where strips meet, PDFium may stretch one of them by a row.
				if p.Luma.Rect.Size() != g.Rect.Size() {
					t.Errorf("%v pixels", p.Luma.Rect.Size())
				}
			}
		})
	}
	p := page(t, build(sheet{w: 64, h: 48, content: "q 64 0 0 48 0 0 cm /I0 Do Q", on: []picture{dct(t, colour)}}), 0)
	if p.Luma.Rect.Dx() != 64 || p.Cb == nil || p.Cr.GrayAt(5, 5).Y < 170 {
		t.Errorf("a colour JPEG: %v, red %v", p.Luma.Rect, p.Cr)
	}
}

// TestFractions: scans at any resolution fall on whole pixels.
func TestFractions(t *testing.T) {
	for _, size := range []image.Point{{X: 790, Y: 1254}, {X: 640, Y: 480}, {X: 1239, Y: 1753}, {X: 333, Y: 777}} {
		g := scan(size.X, size.Y)
		for _, dpi := range []float64{72, 96, 100, 150, 204, 300, 600} {
			w, h := float64(size.X)*72/dpi, float64(size.Y)*72/dpi
			same(t, page(t, build(sheet{w: w, h: h, content: fmt.Sprintf("q %.3f 0 0 %.3f 0 0 cm /I0 Do Q", w, h), on: []picture{packed(g)}}), 0).Luma, g)
		}
	}
}

func crop(g *image.Gray, r image.Rectangle) *image.Gray {
	out := image.NewGray(image.Rect(0, 0, r.Dx(), r.Dy()))
	for y := range r.Dy() {
		copy(out.Pix[y*out.Stride:], g.Pix[(r.Min.Y+y)*g.Stride+r.Min.X:][:r.Dx()])
	}
	return out
}

// near: two JPEG decoders round differently.
func near(t *testing.T, got, want *image.Gray, most int) {
	t.Helper()
	if got.Rect.Size() != want.Rect.Size() {
		t.Fatalf("%v pixels, want %v", got.Rect.Size(), want.Rect.Size())
	}
	for y := range want.Rect.Dy() {
		for x := range want.Rect.Dx() {
			if d := int(got.GrayAt(x, y).Y) - int(want.GrayAt(x, y).Y); d > most || d < -most {
				t.Fatalf("at %d,%d differs by %d", x, y, d)
			}
		}
	}
}

// TestMixed: what is not one picture alone is drawn at 300 dpi or finer.
func TestMixed(t *testing.T) {
	g := image.NewGray(image.Rect(0, 0, 1600, 1200))
	for i := range g.Pix {
		g.Pix[i] = 255
	}
	ground := image.NewGray(image.Rect(0, 0, 100, 75))
	for i := range ground.Pix {
		ground.Pix[i] = 250
	}
	text := " BT /F 24 Tf 20 20 Td (TANK 3) Tj ET"
	tests := []struct {
		name string
		s    sheet
		want image.Point
		dark bool
	}{
		{"type alone", sheet{w: 144, h: 72, content: text}, image.Pt(600, 300), true},
		{"nothing", sheet{w: 144, h: 72}, image.Pt(600, 300), false},
		{"type on a scan", sheet{w: 200, h: 150, content: whole200x150 + text, on: []picture{packed(g)}}, image.Pt(1600, 1200), true},
		{"type on a coarse ground", sheet{w: 200, h: 150, content: whole200x150 + text, on: []picture{packed(ground)}}, image.Pt(833, 625), true},
		{"a fine picture on a page of type", sheet{w: 200, h: 150, content: "q 50 0 0 37.5 0 100 cm /I0 Do Q" + text, on: []picture{packed(g)}}, image.Pt(6400, 4800), true},
		{"a logo finer than print", sheet{w: 200, h: 150, content: "q 5 0 0 4 0 140 cm /I0 Do Q" + text, on: []picture{packed(g)}}, image.Pt(833, 625), true},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			p, err := engine.Page(build(c.s), 0, 40e6)
			if err != nil {
				t.Fatal(err)
			}
			if p.Luma.Rect.Size() != c.want {
				t.Errorf("%v pixels, want %v", p.Luma.Rect.Size(), c.want)
			}
			n := 0
			for _, v := range p.Luma.Pix {
				if v < 64 {
					n++
				}
			}
			if (n > 0) != c.dark {
				t.Errorf("%d dark pixels", n)
			}
		})
	}
}

func TestSeveralPages(t *testing.T) {
	a, b := scan(40, 30), scan(60, 20)
	raw := build(sheet{w: 40, h: 30, content: "q 40 0 0 30 0 0 cm /I0 Do Q", on: []picture{packed(a)}},
		sheet{w: 60, h: 20, content: "q 60 0 0 20 0 0 cm /I0 Do Q", on: []picture{packed(b)}})
	if n, err := engine.Pages(raw); n != 2 || err != nil {
		t.Fatalf("%d pages, %v", n, err)
	}
	same(t, page(t, raw, 0).Luma, a)
	same(t, page(t, raw, 1).Luma, b)
	if _, err := engine.Page(raw, 2, limit); err == nil {
		t.Error("there is a third page")
	}
}

// TestRefused: what must not or cannot be drawn, with the reason.
func TestRefused(t *testing.T) {
	encrypted, err := os.ReadFile(filepath.Join("..", "testdata", "kinds", "encrypted.pdf"))
	if err != nil {
		t.Fatal(err)
	}
	small := packed(scan(4, 4))
	huge := small
	huge.w, huge.h = 60000, 60000
	good := build(sheet{w: 40, h: 30, content: "q 40 0 0 30 0 0 cm /I0 Do Q", on: []picture{packed(scan(40, 30))}})
	tests := []struct {
		name string
		raw  []byte
		want error
		says string
	}{
		{"encrypted", encrypted, reason.ErrUnsupported, "save it without a password"},
		{"no pages", build(), reason.ErrNotPicture, "no pages"},
		{"half", good[:len(good)/2], reason.ErrNotPicture, "damaged PDF"},
		{"no PDF at all", []byte("%PDF-1.4\nthen nothing"), reason.ErrNotPicture, "damaged PDF"},
		{"a picture of 3600 megapixels", build(sheet{w: 40, h: 30, content: "q 40 0 0 30 0 0 cm /I0 Do Q", on: []picture{huge}}), reason.ErrTooLarge, "60000 x 60000 pixels, the limit is 20 megapixels"},
		{"a page of five metres", build(sheet{w: 14400, h: 14400, content: "0 0 m 100 100 l S"}), reason.ErrTooLarge, "5080 x 5080 mm"},
		{"a page without end", build(sheet{w: 1e30, h: 1e30, content: "0 0 m 100 100 l S"}), nil, ""},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			_, err := engine.Pages(c.raw)
			if err == nil {
				_, err = engine.Page(c.raw, 0, limit)
			}
			if c.want == nil {
				return // any end will do, as long as it ends
			}
			if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v, want %v with %q", err, c.want, c.says)
			}
		})
	}
}

// TestBombs: what small files unpack to is bounded: a picture takes the room of the
// pixels that it claims, however much lies behind them, and a page whose drawing
// goes on and on ends in the memory that the sandbox may have.
func TestBombs(t *testing.T) {
	const may = 96 << 20
	whole := "q 40 0 0 30 0 0 cm /I0 Do Q"
	grey := "/ColorSpace /DeviceGray /BitsPerComponent 8 /Filter "
	long := bomb(512 << 20)
	tests := []struct {
		name string
		s    sheet
		most int64
		want error
	}{
		{"a picture", sheet{w: 40, h: 30, content: whole, on: []picture{{w: 40, h: 30, data: long, dict: grey + "/FlateDecode"}}}, 32 << 20, nil},
		{"a picture packed twice", sheet{w: 40, h: 30, content: whole, on: []picture{{w: 40, h: 30, data: deflated(long), dict: grey + "[/FlateDecode /FlateDecode]"}}}, 32 << 20, nil},
		{"a page's drawing", sheet{w: 40, h: 30, content: string(deflated(long)), filter: "[/FlateDecode /FlateDecode]"}, may, reason.ErrNotPicture},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			cache := new(sandbox.Cache)
			e := New(cache)
			e.memory = may
			_, err := e.Page(build(c.s), 0, limit)
			if !errors.Is(err, c.want) || err != nil && strings.Contains(err.Error(), "\n") {
				t.Errorf("error %v, want %v in a line", err, c.want)
			}
			if most := cache.Most(); most == 0 || most > c.most {
				t.Errorf("it took %d MB of %d", most>>20, c.most>>20)
			}
			// A picture after it is drawn as if nothing had been.
			g := scan(40, 30)
			p, err := e.Page(build(sheet{w: 40, h: 30, content: whole, on: []picture{packed(g)}}), 0, limit)
			if err != nil {
				t.Fatal(err)
			}
			same(t, p.Luma, g)
		})
	}
	if e := New(new(sandbox.Cache)); e.memory != 1<<30 {
		t.Errorf("the sandbox may have %d MB", e.memory>>20)
	}
}

func TestBands(t *testing.T) {
	// More than a band: rows of all bands are in their places.
	g := image.NewGray(image.Rect(0, 0, 5000, 3600))
	for i := range g.Pix {
		g.Pix[i] = uint8(i/5000*7 + i%5000/100)
	}
	same(t, page(t, build(sheet{w: 500, h: 360, content: "q 500 0 0 360 0 0 cm /I0 Do Q", on: []picture{packed(g)}}), 0).Luma, g)
}
