// Package half reads numbers of half precision (IEEE 754-2008 binary16), in which
// the weights of networks are kept: lowest byte first.
package half

import (
	"encoding/binary"
	"math"
)

// Numbers are the first n numbers of b; ok is false when b holds fewer.
func Numbers(b []byte, n int) (v []float32, rest []byte, ok bool) {
	if n < 0 || len(b) < 2*n {
		return nil, b, false
	}
	v = make([]float32, n)
	for i := range v {
		v[i] = Number(binary.LittleEndian.Uint16(b[2*i:]))
	}
	return v, b[2*n:], true
}

// Number widens one number. Infinities, which no weight is, come as not a number.
func Number(v uint16) float32 {
	sign := uint32(v>>15) << 31
	exp, frac := uint32(v>>10)&31, uint32(v)&1023
	switch exp {
	case 0:
		f := float32(frac) / (1 << 24)
		if sign != 0 {
			f = -f
		}
		return f
	case 31:
		return float32(math.NaN())
	}
	return math.Float32frombits(sign | (exp+112)<<23 | frac<<13)
}
