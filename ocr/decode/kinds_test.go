package decode

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// source is one of the three pictures that all files in testdata/kinds show.
func source(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "kinds", name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func kind(t testing.TB, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", "kinds", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// difference is how far the page is from the picture: the mean and the largest
// difference in brightness, and the largest in colour.
func difference(t *testing.T, p Page, want image.Image) (mean float64, most, colour int) {
	t.Helper()
	b := want.Bounds()
	if p.Luma.Rect.Size() != b.Size() {
		t.Fatalf("%v pixels, want %v", p.Luma.Rect.Size(), b.Size())
	}
	apart := func(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }
	sum := 0
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := want.At(b.Min.X+x, b.Min.Y+y).RGBA()
			yy, cb, cr := color.RGBToYCbCr(uint8(r>>8), uint8(g>>8), uint8(bl>>8))
			d := apart(p.Luma.GrayAt(x, y).Y, yy)
			sum, most = sum+d, max(most, d)
			if x%4 != 0 || y%4 != 0 {
				continue
			}
			gotCb, gotCr := uint8(128), uint8(128)
			if p.Cb != nil {
				gotCb, gotCr = p.Cb.GrayAt(x/p.Step, y/p.Step).Y, p.Cr.GrayAt(x/p.Step, y/p.Step).Y
			}
			colour = max(colour, apart(gotCb, cb), apart(gotCr, cr))
		}
	}
	return float64(sum) / float64(b.Dx()*b.Dy()), most, colour
}

// TestKinds: every file shows its picture, to the pixel where nothing is lost.
func TestKinds(t *testing.T) {
	files, err := os.ReadDir(filepath.Join("testdata", "kinds"))
	if err != nil {
		t.Fatal(err)
	}
	// How much a kind may differ on average; the rest may not differ at all. A
	// conversion between colour spaces may be one off.
	lossy := map[string]float64{".jpg": 3, ".heic": 3, ".webp": 4, "-jpeg.tif": 3, "-jpeg-rgb.tif": 3, "-jpeg-tiles.tif": 3,
		"-4.tif": 8, "-palette.tif": 8, "-cmyk.tif": 1.1, "-cmyk.jpg": 4}
	seen := 0
	for _, f := range files {
		name := f.Name()
		if name == "encrypted.pdf" || name == "pages.tif" || name == "big.tif" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			p, err := load(kind(t, name), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			picture, _, _ := strings.Cut(strings.TrimSuffix(name, filepath.Ext(name)), "-")
			if picture == "plain" || picture == "owner" {
				picture = "grey"
			}
			mean, most, colour := difference(t, p, source(t, picture))
			may, exact := 0.0, true
			for end, m := range lossy {
				if strings.HasSuffix(name, end) && !strings.Contains(name, "lossless") {
					may, exact = max(may, m), false
				}
			}
			switch {
			case exact && (most > 0 || colour > 0):
				t.Errorf("differs by up to %d, colour by up to %d, though nothing is lost", most, colour)
			case mean > may:
				t.Errorf("differs by %.2f on average, at most %v is usual", mean, may)
			case colour > 60: // where two colours meet, of which each second is kept
				t.Errorf("colour differs by up to %d", colour)
			}
			if picture != "colour" && p.Cb != nil && colour > 3 {
				t.Errorf("a grey picture has colour: %d", colour)
			}
		})
		seen++
	}
	if seen < 50 {
		t.Errorf("%d kinds", seen)
	}
}

// TestPages: a TIFF of three pages, each with a picture of its own.
func TestPages(t *testing.T) {
	f, err := testDecoder.Open(t.Context(), kind(t, "pages.tif"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if f.Pages() != 3 {
		t.Fatalf("%d pages, want 3", f.Pages())
	}
	for n, name := range []string{"grey", "colour", "bilevel"} {
		p, err := f.Page(t.Context(), n)
		if err != nil {
			t.Fatal(err)
		}
		if _, most, colour := difference(t, p, source(t, name)); most > 0 || colour > 0 {
			t.Errorf("page %d differs by %d, colour by %d", n+1, most, colour)
		}
	}
	if _, err := testDecoder.Open(t.Context(), kind(t, "pages.tif"), Limits{Pages: 2}); err == nil || !strings.Contains(err.Error(), "more than 2 pages") {
		t.Errorf("with a limit of 2 pages: %v", err)
	}
}
