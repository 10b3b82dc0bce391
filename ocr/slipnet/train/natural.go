package main

import (
	"bufio"
	"encoding/binary"
	"math"

	"tankroll/ocr/slipnet"
)

// natural writes a group of slips with lines as wide as they are on paper: two
// numbers of two bytes (lines, pixels across), then the pictures, line by line,
// slipnet.H rows of one byte a pixel.
func (p *printer) natural(out *bufio.Writer) error {
	for range group {
		cells := 10 + p.d.IntN(25)
		lines := max(160/cells, 3)
		pix := make([]float32, lines*cells*slipnet.H*slipnet.W)
		// The middle of the capitals lies in the middle of the picture, give or
		// take as much either way: where print lies must not tell how it stands.
		p.c.shift = (slipnet.Below-slipnet.Above)/2 + p.d.between(-0.18, 0.18)
		p.slip(lines, cells, pix)
		// A row is this share of a capital; a pixel across is made to be too.
		const row = (1 + slipnet.Above + slipnet.Below) / slipnet.H
		w := cells * slipnet.W
		wide := int(math.Round(float64(cells) * p.c.s.aspect / row))
		if err := binary.Write(out, binary.LittleEndian, []uint16{uint16(lines), uint16(wide)}); err != nil {
			return err
		}
		b := make([]byte, wide)
		for y := range lines * slipnet.H {
			from := pix[y*w : (y+1)*w]
			for x := range b {
				at := (float64(x)+0.5)*float64(w)/float64(wide) - 0.5
				i := min(max(int(math.Floor(at)), 0), w-2)
				f := float32(min(max(at-float64(i), 0), 1))
				b[x] = byte((from[i]*(1-f) + from[i+1]*f) / 1.15 * 255)
			}
			if _, err := out.Write(b); err != nil {
				return err
			}
		}
	}
	return nil
}
