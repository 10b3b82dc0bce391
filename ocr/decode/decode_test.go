package decode

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"golang.org/x/image/tiff"

	"tankroll/fixtures"
)

// corners is a small picture whose four quarters differ: upright it is bright at
// the top left, then darker clockwise.
func corners(w, h int) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(240)
			switch {
			case x >= w/2 && y < h/2:
				v = 170
			case x >= w/2:
				v = 100
			case y >= h/2:
				v = 30
			}
			g.Pix[y*w+x] = v
		}
	}
	return g
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func tiffOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// claim is a PNG of a few bytes whose header claims w x h pixels.
func claim(w, h uint32) []byte {
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), w), h)
	head = append(head, 8, 0, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, head...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(head))
}

func load(raw []byte, l Limits) (Page, error) {
	ctx := context.Background()
	f, err := testDecoder.Open(ctx, raw, l)
	if err != nil {
		return Page{}, err
	}
	return f.Page(ctx, 0)
}

// bad is one of the kept files that are no readable printout.
func bad(t *testing.T, name string) []byte {
	t.Helper()
	all, err := fixtures.BadFiles()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range all {
		if b.Name == name {
			return b.Raw
		}
	}
	t.Fatalf("there is no bad file %s", name)
	return nil
}

// cutStrip is a TIFF in which the last strip, a JPEG, has lost its second half.
func cutStrip(t *testing.T) []byte {
	t.Helper()
	raw := bytes.Clone(kind(t, "grey-jpeg.tif"))
	entry := bytes.Index(raw, []byte("\x17\x01\x03\x00\x04\x00\x00\x00")) // the lengths of four strips, 2 bytes each
	if entry < 0 {
		t.Fatal("the strips' lengths were not found")
	}
	last := raw[binary.LittleEndian.Uint32(raw[entry+8:])+6:]
	binary.LittleEndian.PutUint16(last, binary.LittleEndian.Uint16(last)/2)
	return raw
}

func TestErrors(t *testing.T) {
	photo := jpegOf(t, corners(64, 48))
	scan := tiffOf(t, corners(64, 48))
	twelveBits := bytes.Replace(photo, []byte{0xff, 0xc0, 0x00, 0x0b, 8}, []byte{0xff, 0xc0, 0x00, 0x0b, 12}, 1)
	damaged := bytes.Clone(photo)
	tables := bytes.Index(damaged, []byte{0xff, 0xc4})
	copy(damaged[tables+5:], bytes.Repeat([]byte{0xff}, 16)) // more codes than there can be
	marked := bytes.Clone(photo)
	copy(marked[len(marked)-20:], "\xff\x01") // none of those that may stand there
	if bytes.Equal(twelveBits, photo) {
		t.Fatal("the JPEG's frame was not found")
	}
	tests := []struct {
		name   string
		raw    []byte
		limits Limits
		want   error
	}{
		{"nothing", nil, Limits{}, ErrEmpty},
		{"text", []byte("Tank 2 passed on the 9th\n"), Limits{}, ErrNotPicture},
		{"a damaged JPEG", damaged, Limits{}, ErrNotPicture},
		{"half a photo", bad(t, "truncated.jpg"), Limits{}, ErrTruncated},
		{"a photo without its end", photo[:len(photo)-2], Limits{}, ErrTruncated},
		{"a marker amid a photo", marked, Limits{}, ErrNotPicture},
		{"half a JPEG", photo[:len(photo)*2/3], Limits{}, ErrTruncated},
		{"a JPEG's first bytes", photo[:20], Limits{}, ErrTruncated},
		{"half a PNG", pngOf(t, corners(64, 48))[:60], Limits{}, ErrTruncated},
		{"a TIFF's header", scan[:6], Limits{}, ErrTruncated},
		{"a TIFF without its directory", append([]byte("II*\x00\xff\xff\x00\x00"), 1, 2, 3), Limits{}, ErrTruncated},
		{"a TIFF's pixels cut off", greyTIFF(binary.LittleEndian, "II", corners(64, 48), 1)[:2000], Limits{}, ErrTruncated},
		{"a TIFF's directory cut off", greyTIFF(binary.LittleEndian, "II", corners(64, 48), 1)[:8+2+12*4], Limits{}, ErrTruncated},
		{"a JPEG in a TIFF cut off", cutStrip(t), Limits{}, ErrTruncated},
		{"many pixels, by the header alone", claim(60000, 60000), Limits{}, ErrTooLarge},
		{"a pixel too many", photo, Limits{Pixels: 64*48 - 1}, ErrTooLarge},
		{"a byte too many", photo, Limits{Bytes: int64(len(photo)) - 1}, ErrTooLarge},
		{"a GIF", []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), Limits{}, ErrUnsupported},
		{"a PDF's first bytes", []byte("%PDF-1.7\n"), Limits{}, ErrNotPicture},
		{"a HEIC's first bytes", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), Limits{}, ErrTruncated},
		{"an AVIF", []byte("\x00\x00\x00\x14ftypavif\x00\x00\x00\x00mif1"), Limits{}, ErrUnsupported},
		{"a film", []byte("\x00\x00\x00\x14ftypisom\x00\x00\x00\x00mp42"), Limits{}, ErrNotPicture},
		{"a BigTIFF", []byte("II+\x00\x08\x00\x00\x00"), Limits{}, ErrUnsupported},
		{"a BMP", append([]byte("BM"), make([]byte, 60)...), Limits{}, ErrUnsupported},
		{"a JPEG of 12 bits", twelveBits, Limits{}, ErrUnsupported},
	}
	kinds := []error{ErrEmpty, ErrNotPicture, ErrTruncated, ErrTooLarge, ErrUnsupported}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			_, err := load(c.raw, c.limits)
			for _, k := range kinds {
				if errors.Is(err, k) != (k == c.want) {
					t.Errorf("error %v, want %v", err, c.want)
				}
			}
		})
	}
}

// TestLimitsHold: what is right at a limit is read.
func TestLimitsHold(t *testing.T) {
	raw := jpegOf(t, corners(64, 48))
	if _, err := load(raw, Limits{Pixels: 64 * 48, Bytes: int64(len(raw))}); err != nil {
		t.Error(err)
	}
	f, err := testDecoder.Open(t.Context(), raw, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{-1, 1} {
		if _, err := f.Page(t.Context(), n); err == nil {
			t.Errorf("there is a page %d", n)
		}
	}
}

// TestFormats: the same picture comes out of every format.
func TestFormats(t *testing.T) {
	want := corners(64, 48)
	for name, raw := range map[string][]byte{"JPEG": jpegOf(t, want), "PNG": pngOf(t, want), "TIFF": tiffOf(t, want)} {
		p, err := load(raw, Limits{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		alike(t, name, p.Luma, want)
		if p.Cb != nil {
			t.Errorf("%s: a grey picture has colour", name)
		}
	}
}

// alike fails the test unless the pictures are the same but for what JPEG loses.
func alike(t *testing.T, name string, got, want *image.Gray) {
	t.Helper()
	if got.Rect.Size() != want.Rect.Size() {
		t.Errorf("%s: %v pixels, want %v", name, got.Rect.Size(), want.Rect.Size())
		return
	}
	w, h := want.Rect.Dx(), want.Rect.Dy()
	for _, p := range []image.Point{{X: w / 4, Y: h / 4}, {X: 3 * w / 4, Y: h / 4}, {X: 3 * w / 4, Y: 3 * h / 4}, {X: w / 4, Y: 3 * h / 4}} {
		if g, v := int(got.GrayAt(p.X, p.Y).Y), int(want.GrayAt(p.X, p.Y).Y); g < v-6 || g > v+6 {
			t.Errorf("%s: at %v is %d, want %d", name, p, g, v)
		}
	}
}

func TestColour(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	for y := range 30 {
		for x := range 40 {
			c := color.NRGBA{250, 250, 250, 255}
			switch {
			case x >= 30:
				c = color.NRGBA{R: 220, G: 40, B: 50, A: 255}
			case x >= 20:
				c = color.NRGBA{A: 0} // paper shows through
			}
			img.SetNRGBA(x, y, c)
		}
	}
	p, err := load(pngOf(t, img), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if p.Cb == nil || p.Cb.Rect.Dx() != (40+p.Step-1)/p.Step {
		t.Fatalf("colour planes %v, step %d", p.Cb, p.Step)
	}
	if v := p.Luma.GrayAt(25, 10).Y; v != 255 {
		t.Errorf("a transparent place is %d, want white", v)
	}
	if cr := p.Cr.GrayAt(32/p.Step, 3).Y; cr < 180 {
		t.Errorf("red has Cr %d", cr)
	}
	if cr := p.Cr.GrayAt(1, 3).Y; cr != 128 {
		t.Errorf("white has Cr %d", cr)
	}
}
