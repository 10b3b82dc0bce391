package pdf

import (
	"encoding/binary"
	"image"
)

// What JBIG2 (ITU-T T.88) allows is much; these are the parts of which scanners'
// files are made: a region of pixels, coded as fax or arithmetically, and a
// dictionary of symbols with a text of them.

// The kinds of segments.
const (
	symbolDictionary = 0
	textRegion       = 6
	genericRegion    = 38
)

// segment is a part of a JBIG2 file; refers are the segments that it needs.
func segment(number uint32, kind, page byte, refers []byte, body ...[]byte) []byte {
	be := binary.BigEndian
	var all []byte
	for _, b := range body {
		all = append(all, b...)
	}
	out := append(be.AppendUint32(nil, number), kind, byte(len(refers))<<5)
	out = append(append(out, refers...), page)
	return append(be.AppendUint32(out, uint32(len(all))), all...)
}

// u32 is numbers of four bytes.
func u32(v ...int) (out []byte) {
	for _, n := range v {
		out = binary.BigEndian.AppendUint32(out, uint32(n))
	}
	return out
}

// pageOf is the segment of a white page without stripes, of unknown resolution.
func pageOf(number uint32, w, h int) []byte {
	return segment(number, pageInformation, 1, nil, u32(w, h, 0, 0), []byte{0, 0, 0})
}

// region is how a region that covers the page and is laid over it begins.
func region(w, h int) []byte { return append(u32(w, h, 0, 0), 0) }

// nominal is where the adaptive pixels of template 0 lie by default.
var nominal = []byte{3, 0xff, 0xfd, 0xff, 2, 0xfe, 0xfe, 0xfe}

// jbig2 wraps fax data as a generic region, which may be coded so.
func jbig2(data []byte, w, h int) []byte {
	return append(pageOf(0, w, h), segment(1, genericRegion, 1, nil, region(w, h), []byte{1}, data)...)
}

// jbig2Generic is a picture as one arithmetically coded region.
func jbig2Generic(g *image.Gray) []byte {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	e := newArithmetic()
	e.bitmap(g, make([]state, 1<<16))
	return append(pageOf(0, w, h), segment(1, genericRegion, 1, nil, region(w, h), []byte{0}, nominal, e.flush())...)
}

// letter is where a symbol of a dictionary stands on a page.
type letter struct{ symbol, x, y int }

// jbig2Symbols is a dictionary of symbols, to be shared by pages, as segment 0.
// Symbols come by height, the lowest first.
func jbig2Symbols(symbols []*image.Gray) []byte {
	e := newArithmetic()
	heights, widths, exported := newInteger(), newInteger(), newInteger()
	pixels := make([]state, 1<<16)
	height := 0
	for i := 0; i < len(symbols); {
		h := symbols[i].Rect.Dy()
		heights.encode(e, h-height)
		height = h
		width := 0
		for ; i < len(symbols) && symbols[i].Rect.Dy() == h; i++ {
			widths.encode(e, symbols[i].Rect.Dx()-width)
			width = symbols[i].Rect.Dx()
			e.bitmap(symbols[i], pixels)
		}
		widths.end(e)
	}
	exported.encode(e, 0) // none are kept back
	exported.encode(e, len(symbols))
	return segment(0, symbolDictionary, 0, nil, []byte{0, 0}, nominal, u32(len(symbols), len(symbols)), e.flush())
}

// jbig2Text is a page of letters, line by line, of the dictionary in segment 0.
func jbig2Text(symbols []*image.Gray, letters []letter, w, h int) []byte {
	e := newArithmetic()
	down, first, next := newInteger(), newInteger(), newInteger()
	bits := 0
	for 1<<bits < len(symbols) {
		bits++
	}
	names := make([]state, 1<<bits)
	down.encode(e, 0)
	y, start := 0, 0
	for i := 0; i < len(letters); {
		line := letters[i].y
		down.encode(e, line-y)
		y = line
		first.encode(e, letters[i].x-start)
		start = letters[i].x
		for at := start; ; {
			s := letters[i].symbol
			context := 1
			for b := bits - 1; b >= 0; b-- {
				bit := s >> b & 1
				e.encode(&names[context], bit)
				context = context<<1 | bit
			}
			at += symbols[s].Rect.Dx() - 1
			if i++; i == len(letters) || letters[i].y != line {
				break
			}
			next.encode(e, letters[i].x-at)
			at = letters[i].x
		}
		next.end(e)
	}
	const fromTopLeft = 1 << 4
	return append(pageOf(1, w, h), segment(2, textRegion, 1, []byte{0}, region(w, h), []byte{0, fromTopLeft}, u32(len(letters)), e.flush())...)
}

// set paints the page that jbig2Text codes: black letters on white.
func set(symbols []*image.Gray, letters []letter, w, h int) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, w, h))
	for i := range g.Pix {
		g.Pix[i] = 255
	}
	for _, l := range letters {
		s := symbols[l.symbol]
		for y := range s.Rect.Dy() {
			for x := range s.Rect.Dx() {
				if s.GrayAt(x, y).Y == 0 {
					g.Pix[(l.y+y)*g.Stride+l.x+x] = 0
				}
			}
		}
	}
	return g
}

// arithmetic is the coder of annex E.
type arithmetic struct {
	a, c, left uint32
	out        []byte // the first byte stands before the data
}

// state is what the coder has learnt of a context.
type state struct{ index, likely int }

func newArithmetic() *arithmetic { return &arithmetic{a: 0x8000, left: 12, out: []byte{0}} }

// estimate is a row of table E.1.
type estimate struct {
	unlikely     uint32 // how often the less likely comes
	more, less   int    // the row after the more and the less likely
	changesSides bool
}

var estimates = [...]estimate{
	{0x5601, 1, 1, true}, {0x3401, 2, 6, false}, {0x1801, 3, 9, false}, {0x0ac1, 4, 12, false}, {0x0521, 5, 29, false}, {0x0221, 38, 33, false},
	{0x5601, 7, 6, true}, {0x5401, 8, 14, false}, {0x4801, 9, 14, false}, {0x3801, 10, 14, false}, {0x3001, 11, 17, false}, {0x2401, 12, 18, false},
	{0x1c01, 13, 20, false}, {0x1601, 29, 21, false}, {0x5601, 15, 14, true}, {0x5401, 16, 14, false}, {0x5101, 17, 15, false}, {0x4801, 18, 16, false},
	{0x3801, 19, 17, false}, {0x3401, 20, 18, false}, {0x3001, 21, 19, false}, {0x2801, 22, 19, false}, {0x2401, 23, 20, false}, {0x2201, 24, 21, false},
	{0x1c01, 25, 22, false}, {0x1801, 26, 23, false}, {0x1601, 27, 24, false}, {0x1401, 28, 25, false}, {0x1201, 29, 26, false}, {0x1101, 30, 27, false},
	{0x0ac1, 31, 28, false}, {0x09c1, 32, 29, false}, {0x08a1, 33, 30, false}, {0x0521, 34, 31, false}, {0x0441, 35, 32, false}, {0x02a1, 36, 33, false},
	{0x0221, 37, 34, false}, {0x0141, 38, 35, false}, {0x0111, 39, 36, false}, {0x0085, 40, 37, false}, {0x0049, 41, 38, false}, {0x0025, 42, 39, false},
	{0x0015, 43, 40, false}, {0x0009, 44, 41, false}, {0x0005, 45, 42, false}, {0x0001, 45, 43, false}, {0x5601, 46, 46, false},
}

func (e *arithmetic) encode(s *state, bit int) {
	q := estimates[s.index]
	e.a -= q.unlikely
	if bit == s.likely {
		if e.a&0x8000 != 0 {
			e.c += q.unlikely
			return
		}
		if e.a < q.unlikely {
			e.a = q.unlikely
		} else {
			e.c += q.unlikely
		}
		s.index = q.more
	} else {
		if e.a < q.unlikely {
			e.c += q.unlikely
		} else {
			e.a = q.unlikely
		}
		if q.changesSides {
			s.likely = 1 - s.likely
		}
		s.index = q.less
	}
	for e.a&0x8000 == 0 {
		e.a, e.c, e.left = e.a<<1, e.c<<1, e.left-1
		if e.left == 0 {
			e.byteOut()
		}
	}
}

func (e *arithmetic) byteOut() {
	last := &e.out[len(e.out)-1]
	if *last != 0xff && e.c >= 0x8000000 {
		*last++
		e.c &= 0x7ffffff
	}
	if *last == 0xff { // a bit is left free after it
		e.out, e.c, e.left = append(e.out, byte(e.c>>20)), e.c&0xfffff, 7
		return
	}
	e.out, e.c, e.left = append(e.out, byte(e.c>>19)), e.c&0x7ffff, 8
}

// flush ends the data.
func (e *arithmetic) flush() []byte {
	end := e.c + e.a
	if e.c |= 0xffff; e.c >= end {
		e.c -= 0x8000
	}
	for range 2 {
		e.c <<= e.left
		e.byteOut()
	}
	if e.out[len(e.out)-1] != 0xff {
		e.out = append(e.out, 0xff)
	}
	return append(e.out, 0xac)[1:]
}

// bitmap codes pixels by those around them, as template 0 has them; black is 1.
func (e *arithmetic) bitmap(g *image.Gray, contexts []state) {
	at := func(x, y int) int {
		if x < 0 || y < 0 || x >= g.Rect.Dx() || g.Pix[y*g.Stride+x] != 0 {
			return 0
		}
		return 1
	}
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			context := 0
			for dx := -2; dx <= 2; dx++ {
				context = context<<1 | at(x+dx, y-2)
			}
			for dx := -3; dx <= 3; dx++ {
				context = context<<1 | at(x+dx, y-1)
			}
			for dx := -4; dx < 0; dx++ {
				context = context<<1 | at(x+dx, y)
			}
			e.encode(&contexts[context], at(x, y))
		}
	}
}

// integer is the contexts of one kind of numbers, annex A.
type integer struct{ contexts []state }

func newInteger() integer { return integer{make([]state, 512)} }

// encode codes a sign, how large the number is, and the rest of it.
func (n integer) encode(e *arithmetic, v int) {
	sign := 0
	if v < 0 {
		sign, v = 1, -v
	}
	prefix, bits := []int{0}, 2
	switch {
	case v >= 84:
		panic("the test's numbers are small")
	case v >= 20:
		prefix, bits, v = []int{1, 1, 0}, 6, v-20
	case v >= 4:
		prefix, bits, v = []int{1, 0}, 4, v-4
	}
	n.bits(e, sign, prefix, bits, v)
}

// end codes that no number follows: minus nothing.
func (n integer) end(e *arithmetic) { n.bits(e, 1, []int{0}, 2, 0) }

func (n integer) bits(e *arithmetic, sign int, prefix []int, bits, v int) {
	context := 1
	put := func(bit int) {
		e.encode(&n.contexts[context], bit)
		if context < 256 {
			context = context<<1 | bit
		} else {
			context = (context<<1|bit)&511 | 256
		}
	}
	put(sign)
	for _, b := range prefix {
		put(b)
	}
	for b := bits - 1; b >= 0; b-- {
		put(v >> b & 1)
	}
}
