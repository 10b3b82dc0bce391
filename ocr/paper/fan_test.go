package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/record"
)

// fanned draws lines of print that fall clockwise by so many degrees in the middle of the
// upper half and of the lower, and in between and beyond accordingly.
func fanned(f Fan) raster.Plane {
	const w, h, pitch = 480, 640, 32
	p, rng := raster.New(w, h), rand.New(rand.NewPCG(1, 2))
	for y := pitch; y < h-pitch; y += pitch {
		slope := math.Tan((f.Upper + (f.Lower-f.Upper)*(float64(y)/h-0.25)/0.5) * math.Pi / 180)
		for x := 30; x < w-30; x++ {
			if x%12 >= 8 || rng.IntN(3) == 0 {
				continue
			}
			at := y + int(math.Round(slope*(float64(x)-w/2)))
			for k := range 14 {
				p.Row(at - 7 + k)[x] = 1
			}
		}
	}
	return p
}

// The lines of a slip that was laid flat by an end that is none fall in two ways; those of
// another are left as they are.
func TestMeasureFan(t *testing.T) {
	for _, c := range []struct {
		lies Fan
		fans bool
	}{{Fan{2, 0}, true}, {Fan{1, -1}, true}, {Fan{-0.8, 0.8}, true}, {Fan{0, 0}, false}, {Fan{0.1, -0.1}, false}} {
		got, ok := MeasureFan(fanned(c.lies), 4)
		if ok != c.fans {
			t.Errorf("%+v: fans out %v, want %v", c.lies, ok, c.fans)
		}
		if ok && (math.Abs(got.Upper-c.lies.Upper) > 0.4 || math.Abs(got.Lower-c.lies.Lower) > 0.4) {
			t.Errorf("%+v: measured as %+v", c.lies, got)
		}
	}
	if _, ok := MeasureFan(raster.New(480, 640), 4); ok {
		t.Error("bare paper fans out")
	}
	half := fanned(Fan{2, 0})
	clear(half.Pix[len(half.Pix)/2:])
	if f, ok := MeasureFan(half, 4); ok {
		t.Errorf("print in one half fans out: %+v", f)
	}
}

// A flat line of the map lies on the original where a line of print fell.
func TestFanned(t *testing.T) {
	const w, h = 480.0, 640.0
	m, _ := NewMap(Quad{record.Point{}, {X: w}, {X: w, Y: h}, {Y: h}})
	m = m.Fanned(Fan{Upper: 2, Lower: -1})
	for y, degrees := range map[float64]float64{h / 4: 2, h / 2: 0.5, 3 * h / 4: -1} {
		x0, y0 := m.ToOriginal(0.1*w, y)
		x1, y1 := m.ToOriginal(0.9*w, y)
		if got := math.Atan2(y1-y0, x1-x0) * 180 / math.Pi; math.Abs(got-degrees) > 0.15 {
			t.Errorf("at %.0f a flat line falls by %.2f degrees on the original, want %.1f", y, got, degrees)
		}
	}
}
