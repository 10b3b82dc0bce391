package ocr

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// FuzzPages: whatever the bytes, reading ends with one of the known reasons or with slips
// whose corners and boxes lie on the page.
func FuzzPages(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("decode", "testdata", "kinds", "*"))
	if err != nil || len(files) == 0 {
		f.Fatalf("%d kinds, %v", len(files), err)
	}
	for _, name := range files {
		if raw, err := os.ReadFile(name); err == nil && len(raw) < 3000 {
			f.Add(raw)
		}
	}
	const pixels = 1 << 17
	r, err := NewReader(Options{Limits: Limits{Bytes: 1 << 17, Pixels: pixels, Pages: 2, Time: 10 * time.Second}, Workers: 1})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { r.Close() })
	for _, raw := range smallSlip(f) {
		f.Add(raw)
	}
	known := []error{ErrEmpty, ErrNotPicture, ErrTruncated, ErrTooLarge, ErrUnsupported, ErrTime}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for p, err := range r.Pages(t.Context(), raw) {
			if err == nil {
				err = p.Err
			}
			if err != nil {
				isKnown := false
				for _, k := range known {
					isKnown = isKnown || errors.Is(err, k)
				}
				if !isKnown {
					t.Errorf("an error without a kind: %v", err)
				}
				if len(p.Slips) > 0 {
					t.Errorf("%d slips beside the error %v", len(p.Slips), err)
				}
				continue
			}
			if p.Size.X*p.Size.Y > pixels || p.Size.X*p.Size.Y <= 0 {
				t.Errorf("a page of %v", p.Size)
			}
			for _, s := range p.Slips {
				onPage(t, p.Size, s)
			}
		}
	})
}

// TestSmallSlip: of the slip from which FuzzPages starts lines are read, so that something
// is asked of them.
func TestSmallSlip(t *testing.T) {
	r := testReader(t, Options{})
	for _, raw := range smallSlip(t) {
		if p := readOne(t, r, raw); p.Err != nil || len(p.Slips) != 1 || len(p.Slips[0].Text()) < 5 {
			t.Errorf("%d slips, error %v", len(p.Slips), p.Err)
		}
	}
}

// onPage checks that a slip and all on it lie on a page, and that what is trusted is so
// from nothing to all.
func onPage(t *testing.T, size image.Point, s record.Slip) {
	t.Helper()
	for _, c := range s.Corners {
		if !along(c.X, size.X) || !along(c.Y, size.Y) {
			t.Errorf("corners %v on a page of %v", s.Corners, size)
		}
	}
	box := func(b record.Box) {
		if b.W < 1 || b.H < 1 || !image.Rect(b.X, b.Y, b.X+b.W, b.Y+b.H).In(image.Rectangle{Max: size}) {
			t.Errorf("a box %v on a page of %v", b, size)
		}
	}
	share := func(v float64) {
		if !(v >= 0 && v <= 1) {
			t.Errorf("%v is no share", v)
		}
	}
	for _, v := range []float64{s.Paper.Ink, s.Paper.Sure.Corners, s.Paper.Sure.Turn, s.Paper.Sure.Ink,
		s.Paper.Sure.EndOfRoll, s.Paper.Sure.CutOff, s.Paper.Sure.Blurred} {
		share(v)
	}
	for _, l := range s.Lines {
		for _, w := range l.Words {
			box(w.Box)
			share(w.Confidence)
		}
	}
	for _, m := range s.Marks {
		box(m.Box)
	}
}

// along is whether v lies on a page so long, or as little beside it as a corner may where
// the slip runs off.
func along(v float64, long int) bool {
	const beside = 20
	return v >= -beside && v <= float64(long)+beside
}

// smallSlip is the head of a kept slip, whose few lines are soon read, as two kinds of
// file.
func smallSlip(t testing.TB) [][]byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "fixtures", "set", "0002-line-leak-test-march.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	page, err := decodeOne(raw)
	if err != nil {
		t.Fatal(err)
	}
	small := raster.FromGray(page.Luma).Sub(image.Rect(70, 70, 530, 350)).Gray(0, 255)
	var asJPEG, asPNG bytes.Buffer
	if err := errors.Join(jpeg.Encode(&asJPEG, small, nil), png.Encode(&asPNG, small)); err != nil {
		t.Fatal(err)
	}
	return [][]byte{asJPEG.Bytes(), asPNG.Bytes()}
}
