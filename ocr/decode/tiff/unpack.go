package tiff

import (
	"bytes"
	"compress/zlib"
	"io"
	"math/bits"

	"golang.org/x/image/ccitt"
	"golang.org/x/image/tiff/lzw"

	"tankroll/ocr/decode/fax"
)

// unpack gives a chunk's bytes as they were before compression, rows of cw
// pixels. It reads no more than it is asked for.
func (l *layout) unpack(raw []byte, rows int) (io.Reader, error) {
	if l.lsbFirst && l.packing != packLZW && l.packing != packDeflate && l.packing != packOldDeflate {
		raw = reversed(raw)
	}
	switch l.packing {
	case packNone:
		return bytes.NewReader(raw), nil
	case packPackBits:
		return &packBits{in: raw}, nil
	case packLZW:
		return lzw.NewReader(bytes.NewReader(raw), lzw.MSB, 8), nil
	case packDeflate, packOldDeflate:
		z, err := zlib.NewReader(bytes.NewReader(raw))
		if err != nil {
			return nil, damaged("%v", err)
		}
		return z, nil
	case packRLE:
		return fax.NewReader(raw, l.cw, rows, fax.RLE), nil
	case packG3:
		if l.value(tagT4Options, 0, 0)&2 != 0 {
			return nil, refuse("uncompressed fax")
		}
		if l.value(tagT4Options, 0, 0)&1 != 0 {
			return fax.NewReader(raw, l.cw, rows, fax.TwoDimensional), nil
		}
		return fax.NewReader(raw, l.cw, rows, fax.OneDimensional), nil
	case packG4:
		// Rows of it have 1 for black, as the other fax readers give them.
		return ccitt.NewReader(bytes.NewReader(raw), ccitt.MSB, ccitt.Group4, l.cw, rows, &ccitt.Options{Invert: true}), nil
	}
	return nil, refuse("compression %d", l.packing)
}

func reversed(raw []byte) []byte {
	out := make([]byte, len(raw))
	for i, b := range raw {
		out[i] = bits.Reverse8(b)
	}
	return out
}

// packBits is the run length compression of the specification: n+1 bytes as they
// are, or one byte 1-n times.
type packBits struct {
	in     []byte
	copies int // of the bytes that follow as they are
	repeat int // of value
	value  byte
}

func (p *packBits) Read(out []byte) (n int, err error) {
	for n < len(out) {
		switch {
		case p.copies > 0:
			k := copy(out[n:], p.in[:min(p.copies, len(p.in))])
			if k == 0 {
				return n, io.ErrUnexpectedEOF
			}
			p.in, p.copies, n = p.in[k:], p.copies-k, n+k
		case p.repeat > 0:
			out[n] = p.value
			p.repeat--
			n++
		case len(p.in) == 0:
			return n, io.EOF
		default:
			if code := int(int8(p.in[0])); code >= 0 {
				p.copies = code + 1
				p.in = p.in[1:]
			} else if code == -128 {
				p.in = p.in[1:]
			} else {
				if len(p.in) < 2 {
					return n, io.ErrUnexpectedEOF
				}
				p.repeat, p.value = 1-code, p.in[1]
				p.in = p.in[2:]
			}
		}
	}
	return n, nil
}
