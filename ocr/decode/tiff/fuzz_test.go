package tiff

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tankroll/ocr/decode/reason"
)

// FuzzPage: whatever the bytes, a page has the size that it claims, or there is
// an error with a reason.
func FuzzPage(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "kinds", "*.tif"))
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, name := range files {
		raw, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		if len(raw) < 7000 {
			f.Add(raw)
		}
	}
	known := func(t *testing.T, err error) {
		for _, r := range []error{reason.ErrNotPicture, reason.ErrTruncated, reason.ErrTooLarge, reason.ErrUnsupported} {
			if errors.Is(err, r) {
				return
			}
		}
		t.Errorf("an error without a reason: %v", err)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		const limit = 1 << 16
		if len(raw) < 4 || string(raw[:2]) != "II" && string(raw[:2]) != "MM" {
			return // the format is told by these before
		}
		pages, err := Pages(raw, 3)
		if err != nil {
			known(t, err)
			return
		}
		for _, at := range pages {
			p, err := Page(t.Context(), raw, at, limit)
			if err != nil {
				known(t, err)
				continue
			}
			if size := p.Luma.Rect.Size(); size.X*size.Y > limit || len(p.Luma.Pix) != size.X*size.Y || (p.Cb == nil) != (p.Cr == nil) {
				t.Errorf("%v pixels in %d bytes", size, len(p.Luma.Pix))
			}
		}
	})
}
