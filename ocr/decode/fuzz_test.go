package decode

import (
	"encoding/binary"
	"errors"
	"image"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

// mayTake is how many bytes may be allocated, together, while a file is opened and
// its pages are decoded: a decoder's tables, some for each pixel of three pages, and
// some for each byte. Of a lossless WebP those are many: each of its codes unpacks to
// a kilobyte and is told in a few bits.
func mayTake(kind string, file, pixels int) uint64 {
	each := 16
	if kind == "WebP" {
		each = 2500
	}
	return 4<<20 + uint64(3*64*pixels) + uint64(each*file)
}

// mayLast is how long one file may take, with the slowest machine and much beside it.
const mayLast = 20 * time.Second

// FuzzOpen: whatever the bytes, opening and decoding end with pages of the size
// that they claim or with one of the known reasons, soon, and without much memory.
// Of a HEIC the header is looked at; what the child does, which takes a hundredth of
// a second and more, has targets of its own.
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
	f.Add(pngOf(f, image.NewGray(image.Rect(0, 0, 5000, 5000)))) // some kilobytes
	f.Add(tiled(f, kind(f, "grey.heic"), 2, 1, [2]int{192, 64}, [2]int{192, 64}, 3))
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
		kind := sniff(raw)
		if kind == "PDF" {
			return
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		defer func() {
			runtime.ReadMemStats(&after)
			if took, may := after.TotalAlloc-before.TotalAlloc, mayTake(kind, len(raw), pixels); took > may {
				t.Errorf("%d KB were allocated for %d bytes, %d may be", took>>10, len(raw), may>>10)
			}
			if took := time.Since(start); took > mayLast {
				t.Errorf("it took %v", took)
			}
		}()
		file, err := testDecoder.Open(ctx, raw, Limits{Bytes: 1 << 16, Pixels: pixels, Pages: 3})
		if err != nil {
			known(err)
			return
		}
		if file.Pages() < 1 || file.Pages() > 3 {
			t.Fatalf("%d pages", file.Pages())
		}
		if kind == "HEIC" {
			return
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
