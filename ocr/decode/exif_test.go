package decode

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"testing"
)

// exif is a directory with the orientation alone.
func exif(order binary.AppendByteOrder, mark string, o uint16) []byte {
	b := append([]byte(mark), order.AppendUint16(nil, 42)...)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 1)
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, o)
	return append(b, 0, 0, 0, 0, 0, 0)
}

func withExif(raw, exif []byte) []byte {
	body := append([]byte("Exif\x00\x00"), exif...)
	out := append([]byte{}, raw[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(append(out, body...), raw[2:]...)
}

// stored is how a camera that was held in one of eight ways stores g: the way
// EXIF defines them, by where the stored first row and column are seen.
func stored(g *image.Gray, o int) *image.Gray {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	row := map[int]func(i, k int) (x, y int){ // stored row i, column k
		1: func(i, k int) (int, int) { return k, i },                 // row at the top, column at the left
		2: func(i, k int) (int, int) { return w - 1 - k, i },         // top, right
		3: func(i, k int) (int, int) { return w - 1 - k, h - 1 - i }, // bottom, right
		4: func(i, k int) (int, int) { return k, h - 1 - i },         // bottom, left
		5: func(i, k int) (int, int) { return i, k },                 // left, top
		6: func(i, k int) (int, int) { return w - 1 - i, k },         // right, top
		7: func(i, k int) (int, int) { return w - 1 - i, h - 1 - k }, // right, bottom
		8: func(i, k int) (int, int) { return i, h - 1 - k },         // left, bottom
	}[o]
	sw, sh := w, h
	if o >= 5 {
		sw, sh = h, w
	}
	out := image.NewGray(image.Rect(0, 0, sw, sh))
	for i := range sh {
		for k := range sw {
			x, y := row(i, k)
			out.Pix[i*sw+k] = g.Pix[y*w+x]
		}
	}
	return out
}

func TestOrientation(t *testing.T) {
	want := corners(64, 32)
	for o := 1; o <= 8; o++ {
		for mark, order := range map[string]binary.AppendByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			raw := withExif(jpegOf(t, stored(want, o)), exif(order, mark, uint16(o)))
			p, err := load(raw, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			alike(t, fmt.Sprintf("JPEG %s %d", mark, o), p.Luma, want)
		}
		body := append([]byte("eXIf"), exif(binary.BigEndian, "MM", uint16(o))...)
		chunk := binary.BigEndian.AppendUint32(nil, uint32(len(body)-4))
		chunk = binary.BigEndian.AppendUint32(append(chunk, body...), crc32.ChecksumIEEE(body))
		raw := pngOf(t, stored(want, o))
		end := bytes.LastIndex(raw, []byte("IDAT")) - 4
		raw = append(append(append([]byte{}, raw[:end]...), chunk...), raw[end:]...)
		p, err := load(raw, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		alike(t, fmt.Sprintf("PNG %d", o), p.Luma, want)
	}
}

// TestOddExif: a mark that makes no sense leaves the picture as it is stored.
func TestOddExif(t *testing.T) {
	want := corners(64, 32)
	for name, e := range map[string][]byte{
		"nine": exif(binary.LittleEndian, "II", 9), "zero": exif(binary.LittleEndian, "II", 0),
		"cut short": exif(binary.LittleEndian, "II", 6)[:15], "empty": {}, "no directory": []byte("II*\x00\xff\xff\xff\xff"),
	} {
		p, err := load(withExif(jpegOf(t, want), e), Limits{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		alike(t, name, p.Luma, want)
	}
}
