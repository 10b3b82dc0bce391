package main

import (
	"bytes"
	"image"
	"image/color"
	_ "image/jpeg" // some seeds make one
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankroll/internal/golden"
)

// workedPicture is a picture of the worked example: a part of a step's picture.
type workedPicture struct {
	name  string
	step  string // end of the step's file name; "" for the original
	n     int    // which of several, from 0
	part  image.Rectangle
	zoom  int // each pixel is so many on a side
	small int // so many pixels on a side make one
}

// workedPictures are those of ocr/README.md.
func workedPictures() []workedPicture {
	return []workedPicture{
		{name: "1-photo.png", part: image.Rect(285, 215, 1185, 1075), small: 2},
		{name: "2-ink.png", step: "straight-ink.png", part: image.Rect(60, 100, 860, 920)},
		{name: "3-grid.png", step: "grid.png", part: image.Rect(490, 625, 850, 850), zoom: 2},
		{name: "4-line-12.png", step: "line.png", n: 11},
		{name: "5-line-7.png", step: "line.png", n: 6},
	}
}

// comparePictures holds the pictures that the page shows against the trace. With
// -update they are made anew.
func comparePictures(t *testing.T, page, original, steps, dir string) {
	t.Helper()
	const most = 300 << 10 // bytes of all: a page must open at once
	total := 0
	for _, w := range workedPictures() {
		if !strings.Contains(page, "](doc/"+w.name+")") {
			t.Errorf("the page does not show %s", w.name)
		}
		from := original
		if w.step != "" {
			from = traced(t, steps, w.step)[w.n]
		}
		want := w.of(decoded(t, from))
		path := filepath.Join(dir, w.name)
		if golden.Updating() {
			writePicture(t, path, want)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatalf("%v (run with -update to make it)", err)
		}
		total += int(info.Size())
		got := decoded(t, path)
		if got.Bounds().Size() != want.Bounds().Size() {
			t.Errorf("%s is %v, the trace's %v: run with -update and look at it", w.name, got.Bounds().Size(), want.Bounds().Size())
			continue
		}
		const little = 3.0 // levels of 255, what rounding may change
		if d := levelsApart(got, want); d > little {
			t.Errorf("%s is %.1f levels from the trace's in the mean: run with -update and look at it", w.name, d)
		}
	}
	if total > most {
		t.Errorf("the pictures have %d bytes", total)
	}
}

// of is the part of a step's picture, in few levels so that it is a small file.
func (w workedPicture) of(img image.Image) image.Image {
	part, zoom, small := w.part, max(w.zoom, 1), max(w.small, 1)
	if part.Empty() {
		part = img.Bounds()
	}
	const levels = 4
	out := image.NewRGBA(image.Rect(0, 0, part.Dx()*zoom/small, part.Dy()*zoom/small))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			var sum [3]int
			for k := range small * small {
				r, g, b, _ := img.At(part.Min.X+x*small/zoom+k%small, part.Min.Y+y*small/zoom+k/small).RGBA()
				sum[0], sum[1], sum[2] = sum[0]+int(r>>8), sum[1]+int(g>>8), sum[2]+int(b>>8)
			}
			level := func(v int) uint8 { return uint8(min((v/(small*small)+levels/2)/levels*levels, 255)) }
			out.SetRGBA(x, y, color.RGBA{level(sum[0]), level(sum[1]), level(sum[2]), 255})
		}
	}
	return out
}

// levelsApart is how far two pictures of one size are apart, in levels of 255.
func levelsApart(a, b image.Image) float64 {
	sum, n := 0, 0
	p, q := a.Bounds().Min, b.Bounds().Min
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			r, g, bl, _ := a.At(p.X+x, p.Y+y).RGBA()
			r2, g2, bl2, _ := b.At(q.X+x, q.Y+y).RGBA()
			for _, d := range [3]int{int(r>>8) - int(r2>>8), int(g>>8) - int(g2>>8), int(bl>>8) - int(bl2>>8)} {
				sum, n = sum+max(d, -d), n+1
			}
		}
	}
	return float64(sum) / float64(n)
}

func decoded(t *testing.T, path string) image.Image {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return img
}

func writePicture(t *testing.T, path string, img image.Image) {
	t.Helper()
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	if err := enc.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
