package decode

import (
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen: whatever the bytes, opening and decoding end with pages of the size
// that they claim or with one of the known reasons.
func FuzzOpen(f *testing.F) {
	small := corners(24, 16)
	photo := jpegOf(f, small)
	f.Add([]byte{})
	f.Add(photo)
	f.Add(photo[:len(photo)/2])
	f.Add(withExif(photo, exif(binary.LittleEndian, "II", 6)))
	f.Add(pngOf(f, small))
	f.Add(tiffOf(f, small))
	f.Add(claim(60000, 60000))
	f.Add([]byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00"))
	kinds := []error{ErrEmpty, ErrNotPicture, ErrTruncated, ErrTooLarge, ErrUnsupported}
	files, err := filepath.Glob(filepath.Join("testdata", "kinds", "*"))
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		if raw, err := os.ReadFile(name); err == nil && len(raw) < 3000 {
			f.Add(raw)
		}
	}
	ctx := f.Context()
	f.Fuzz(func(t *testing.T, raw []byte) {
		known := func(err error) {
			for _, k := range kinds {
				if errors.Is(err, k) {
					return
				}
			}
			t.Errorf("an error without a kind: %v", err)
		}
		// Small limits keep the memory small: what is claimed beyond them must
		// not be decoded.
		const pixels = 1 << 16
		if kind := sniff(raw); kind == "HEIC" || kind == "PDF" {
			return // they have targets of their own, without a child process
		}
		file, err := testDecoder.Open(ctx, raw, Limits{Bytes: 1 << 16, Pixels: pixels, Pages: 3})
		if err != nil {
			known(err)
			return
		}
		if file.Pages() < 1 || file.Pages() > 3 {
			t.Fatalf("%d pages", file.Pages())
		}
		for n := range file.Pages() {
			p, err := file.Page(ctx, n)
			if err != nil {
				known(err)
				continue
			}
			if size := p.Luma.Rect.Size(); size.X*size.Y > pixels || len(p.Luma.Pix) != size.X*size.Y {
				t.Errorf("%v pixels in %d bytes", size, len(p.Luma.Pix))
			}
			if (p.Cb == nil) != (p.Cr == nil) {
				t.Error("one colour plane without the other")
			}
		}
	})
}
