// Package reference gives tests what general-purpose libraries (OpenCV,
// scikit-image, SciPy) compute on small pictures, for comparing the steps of
// raster, paper and ink. reference.py makes testdata and says how each value
// comes about; testdata/values.json names the versions. It is for tests only.
package reference

import (
	"embed"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"testing"

	"tankroll/ocr/raster"
)

//go:embed testdata
var files embed.FS

// Plane is a picture of testdata by its name without .png, in levels 0 to 255;
// those of 16 bits are known to a 256th of a level.
func Plane(t testing.TB, name string) raster.Plane {
	t.Helper()
	f, err := files.Open("testdata/" + name + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatalf("%s.png: %v", name, err)
	}
	switch g := img.(type) {
	case *image.Gray:
		return raster.FromGray(g)
	case *image.Gray16:
		p := raster.New(g.Rect.Dx(), g.Rect.Dy())
		for y := range p.H {
			for x := range p.W {
				p.Pix[y*p.W+x] = float32(g.Gray16At(x, y).Y) / 256
			}
		}
		return p
	}
	t.Fatalf("%s.png is not grey", name)
	return raster.Plane{}
}

// Values reads the values of the given name into v.
func Values(t testing.TB, name string, v any) {
	t.Helper()
	raw, err := files.ReadFile("testdata/values.json")
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatalf("values.json: %v", err)
	}
	if all[name] == nil {
		t.Fatalf("values.json has no %q", name)
	}
	if err := json.Unmarshal(all[name], v); err != nil {
		t.Fatalf("values.json: %s: %v", name, err)
	}
}

// Compare fails the test when the planes have other sizes, or differ by more
// than most levels anywhere outside of a border of so many pixels. It logs how
// much they differ.
func Compare(t testing.TB, what string, got, want raster.Plane, border int, most float64) {
	t.Helper()
	if got.W != want.W || got.H != want.H {
		t.Errorf("%s: %d x %d, the reference is %d x %d", what, got.W, got.H, want.W, want.H)
		return
	}
	worst, at, n := 0.0, "", 0
	for y := border; y < want.H-border; y++ {
		for x := border; x < want.W-border; x++ {
			n++
			d := float64(got.Pix[y*got.W+x] - want.Pix[y*want.W+x])
			if d = max(d, -d); !(d <= worst) {
				worst, at = d, fmt.Sprintf("%d, %d", x, y)
			}
		}
	}
	if n == 0 {
		t.Errorf("%s: nothing lies inside the border", what)
	}
	if !(worst <= most) {
		t.Errorf("%s: differs by %.3f levels at %s, more than %v", what, worst, at, most)
	}
	t.Logf("%s: within %.4f levels of the reference (tolerance %v)", what, worst, most)
}
