package web

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"net/http/httptest"
	"sync"
	"testing"

	"tankroll/record"
)

// TestUpright cuts a marked pixel out of a picture in every turn: where the
// cut shows it is where place says it lies.
func TestUpright(t *testing.T) {
	img := image.NewGray(image.Rect(5, 5, 65, 45)) // bounds need not begin at 0
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	mark := record.Box{X: 30, Y: 12, W: 6, H: 4}
	for y := range mark.H {
		for x := range mark.W {
			img.SetGray(5+mark.X+x, 5+mark.Y+y, color.Gray{0})
		}
	}
	area := record.Box{X: 20, Y: 8, W: 30, H: 20}
	for _, turn := range []int{0, 90, 180, 270} {
		out := upright(img, area, turn, widest)
		w, h := 30, 20
		if turn%180 == 90 {
			w, h = 20, 30
		}
		if out.Bounds() != image.Rect(0, 0, w, h) {
			t.Errorf("turn %d: size %v, want %dx%d", turn, out.Bounds(), w, h)
		}
		b := place(mark, area, turn)
		for y := range h {
			for x := range w {
				dark := lum(out.At(x, y)) < 128
				in := x >= b.X && x < b.X+b.W && y >= b.Y && y < b.Y+b.H
				if dark != in {
					t.Fatalf("turn %d: pixel %d,%d dark %v, inside %+v %v", turn, x, y, dark, b, in)
				}
			}
		}
	}
}

func lum(c color.Color) uint8 { return color.GrayModel.Convert(c).(color.Gray).Y }

func TestUprightTurnsClockwise(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 4, 2))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	img.SetGray(0, 0, color.Gray{0}) // top left goes to the top right
	out := upright(img, record.Box{}, 90, widest)
	if lum(out.At(1, 0)) > 64 || lum(out.At(0, 0)) < 192 || lum(out.At(1, 3)) < 192 {
		t.Errorf("a quarter turn clockwise does not bring the top left to the top right")
	}
}

func TestUprightBeyond(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 10, 10))
	for _, b := range []record.Box{{X: -5, Y: -5, W: 10, H: 10}, {X: 500, Y: 500, W: 20, H: 20}, {X: 5, Y: 5, W: 60, H: 1},
		{X: 0, Y: 0, W: largestCut, H: 1}, {X: 0, Y: 0, W: 1, H: largestCut}, {X: 0, Y: 0, W: largestCut, H: largestCut}} {
		for _, turn := range []int{0, 90} {
			r := upright(img, b, turn, widest).Bounds()
			if r.Dx() > widest || r.Dy() > tallest || r.Empty() {
				t.Errorf("box %+v turn %d: size %v", b, turn, r)
			}
		}
	}
}

func TestSlipArea(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		corners [4]record.Point
		lines   []record.Line
		want    record.Box
	}{
		"corners":         {[4]record.Point{{X: 10, Y: 20}, {X: 110, Y: 22}, {X: 112, Y: 220}, {X: 9, Y: 218}}, nil, record.Box{X: 9, Y: 20, W: 103, H: 200}},
		"print outside":   {[4]record.Point{{X: 10, Y: 10}, {X: 20, Y: 10}, {X: 20, Y: 20}, {X: 10, Y: 20}}, []record.Line{{Box: record.Box{X: 15, Y: 15, W: 30, H: 10}}}, record.Box{X: 10, Y: 10, W: 35, H: 15}},
		"none":            {[4]record.Point{}, nil, record.Box{}},
		"lines only":      {[4]record.Point{}, []record.Line{{Box: record.Box{X: 5, Y: 6, W: 7, H: 8}}}, record.Box{X: 5, Y: 6, W: 7, H: 8}},
		"not numbers":     {[4]record.Point{{X: nan, Y: nan}, {X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 3}}, nil, record.Box{}},
		"far out":         {[4]record.Point{{X: 1e300, Y: 0}, {X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 3}}, nil, record.Box{}},
		"off the picture": {[4]record.Point{{X: -50, Y: -50}, {X: 50, Y: -50}, {X: 50, Y: 50}, {X: -50, Y: 50}}, nil, record.Box{X: 0, Y: 0, W: 50, H: 50}},
	} {
		if got := slipArea(record.Slip{Corners: c.corners, Lines: c.lines}); got != c.want {
			t.Errorf("%s: %+v, want %+v", name, got, c.want)
		}
	}
}

// TestCuts: all cuts of a capture come from one decoding, and a cut that the
// browser has is not made again.
func TestCuts(t *testing.T) {
	h, d := newTestSite(t)
	c := d.add(t, "march.png")
	r1 := d.recordID(t, c, "1")
	paths := []string{"/captures/" + c + "/pages/1/slips/0/picture.jpg", "/captures/" + c + "/pages/1/picture.jpg", "/captures/" + c + "/pages/1/thumb.jpg",
		"/records/" + r1 + "/picture.jpg", "/records/" + r1 + "/fields/leak_rate.jpg", "/records/" + r1 + "/fields/site.jpg", "/captures/" + c + "/pages/1/slips/0/lines/4.jpg"}
	var wg sync.WaitGroup
	for range 3 {
		for _, p := range paths {
			wg.Go(func() {
				w := get(t, h, p)
				if w.Code != 200 || w.Header().Get("Content-Type") != "image/jpeg" {
					t.Errorf("%s: status %d, %s", p, w.Code, w.Header().Get("Content-Type"))
				}
			})
		}
	}
	wg.Wait()
	if d.pictures != 1 {
		t.Errorf("the original was decoded %d times, want once", d.pictures)
	}
	w := get(t, h, paths[4])
	img, err := jpeg.Decode(bytes.NewReader(w.Body.Bytes()))
	if err != nil || img.Bounds().Dx() < 3*img.Bounds().Dy() {
		t.Errorf("the leak rate's cut is not a line: %v, %v", img.Bounds(), err)
	}
	r := httptest.NewRequest("GET", "http://localhost"+paths[4], nil)
	r.Header.Set("If-None-Match", w.Header().Get("ETag"))
	again := httptest.NewRecorder()
	h.ServeHTTP(again, r)
	if again.Code != 304 {
		t.Errorf("the same cut again: status %d, want 304", again.Code)
	}
}

func TestKeptPages(t *testing.T) {
	p := newPictures(nil)
	for i := range 10 {
		p.keep(fmt.Sprint(i), image.NewGray(image.Rect(0, 0, 1, 1)))
		p.use("0")
	}
	if len(p.kept) != keptPages || p.use("0") == nil || p.use("9") == nil || p.use("5") != nil {
		t.Errorf("%d pages kept, want the %d last used", len(p.kept), keptPages)
	}
}
