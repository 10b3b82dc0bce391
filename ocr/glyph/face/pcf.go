package face

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// westernDots is whether a font of the X Window System has the characters of
// western languages at their usual places, by its name.
func westernDots(file string) bool {
	name := strings.ToLower(filepath.Base(file))
	if !strings.HasSuffix(name, ".pcf.gz") {
		return false
	}
	if i := strings.Index(name, "-iso"); i >= 0 {
		return name[i:] == "-iso8859-1.pcf.gz"
	}
	return !strings.Contains(name, "koi") && !strings.Contains(name, "jisx") && !strings.Contains(name, "ksc")
}

// twice is whether a font is there in western characters alone as well.
func twice(file string) bool {
	if strings.Contains(strings.ToLower(file), "-iso8859-1.") {
		return false
	}
	_, err := os.Stat(strings.TrimSuffix(file, ".pcf.gz") + "-ISO8859-1.pcf.gz")
	return err == nil
}

// loadPCF reads a font of dots in the Portable Compiled Format of the X Window
// System, packed with gzip. Only fonts of even width are taken.
func loadPCF(file string) (*Face, error) {
	b, err := unpacked(file, 4<<20)
	if err != nil {
		return nil, err
	}
	p := pcf{b: b}
	return p.face(filepath.Base(file))
}

// pcf reads tables of a font; what lies outside of the file reads as 0 and sets
// bad.
type pcf struct {
	b   []byte
	bad bool
}

// Kinds of tables.
const (
	pcfMetrics   = 1 << 2
	pcfBitmaps   = 1 << 3
	pcfEncodings = 1 << 5
)

func (p *pcf) u32(at int, o binary.ByteOrder) int {
	if at < 0 || at+4 > len(p.b) {
		p.bad = true
		return 0
	}
	return int(int32(o.Uint32(p.b[at:])))
}

func (p *pcf) u16(at int, o binary.ByteOrder) int {
	if at < 0 || at+2 > len(p.b) {
		p.bad = true
		return 0
	}
	return int(int16(o.Uint16(p.b[at:])))
}

func (p *pcf) u8(at int) int {
	if at < 0 || at >= len(p.b) {
		p.bad = true
		return 0
	}
	return int(p.b[at])
}

// table gives the place after a table's format word, the format and the order
// of its bytes.
func (p *pcf) table(kind int) (at, format int, o binary.ByteOrder) {
	little := binary.LittleEndian
	for i := range min(p.u32(4, little), 64) {
		if e := 8 + 16*i; p.u32(e, little) == kind {
			at := p.u32(e+12, little)
			format := p.u32(at, little)
			if format&4 != 0 {
				return at + 4, format, binary.BigEndian
			}
			return at + 4, format, little
		}
	}
	p.bad = true
	return 0, 0, little
}

// pcfCell is one character: its box around the pen on the base line, and its dots.
type pcfCell struct{ left, right, width, up, down, bits, row int }

func (p *pcf) face(name string) (*Face, error) {
	if len(p.b) < 8 || string(p.b[:4]) != "\x01fcp" {
		return nil, fmt.Errorf("not a font of this format")
	}
	me, meFormat, meOrder := p.table(pcfMetrics)
	bi, biFormat, biOrder := p.table(pcfBitmaps)
	en, _, enOrder := p.table(pcfEncodings)
	first, last := p.u16(en, enOrder), p.u16(en+2, enOrder)
	if p.bad || first > '!' || last < '~' || p.u16(en+4, enOrder) != 0 {
		return nil, fmt.Errorf("not the characters looked for")
	}
	glyphs := p.u32(bi, biOrder)
	bitsAt := bi + 4 + 4*glyphs + 16
	pad := 1 << (biFormat & 3)
	highFirst := biFormat&8 != 0
	unit := 1 << (biFormat >> 4 & 3)
	if unit != 1 && (biFormat&4 != 0) != highFirst {
		return nil, fmt.Errorf("bits in an odd order")
	}
	get := func(r rune) pcfCell {
		i := p.u16(en+10+2*(int(r)-first), enOrder)
		var c pcfCell
		if meFormat&0x100 != 0 {
			m := me + 2 + 5*i
			c = pcfCell{left: p.u8(m) - 128, right: p.u8(m+1) - 128, width: p.u8(m+2) - 128, up: p.u8(m+3) - 128, down: p.u8(m+4) - 128}
		} else {
			m := me + 4 + 12*i
			c = pcfCell{left: p.u16(m, meOrder), right: p.u16(m+2, meOrder), width: p.u16(m+4, meOrder), up: p.u16(m+6, meOrder), down: p.u16(m+8, meOrder)}
		}
		c.bits = bitsAt + p.u32(bi+4+4*i, biOrder)
		c.row = ((c.right-c.left+7)/8 + pad - 1) / pad * pad
		return c
	}
	capital, narrow := get('H'), get('i')
	if p.bad || capital.width != narrow.width || capital.width < 5 || capital.width > 64 || capital.up < 6 || capital.up > 64 {
		return nil, fmt.Errorf("not of even width")
	}
	dot := float64(Master) / float64(capital.up)
	f := &Face{Name: name, Advance: float64(capital.width) * dot, Glyphs: map[rune]*Letter{}, Dots: capital.up, Columns: capital.width}
	for r := '!'; r <= '~'; r++ {
		c := get(r)
		w, h := c.right-c.left, c.up+c.down
		if p.bad || w < 1 || h < 1 || w > 128 || h > 128 {
			return nil, fmt.Errorf("damaged")
		}
		l := &Letter{W: int(float64(w)*dot + 0.5), H: int(float64(h)*dot + 0.5), X: int(float64(c.left)*dot + 0.5), Y: -int(float64(c.up)*dot + 0.5)}
		l.pix = make([]uint8, l.W*l.H)
		for y := range l.H {
			for x := range l.W {
				dx, dy := min(int(float64(x)/dot), w-1), min(int(float64(y)/dot), h-1)
				bit := dx % 8
				if highFirst {
					bit = 7 - bit
				}
				if p.u8(c.bits+dy*c.row+dx/8)>>bit&1 == 1 {
					l.pix[y*l.W+x] = 255
				}
			}
		}
		f.Glyphs[r] = l
	}
	if p.bad {
		return nil, fmt.Errorf("damaged")
	}
	return f, nil
}
