package face

import (
	"encoding/binary"
	"testing"
)

// tinyPCF is a font of the characters ! to ~ as boxes of 6 x 8 dots, hollow but for
// the capitals, which are full. Layout: https://fontforge.org/docs/techref/pcf-format.html,
// written from memory.
func tinyPCF() []byte {
	const n, rows = '~' - '!' + 1, 8
	le := binary.LittleEndian
	metrics := le.AppendUint32(nil, 0x100) // compressed
	metrics = le.AppendUint16(metrics, n)
	bitmaps := le.AppendUint32(nil, 0) // rows padded to bytes, low bit first
	bitmaps = le.AppendUint32(bitmaps, n)
	encodings := le.AppendUint32(nil, 0)
	for _, v := range []uint16{'!', '~', 0, 0, 0} {
		encodings = le.AppendUint16(encodings, v)
	}
	var dots []byte
	for i := range n {
		metrics = append(metrics, 128, 128+6, 128+6, 128+7, 128+1)
		encodings = le.AppendUint16(encodings, uint16(i))
		bitmaps = le.AppendUint32(bitmaps, uint32(i*rows))
		for y := range rows {
			row := byte(0b100001)
			if y == 0 || y == rows-1 || '!'+i >= 'A' && '!'+i <= 'Z' {
				row = 0b111111
			}
			dots = append(dots, row)
		}
	}
	bitmaps = append(append(bitmaps, make([]byte, 16)...), dots...)
	out := []byte("\x01fcp")
	out = le.AppendUint32(out, 3)
	at := 8 + 3*16
	tables := [][]byte{metrics, bitmaps, encodings}
	for i, t := range tables {
		for _, v := range []uint32{[]uint32{pcfMetrics, pcfBitmaps, pcfEncodings}[i], le.Uint32(t), uint32(len(t)), uint32(at)} {
			out = le.AppendUint32(out, v)
		}
		at += len(t)
	}
	for _, t := range tables {
		out = append(out, t...)
	}
	return out
}

func TestPCF(t *testing.T) {
	p := pcf{b: tinyPCF()}
	f, err := p.face("tiny")
	if err != nil {
		t.Fatal(err)
	}
	if f.Columns != 6 || f.Dots != 7 || len(f.Glyphs) != 94 {
		t.Fatalf("%d columns, capitals of %d dots, %d characters", f.Columns, f.Dots, len(f.Glyphs))
	}
	dot := Master / 7.0
	for r, want := range map[rune]float64{'H': 1, 'o': 0} {
		if got := f.Glyphs[r].Cover(2*dot, -4*dot, 4*dot, -2*dot); got != want {
			t.Errorf("%c is covered by %.2f in its middle, want %.0f", r, got, want)
		}
	}
}

// A font that is cut short or damaged is an error.
func TestDamagedPCF(t *testing.T) {
	whole := tinyPCF()
	for n := range len(whole) {
		p := pcf{b: whole[:n]}
		if _, err := p.face("cut"); err == nil {
			t.Fatalf("cut to %d of %d bytes: no error", n, len(whole))
		}
	}
	for i := range whole {
		b := append([]byte(nil), whole...)
		b[i] ^= 0xff
		p := pcf{b: b}
		_, _ = p.face("damaged") // may be another font, must return
	}
}
