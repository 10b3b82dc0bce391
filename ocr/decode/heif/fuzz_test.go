package heif

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tankroll/ocr/decode/reason"
	"tankroll/ocr/decode/sandbox"
)

var engine = New(new(sandbox.Cache))

func seeds(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "kinds", "*.heic"))
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
}

func known(t *testing.T, err error) {
	t.Helper()
	for _, r := range []error{reason.ErrNotPicture, reason.ErrTruncated, reason.ErrTooLarge, reason.ErrUnsupported} {
		if errors.Is(err, r) {
			return
		}
	}
	t.Errorf("an error without a reason: %v", err)
}

// FuzzCheck: the walk through the boxes ends on any bytes.
func FuzzCheck(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		if err := Check(raw, 1<<16); err != nil {
			known(t, err)
		}
	})
}

// FuzzPicture: any bytes give a picture within the limit or an error with a
// reason.
func FuzzPicture(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		const limit = 1 << 16
		p, err := engine.Picture(raw, limit)
		if err != nil {
			known(t, err)
			return
		}
		if size := p.Luma.Rect.Size(); size.X*size.Y > limit || len(p.Luma.Pix) != size.X*size.Y {
			t.Errorf("%v pixels in %d bytes", size, len(p.Luma.Pix))
		}
	})
}
