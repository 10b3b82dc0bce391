package face

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// loadDots reads a console font of dots in the PC Screen Font format, version 1
// or 2, packed with gzip. Characters are taken at their ASCII places, where all
// console fonts of western languages have them.
func loadDots(file string) (*Face, error) {
	b, err := unpacked(file, 1<<20)
	if err != nil {
		return nil, err
	}
	var head, size, w, h int
	switch {
	case len(b) > 32 && binary.LittleEndian.Uint32(b) == 0x864ab572:
		u := func(i int) int { return int(binary.LittleEndian.Uint32(b[4*i:])) }
		head, size, h, w = u(2), u(5), u(6), u(7)
	case len(b) > 4 && b[0] == 0x36 && b[1] == 0x04:
		head, size, h, w = 4, int(b[3]), int(b[3]), 8
	default:
		return nil, fmt.Errorf("not a console font")
	}
	rows := (w + 7) / 8
	if w < 5 || w > 64 || h < 7 || h > 64 || size != rows*h || len(b) < head+127*size {
		return nil, fmt.Errorf("not a console font")
	}
	on := func(r rune, x, y int) bool {
		return b[head+int(r)*size+y*rows+x/8]>>(7-x%8)&1 == 1
	}
	top, base := h, 0 // rows of a capital
	for y := range h {
		for x := range w {
			if on('H', x, y) {
				top, base = min(top, y), max(base, y+1)
			}
		}
	}
	if base-top < 6 {
		return nil, fmt.Errorf("no capitals")
	}
	dot := float64(Master) / float64(base-top)
	f := &Face{Name: filepath.Base(file), Advance: float64(w) * dot, Glyphs: map[rune]*Letter{}, Dots: base - top, Columns: w}
	for r := '!'; r <= '~'; r++ {
		l := &Letter{W: int(float64(w)*dot + 0.5), H: int(float64(h)*dot + 0.5), Y: -int(float64(base)*dot + 0.5)}
		l.pix = make([]uint8, l.W*l.H)
		for y := range l.H {
			for x := range l.W {
				if on(r, min(int(float64(x)/dot), w-1), min(int(float64(y)/dot), h-1)) {
					l.pix[y*l.W+x] = 255
				}
			}
		}
		f.Glyphs[r] = l
	}
	return f, nil
}

// unpacked is what a file packed with gzip holds, up to most bytes.
func unpacked(file string, most int64) ([]byte, error) {
	raw, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	z, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(io.LimitReader(z, most))
}
