package fax

import "strings"

// The codes of runs of 0 to 63 pixels, then of 64, 128 and so on up to 2560, which
// are followed by another code (ITU-T T.4, tables 2 and 3).
const (
	whiteCodes = `00110101 000111 0111 1000 1011 1100 1110 1111 10011 10100 00111 01000 001000 000011 110100
110101 101010 101011 0100111 0001100 0001000 0010111 0000011 0000100 0101000 0101011 0010011
0100100 0011000 00000010 00000011 00011010 00011011 00010010 00010011 00010100 00010101 00010110
00010111 00101000 00101001 00101010 00101011 00101100 00101101 00000100 00000101 00001010
00001011 01010010 01010011 01010100 01010101 00100100 00100101 01011000 01011001 01011010
01011011 01001010 01001011 00110010 00110011 00110100 11011 10010 010111 0110111 00110110
00110111 01100100 01100101 01101000 01100111 011001100 011001101 011010010 011010011 011010100
011010101 011010110 011010111 011011000 011011001 011011010 011011011 010011000 010011001
010011010 011000 010011011 00000001000 00000001100 00000001101 000000010010 000000010011
000000010100 000000010101 000000010110 000000010111 000000011100 000000011101 000000011110
000000011111`
	blackCodes = `0000110111 010 11 10 011 0011 0010 00011 000101 000100 0000100 0000101 0000111 00000100 00000111
000011000 0000010111 0000011000 0000001000 00001100111 00001101000 00001101100 00000110111
00000101000 00000010111 00000011000 000011001010 000011001011 000011001100 000011001101
000001101000 000001101001 000001101010 000001101011 000011010010 000011010011 000011010100
000011010101 000011010110 000011010111 000001101100 000001101101 000011011010 000011011011
000001010100 000001010101 000001010110 000001010111 000001100100 000001100101 000001010010
000001010011 000000100100 000000110111 000000111000 000000100111 000000101000 000001011000
000001011001 000000101011 000000101100 000001011010 000001100110 000001100111 0000001111
000011001000 000011001001 000001011011 000000110011 000000110100 000000110101 0000001101100
0000001101101 0000001001010 0000001001011 0000001001100 0000001001101 0000001110010
0000001110011 0000001110100 0000001110101 0000001110110 0000001110111 0000001010010
0000001010011 0000001010100 0000001010101 0000001011010 0000001011011 0000001100100
0000001100101 00000001000 00000001100 00000001101 000000010010 000000010011 000000010100
000000010101 000000010110 000000010111 000000011100 000000011101 000000011110 000000011111`
)

// longestCode is in bits.
const longestCode = 13

// table gives the length of a run by its code, a 1 put before it so that leading
// zeros count.
type table map[int]int

func tableOf(codes string) table {
	t := table{}
	for i, code := range strings.Fields(codes) {
		run := i
		if i >= 64 {
			run = (i - 63) * 64
		}
		t[marked(code)] = run
	}
	return t
}

func marked(code string) int {
	n := 1
	for _, c := range code {
		n = n<<1 | int(c-'0')
	}
	return n
}

// mode is how a piece of a two-dimensional row is coded: -3 to 3 pixels from the
// change above, or one of the others.
type mode int

const (
	modePass mode = iota + 10
	modeHorizontal
	modeBad
)

// modes are the codes of modes (ITU-T T.4, table 4).
func modes() map[int]mode {
	return map[int]mode{
		marked("0001"): modePass, marked("001"): modeHorizontal,
		marked("1"): 0, marked("011"): 1, marked("000011"): 2, marked("0000011"): 3,
		marked("010"): -1, marked("000010"): -2, marked("0000010"): -3,
	}
}

// longestMode is in bits.
const longestMode = 7

// bitReader reads bits from the highest of each byte down. Beyond the end there
// are zeros.
type bitReader struct {
	in    []byte
	at    int // bits read
	white table
	black table
	modes map[int]mode
}

func newBitReader(in []byte) bitReader {
	return bitReader{in: in, white: tableOf(whiteCodes), black: tableOf(blackCodes), modes: modes()}
}

func (b *bitReader) ended() bool { return b.at >= 8*len(b.in) }

func (b *bitReader) take(n int) (v int) {
	for range n {
		v <<= 1
		if i := b.at >> 3; i < len(b.in) {
			v |= int(b.in[i]>>(7-b.at&7)) & 1
		}
		b.at++
	}
	return v
}

func (b *bitReader) align() { b.at = (b.at + 7) &^ 7 }

// run reads the codes of one run.
func (b *bitReader) run(black bool) (n int, ok bool) {
	t := b.white
	if black {
		t = b.black
	}
	for {
		piece, ok := b.code(t)
		if !ok {
			return 0, false
		}
		n += piece
		if piece < 64 {
			return n, true
		}
	}
}

func (b *bitReader) code(t table) (int, bool) {
	v := 1
	for range longestCode {
		v = v<<1 | b.take(1)
		if run, ok := t[v]; ok {
			return run, true
		}
	}
	return 0, false
}

func (b *bitReader) mode() mode {
	v := 1
	for range longestMode {
		v = v<<1 | b.take(1)
		if m, ok := b.modes[v]; ok {
			return m
		}
	}
	return modeBad
}

// eolZeros is how many zeros an end-of-line code has before its 1; more of them
// are filling.
const eolZeros = 11

// endOfLine steps over an end-of-line code, if one is next.
func (b *bitReader) endOfLine() bool {
	was, zeros := b.at, 0
	for !b.ended() {
		if b.take(1) == 1 {
			if zeros >= eolZeros {
				return true
			}
			break
		}
		zeros++
	}
	b.at = was
	return false
}

// seekEndOfLine goes on to before the next end-of-line code.
func (b *bitReader) seekEndOfLine() bool {
	zeros := 0
	for !b.ended() {
		if b.take(1) == 0 {
			zeros++
			continue
		}
		if zeros >= eolZeros {
			b.at -= eolZeros + 1
			return true
		}
		zeros = 0
	}
	return false
}
