package stance

import (
	_ "embed"
	"encoding/binary"
	"math"
	"testing"

	"tankroll/ocr/raster"
)

//go:embed testdata/check.bin
var check []byte

// What the training program's own network says of a line is what this one says.
// Source: PyTorch, by slipnet/train/learn_stance.py --check.
func TestSaysAsTrained(t *testing.T) {
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	w, places := int(binary.LittleEndian.Uint16(check)), int(binary.LittleEndian.Uint16(check[2:]))
	p := raster.New(w, H)
	for i := range p.Pix {
		p.Pix[i] = float32(check[4+i]) * 1.15 / 255
	}
	want := check[4+w*H:]
	got := n.look(p)
	if len(got) != places {
		t.Fatalf("%d places, want %d", len(got), places)
	}
	for i, g := range got {
		if v := float64(math.Float32frombits(binary.LittleEndian.Uint32(want[4*i:]))); math.Abs(float64(g)-v) > 0.05 {
			t.Errorf("place %d: %.3f, want %.3f", i, g, v)
		}
	}
}

func TestTurnedSaysTheOpposite(t *testing.T) {
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	w := int(binary.LittleEndian.Uint16(check))
	p := raster.New(w, H)
	for i := range p.Pix {
		p.Pix[i] = float32(check[4+i]) * 1.15 / 255
	}
	up, down := n.Upright([]raster.Plane{p}), n.Upright([]raster.Plane{p.Quarter(2)})
	if up <= 0 || math.Abs(up+down) > 1e-5 {
		t.Errorf("upright says %.3f, turned %.3f", up, down)
	}
	if v := n.Upright([]raster.Plane{raster.New(100, H)}); v != 0 {
		t.Errorf("bare paper says %.3f", v)
	}
	if v := n.Upright([]raster.Plane{raster.New(5, H), raster.New(60, 3)}); v != 0 {
		t.Errorf("what is no line says %.3f", v)
	}
}

func TestDecodeRefusesOtherWeights(t *testing.T) {
	for _, n := range []int{0, 1, len(weights) - 2, len(weights) + 2} {
		if _, err := Decode(make([]byte, n)); err == nil {
			t.Errorf("%d bytes were taken", n)
		}
	}
}

func BenchmarkUpright(b *testing.B) {
	n, err := Load()
	if err != nil {
		b.Fatal(err)
	}
	lines := make([]raster.Plane, 10)
	for i := range lines {
		lines[i] = raster.New(350, H)
	}
	b.ReportAllocs()
	for b.Loop() {
		n.Upright(lines)
	}
}
