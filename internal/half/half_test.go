package half

import (
	"math"
	"testing"
)

// Bits and values are the examples that Wikipedia's "Half-precision
// floating-point format" works out from IEEE 754-2008; quoted from memory.
func TestNumber(t *testing.T) {
	for bits, want := range map[uint16]float64{
		0x0000: 0, 0x0001: 0.000000059604645, 0x03ff: 0.000060975552, 0x0400: 0.00006103515625,
		0x3555: 0.33325195, 0x3bff: 0.99951172, 0x3c00: 1, 0x3c01: 1.00097656, 0x7bff: 65504, 0xc000: -2,
	} {
		if got := float64(Number(bits)); math.Abs(got-want) > 1e-7*math.Max(1, math.Abs(want)) {
			t.Errorf("%#04x is %v, want %v", bits, got, want)
		}
	}
	if !math.IsNaN(float64(Number(0x7c00))) {
		t.Error("infinity is a number")
	}
}

func TestNumbers(t *testing.T) {
	v, rest, ok := Numbers([]byte{0, 0x3c, 0, 0xc0, 9}, 2)
	if !ok || len(v) != 2 || v[0] != 1 || v[1] != -2 || len(rest) != 1 {
		t.Errorf("got %v, %v, %v", v, rest, ok)
	}
	if _, _, ok := Numbers([]byte{0, 0, 0}, 2); ok {
		t.Error("three bytes were taken for two numbers")
	}
}
