package decode

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"testing"

	"tankroll/internal/timeup"
)

// scans is a grey progressive JPEG of w x h pixels and n scans, each of which goes over
// all of them and says in a few bytes that nothing changes.
func scans(w, h, n int) []byte {
	out := []byte("\xff\xd8")
	add := func(marker byte, body ...byte) {
		out = append(binary.BigEndian.AppendUint16(append(out, 0xff, marker), uint16(len(body)+2)), body...)
	}
	blocks := (w + 7) / 8 * ((h + 7) / 8)
	one := append([]byte{1}, bytes.Repeat([]byte{0}, 15)...) // a table of one code, of one bit
	add(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...)...)
	add(0xc2, 8, byte(h>>8), byte(h), byte(w>>8), byte(w), 1, 1, 0x11, 0)
	add(0xc4, append(append([]byte{0x00}, one...), 0)...)    // no change of brightness
	add(0xc4, append(append([]byte{0x10}, one...), 0xe0)...) // the end of a run of blocks, 14 bits long
	add(0xda, 1, 1, 0, 0, 0, 0)
	out = append(out, make([]byte, (blocks+7)/8)...)
	// A run of 16384 blocks is the code and 14 bits that add nothing to it.
	runs := make([]byte, ((blocks+16383)/16384*15+7)/8)
	for range n {
		add(0xda, 1, 1, 0, 1, 63, 0)
		out = append(out, runs...)
	}
	return append(out, 0xff, 0xd9)
}

// TestTimeEndsDecoding: whenever the time is up, what is being decoded stops at the next
// bytes, or the next row of a TIFF, that it wants.
func TestTimeEndsDecoding(t *testing.T) {
	const bytesAtOnce = 256
	tests := []struct {
		name  string
		raw   []byte
		least int // looks
	}{
		{"JPEG", jpegOf(t, corners(640, 480)), 0},
		{"JPEG of many scans", scans(160, 120, 500), 0},
		{"PNG", kind(t, "colour-16.png"), 0},
		{"WebP", kind(t, "colour-lossless.webp"), 0},
		{"TIFF", kind(t, "colour-none.tif"), 64},
		{"TIFF, tiles", kind(t, "colour-tiles.tif"), 64},
		{"TIFF, planes", kind(t, "colour-separate.tif"), 3 * 64},
		{"TIFF, JPEG strips", kind(t, "colour-jpeg.tif"), 0},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			f, err := testDecoder.Open(t.Context(), c.raw, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			whole := &timeup.Context{Context: t.Context(), Most: 1 << 30}
			if _, err := f.Page(whole, 0); err != nil {
				t.Fatal(err)
			}
			least := c.least
			if least == 0 {
				least = max(len(c.raw)/bytesAtOnce*3/4, 2) // not all of a file are pixels
			}
			if whole.Looks < least {
				t.Errorf("time is looked at %d times, want %d", whole.Looks, least)
			}
			for most := range whole.Looks {
				l := &timeup.Context{Context: t.Context(), Most: most}
				if p, err := f.Page(l, 0); !errors.Is(err, context.DeadlineExceeded) || p.Luma != nil || l.Looks != most+1 {
					t.Fatalf("the time was up at look %d of %d: %v, looked at %d times", most, whole.Looks, err, l.Looks)
				}
			}
			if _, err := f.Page(&timeup.Context{Context: t.Context(), Most: whole.Looks}, 0); err != nil {
				t.Error(err)
			}
		})
	}
}
