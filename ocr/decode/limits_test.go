package decode

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestPixelLimit: each kind at its number of pixels is read, with one pixel less
// it is refused.
func TestPixelLimit(t *testing.T) {
	files, err := os.ReadDir(filepath.Join("testdata", "kinds"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		name := f.Name()
		if name == "encrypted.pdf" || name == "big.tif" {
			continue
		}
		raw := kind(t, name)
		if _, err := load(raw, Limits{Pixels: 96 * 64}); err != nil {
			t.Errorf("%s at the limit: %v", name, err)
		}
		_, err := load(raw, Limits{Pixels: 96*64 - 1})
		if !errors.Is(err, ErrTooLarge) || !strings.Contains(err.Error(), "the limit is") {
			t.Errorf("%s with a pixel too many: %v", name, err)
		}
	}
}

func TestMorePageLimits(t *testing.T) {
	ctx := context.Background()
	two := kind(t, "plain-pages.pdf")
	if f, err := testDecoder.Open(ctx, two, Limits{Pages: 2}); err != nil || f.Pages() != 2 {
		t.Errorf("a PDF of two pages: %v", err)
	}
	if _, err := testDecoder.Open(ctx, two, Limits{Pages: 1}); !errors.Is(err, ErrTooLarge) || !strings.Contains(err.Error(), "2 pages, the limit is 1") {
		t.Errorf("a PDF with a page too many: %v", err)
	}
	if _, err := load(kind(t, "big.tif"), Limits{}); !errors.Is(err, ErrUnsupported) {
		t.Errorf("a BigTIFF: %v", err)
	}
}

// TestBombs: small files that claim or unpack to much are refused, or end, before
// they take memory.
func TestBombs(t *testing.T) {
	grey := kind(t, "grey.tif")
	put16 := func(raw []byte, tag, value uint16) []byte {
		out := bytes.Clone(raw)
		at := int(binary.LittleEndian.Uint32(out[4:])) + 2
		for ; binary.LittleEndian.Uint16(out[at:]) != tag; at += 12 {
		}
		binary.LittleEndian.PutUint16(out[at+8:], value)
		return out
	}
	jpg := bytes.Clone(kind(t, "grey.jpg"))
	sof := bytes.Index(jpg, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(jpg[sof+5:], 65000)
	binary.BigEndian.PutUint16(jpg[sof+7:], 65000)
	webp := bytes.Clone(kind(t, "colour-lossless.webp"))
	at := bytes.Index(webp, []byte("VP8L")) + 9
	binary.LittleEndian.PutUint32(webp[at:], 0x0fffffff) // 16384 x 16384
	heic := bytes.Clone(kind(t, "grey.heic"))
	ispe := bytes.Index(heic, []byte("ispe")) + 8
	binary.BigEndian.PutUint32(heic[ispe:], 60000)
	binary.BigEndian.PutUint32(heic[ispe+4:], 60000)
	inTIFF := bytes.Replace(kind(t, "grey-jpeg.tif"), []byte{0xff, 0xc0, 0, 11, 8, 0, 16, 0, 96}, []byte{0xff, 0xc0, 0, 11, 8, 0xff, 0xff, 0xff, 0xff}, 1)
	if bytes.Equal(inTIFF, kind(t, "grey-jpeg.tif")) {
		t.Fatal("the strip's size was not found")
	}
	tests := []struct {
		name string
		raw  []byte
		want error
	}{
		{"JPEG", jpg, ErrTooLarge},
		{"PNG", claim(60000, 60000), ErrTooLarge},
		{"WebP", webp, ErrTooLarge},
		{"HEIC, by its header", heic, ErrTooLarge},
		{"TIFF", put16(put16(grey, 256, 60000), 257, 60000), ErrTooLarge},
		{"TIFF with a huge JPEG in a strip", inTIFF, ErrNotPicture},
		{"TIFF with a tall strip", put16(grey, 278, 60000), nil},
		{"TIFF that deflates to a quarter of a gigabyte", deflateBomb(t), nil},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := load(c.raw, Limits{})
			runtime.ReadMemStats(&after)
			if !errors.Is(err, c.want) {
				t.Errorf("error %v, want %v", err, c.want)
			}
			if took := after.TotalAlloc - before.TotalAlloc; took > 4<<20 {
				t.Errorf("%d MB were allocated", took>>20)
			}
		})
	}
}

// deflateBomb is a TIFF of 96 x 64 pixels whose strip goes on for a quarter of a
// gigabyte.
func deflateBomb(t *testing.T) []byte {
	var z bytes.Buffer
	w := zlib.NewWriter(&z)
	block := make([]byte, 1<<20)
	for range 256 {
		w.Write(block)
	}
	w.Close()
	raw := greyTIFF(binary.LittleEndian, "II", corners(96, 64), 1)
	head := raw[:len(raw)-96*64]
	for e := 10; e+12 <= len(head); e += 12 {
		switch binary.LittleEndian.Uint16(head[e:]) {
		case 259:
			binary.LittleEndian.PutUint16(head[e+8:], 8)
		case 279:
			binary.LittleEndian.PutUint32(head[e+8:], uint32(z.Len()))
		}
	}
	return append(head, z.Bytes()...)
}
