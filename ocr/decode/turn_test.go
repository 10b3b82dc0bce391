package decode

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"testing"
)

// webpWith wraps a lossless WebP and an EXIF block in the extended form.
func webpWith(t *testing.T, raw, exif []byte, w, h int) []byte {
	t.Helper()
	chunk := func(name string, body []byte) []byte {
		out := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body)))
		if out = append(out, body...); len(body)%2 == 1 {
			out = append(out, 0)
		}
		return out
	}
	const hasExif = 1 << 3
	head := []byte{hasExif, 0, 0, 0, byte(w - 1), byte((w - 1) >> 8), 0, byte(h - 1), byte((h - 1) >> 8), 0}
	body := append([]byte("WEBP"), chunk("VP8X", head)...)
	body = append(body, raw[12:]...)
	body = append(body, chunk("EXIF", exif)...)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// greyTIFF writes a TIFF with an orientation, one row a strip.
func greyTIFF(order binary.AppendByteOrder, mark string, g *image.Gray, orientation int) []byte {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	out := order.AppendUint32(append([]byte(mark), order.AppendUint16(nil, 42)...), 8)
	entries := [][4]int{{256, 3, 1, w}, {257, 3, 1, h}, {258, 3, 1, 8}, {259, 3, 1, 1}, {262, 3, 1, 1},
		{273, 4, 1, 0}, {274, 3, 1, orientation}, {278, 3, 1, h}, {279, 4, 1, w * h}}
	start := 8 + 2 + 12*len(entries) + 4
	out = order.AppendUint16(out, uint16(len(entries)))
	for _, e := range entries {
		if e[0] == 273 {
			e[3] = start
		}
		out = order.AppendUint16(order.AppendUint16(out, uint16(e[0])), uint16(e[1]))
		out = order.AppendUint32(out, uint32(e[2]))
		if e[1] == 3 {
			out = order.AppendUint16(order.AppendUint16(out, uint16(e[3])), 0)
		} else {
			out = order.AppendUint32(out, uint32(e[3]))
		}
	}
	return append(order.AppendUint32(out, 0), g.Pix...)
}

// heicWith puts transformations into a HEIC of one item: boxes of properties that
// it is to be shown by, in order.
func heicWith(t *testing.T, raw []byte, properties ...[]byte) []byte {
	t.Helper()
	at := func(name string) int {
		i := bytes.Index(raw, []byte(name))
		if i < 4 {
			t.Fatalf("the HEIC has no %s", name)
		}
		return i - 4
	}
	size := func(i int) int { return int(binary.BigEndian.Uint32(raw[i:])) }
	meta, iprp, ipco, ipma, iloc := at("meta"), at("iprp"), at("ipco"), at("ipma"), at("iloc")
	have, grown := 0, 0
	for i := ipco + 8; i < ipco+size(ipco); i += size(i) {
		have++
	}
	out := bytes.Clone(raw)
	grow := func(i, by int) {
		binary.BigEndian.PutUint32(out[i:], binary.BigEndian.Uint32(out[i:])+uint32(by))
	}
	var boxes, links []byte
	for i, p := range properties {
		boxes = append(boxes, p...)
		links = append(links, 0x80|byte(have+1+i)) // essential
	}
	grown = len(boxes) + len(links)
	grow(meta, grown)
	grow(iprp, grown)
	grow(ipco, len(boxes))
	grow(ipma, len(links))
	// ipma: head, count of items, then for the one item its id and its links.
	out[ipma+18] += byte(len(links))
	// iloc: the picture's place in the file; the base of its one extent.
	extent := iloc + 8 + 4 + 2 + 2 + 2 + 2
	if raw[iloc+8] == 1 { // a newer version has one more number
		extent += 2
	}
	grow(extent, grown)
	tail := ipma + size(ipma)
	end := ipco + size(ipco)
	out = append(append(append([]byte{}, out[:end]...), boxes...), append(append(append([]byte{}, out[end:tail]...), links...), out[tail:]...)...)
	return out
}

func irot(quarters byte) []byte { return []byte{0, 0, 0, 9, 'i', 'r', 'o', 't', quarters} } // against the clock
func imir(axis byte) []byte     { return []byte{0, 0, 0, 9, 'i', 'm', 'i', 'r', axis} }     // 1: left and right change

// TestTurns: every format's own mark of how the camera was held is obeyed, once.
func TestTurns(t *testing.T) {
	want := corners(64, 32)
	for o := 1; o <= 8; o++ {
		for mark, order := range map[string]binary.AppendByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			p, err := load(greyTIFF(order, mark, stored(want, o), o), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			alike(t, fmt.Sprintf("TIFF %s %d", mark, o), p.Luma, want)
		}
	}
	lossless := kind(t, "colour-lossless.webp")
	flat, err := load(lossless, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for o := 1; o <= 8; o++ {
		p, err := load(webpWith(t, lossless, exif(binary.LittleEndian, "II", uint16(o)), 96, 64), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(stored(p.Luma, o).Pix, flat.Luma.Pix) {
			t.Errorf("WebP %d is not turned as it should be", o)
		}
	}
}

func TestTurnsHEIC(t *testing.T) {
	boxes := map[int][][]byte{1: nil, 2: {imir(1)}, 3: {irot(2)}, 4: {imir(0)}, 5: {irot(3), imir(1)}, 6: {irot(3)}, 7: {irot(1), imir(1)}, 8: {irot(1)}}
	for _, name := range []string{"grey.heic", "colour.heic"} {
		raw := kind(t, name)
		flat, err := load(raw, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		for o := 1; o <= 8; o++ {
			p, err := load(heicWith(t, raw, boxes[o]...), Limits{})
			if err != nil {
				t.Errorf("%s, turn %d: %v", name, o, err)
				continue
			}
			for plane, pair := range [][2]*image.Gray{{p.Luma, flat.Luma}, {p.Cb, flat.Cb}, {p.Cr, flat.Cr}} {
				if pair[1] == nil {
					continue
				}
				if back := stored(pair[0], o); back.Rect != pair[1].Rect || !bytes.Equal(back.Pix, pair[1].Pix) {
					t.Errorf("%s, turn %d: plane %d is not turned as it should be: %v", name, o, plane, pair[0].Rect)
				}
			}
		}
	}
	// EXIF in a HEIC says how it was turned, not how it is to be turned.
	p, err := load(kind(t, "grey-exif-6.heic"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if p.Luma.Rect.Dx() != 96 || p.Luma.Rect.Dy() != 64 {
		t.Errorf("a HEIC was turned by its EXIF: %v", p.Luma.Rect)
	}
}
