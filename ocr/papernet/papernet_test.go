package papernet

import (
	_ "embed"
	"encoding/binary"
	"math"
	"testing"

	"tankroll/ocr/raster"
)

var (
	//go:embed testdata/check.bin
	check []byte
	//go:embed testdata/check-apart.bin
	checkApart []byte
)

// What the training program's own networks say of a picture is what these say.
// Source: PyTorch, by train/learn.py --check.
func TestSaysAsTrained(t *testing.T) {
	for name, c := range map[string]struct {
		load  func() (*Net, error)
		check []byte
	}{"paper": {Load, check}, "apart": {LoadApart, checkApart}} {
		t.Run(name, func(t *testing.T) {
			n, err := c.load()
			if err != nil {
				t.Fatal(err)
			}
			saysAsTrained(t, n, c.check)
		})
	}
}

func saysAsTrained(t *testing.T, n *Net, check []byte) {
	w, h := int(binary.LittleEndian.Uint16(check)), int(binary.LittleEndian.Uint16(check[2:]))
	luma, blue, red := raster.New(w, h), raster.New(w, h), raster.New(w, h)
	for i := range luma.Pix {
		r, g, b := float32(check[4+3*i]), float32(check[5+3*i]), float32(check[6+3*i])
		y := 0.299*r + 0.587*g + 0.114*b
		luma.Pix[i], blue.Pix[i], red.Pix[i] = y, (b-y)*0.564, (r-y)*0.713
	}
	got := n.likely(input(luma, blue, red, w, h))
	if got.W != w || got.H != h {
		t.Fatalf("%d x %d places, want %d x %d", got.W, got.H, w, h)
	}
	far, sure := 0.0, 0
	for i, g := range got.Pix {
		want := float64(check[4+3*w*h+i]) / 255
		far = max(far, math.Abs(float64(g)-want))
		if want > 0.9 || want < 0.1 {
			sure++
		}
	}
	if far > 0.02 {
		t.Errorf("a place is said to be paper by %.3f other than by the program that trained it", far)
	}
	if sure < len(got.Pix)/2 {
		t.Errorf("of %d places only %d are plain: the picture shows nothing", len(got.Pix), sure)
	}
}

func TestDecodeOtherWeights(t *testing.T) {
	for _, n := range []int{0, 1, len(weights) - 1, len(weights) + 2} {
		if _, err := Decode(make([]byte, n), Side); err == nil {
			t.Errorf("%d bytes are taken for weights", n)
		}
	}
}

// Pictures of any size and without colour are looked at, and come back as large.
func TestPaperOfAnySize(t *testing.T) {
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range [][2]int{{0, 0}, {1, 1}, {3, 700}, {480, 1}, {191, 193}, {480, 321}} {
		luma := raster.New(size[0], size[1])
		for i := range luma.Pix {
			luma.Pix[i] = float32(i % 251)
		}
		got := n.Paper(luma, raster.Plane{}, raster.Plane{})
		if got.W != luma.W || got.H != luma.H {
			t.Errorf("%v: %d x %d", size, got.W, got.H)
		}
		for _, v := range got.Pix {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%v: a place is paper with %v", size, v)
			}
		}
	}
}

func BenchmarkPaper(b *testing.B) {
	n, err := Load()
	if err != nil {
		b.Fatal(err)
	}
	p := raster.New(480, 360)
	for i := range p.Pix {
		p.Pix[i] = float32(i % 251)
	}
	for b.Loop() {
		n.Paper(p, p, p)
	}
}
