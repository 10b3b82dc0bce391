package raster_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/ocr/reference"
)

// rounding is what 16 bits and 32-bit sums leave, in levels of 0 to 255.
const rounding = 0.01

// TestReferenceBlur: OpenCV 4.6.0 cv2.GaussianBlur (SciPy 1.10.1
// ndimage.gaussian_filter is within 0.05 of it), and its cv2.boxFilter thrice.
//
// The chart has noise of 8 levels and steps of 90. Narrow blurs differ by where
// their weights are cut off. Wide ones are three boxes of one whole radius, so
// they are Gaussians of the spread that such boxes have, which is within a sixth
// of what is asked for.
func TestReferenceBlur(t *testing.T) {
	chart := reference.Plane(t, "chart")
	var narrow []float64
	reference.Values(t, "narrow", &narrow)
	for _, s := range narrow {
		name := fmt.Sprintf("gaussian-%v", s)
		reference.Compare(t, name, chart.Blur(s), reference.Plane(t, name), 0, 0.6)
	}
	var wide []struct{ Sigma, Spread float64 }
	reference.Values(t, "wide", &wide)
	for _, s := range wide {
		name := fmt.Sprintf("gaussian-%v", s.Sigma)
		reference.Compare(t, name, chart.Blur(s.Sigma), reference.Plane(t, name), int(3*s.Spread), 2.5)
		if off := math.Abs(s.Spread/s.Sigma - 1); off > 1.0/6 {
			t.Errorf("a blur of %v spreads by %v", s.Sigma, s.Spread)
		}
	}
	var boxes []struct {
		Sigma  float64
		Radius int
	}
	reference.Values(t, "boxes", &boxes)
	for _, b := range boxes {
		name := fmt.Sprintf("boxes-%d", b.Radius)
		reference.Compare(t, name, chart.Blur(b.Sigma), reference.Plane(t, name), 0, rounding)
	}
}

// TestReferenceMorphology: OpenCV 4.6.0 cv2.dilate, cv2.erode and
// cv2.morphologyEx, and NumPy 1.24.2 rot90: the same to the bit.
func TestReferenceMorphology(t *testing.T) {
	chart := reference.Plane(t, "chart")
	var reaches [][2]int
	reference.Values(t, "morphology", &reaches)
	for _, r := range reaches {
		of := fmt.Sprintf("-%d-%d", r[0], r[1])
		reference.Compare(t, "max"+of, chart.Max(r[0], r[1]), reference.Plane(t, "max"+of), 0, 0)
		reference.Compare(t, "min"+of, chart.Min(r[0], r[1]), reference.Plane(t, "min"+of), 0, 0)
		reference.Compare(t, "close"+of, chart.Close(r[0], r[1]), reference.Plane(t, "close"+of), 0, 0)
	}
	for n := range 4 {
		name := fmt.Sprintf("quarter-%d", n)
		reference.Compare(t, name, chart.Quarter(n), reference.Plane(t, name), 0, 0)
	}
}

// TestReferenceResample: OpenCV 4.6.0 cv2.resize, INTER_AREA for Reduce and
// INTER_LINEAR for Resize to more than half the size: the same. To less than
// half Resize halves first, which is no reference's way: marks must lie where
// those of INTER_AREA do, to a tenth of a pixel of the result.
func TestReferenceResample(t *testing.T) {
	chart := reference.Plane(t, "chart")
	var factors []int
	reference.Values(t, "reduce", &factors)
	for _, f := range factors {
		name := fmt.Sprintf("reduce-%d", f)
		reference.Compare(t, name, chart.Reduce(f), reference.Plane(t, name), 0, rounding)
		reference.Compare(t, name+" of 8 bits", raster.ReduceGray(chart.Gray(0, 255), f), reference.Plane(t, name), 0, rounding)
	}
	var sizes [][2]int
	reference.Values(t, "resize", &sizes)
	for _, s := range sizes {
		name := fmt.Sprintf("resize-%d-%d", s[0], s[1])
		reference.Compare(t, name, chart.Resize(s[0], s[1]), reference.Plane(t, name), 0, rounding)
	}
	var at [][2]float64
	var shrunk []struct {
		W, H int
		Dots [][2]float64
	}
	reference.Values(t, "dots", &at)
	reference.Values(t, "shrink", &shrunk)
	dots := reference.Plane(t, "dots")
	for _, s := range shrunk {
		got := dots.Resize(s.W, s.H)
		fx, fy := float64(s.W)/float64(dots.W), float64(s.H)/float64(dots.H)
		worst := 0.0
		for i, d := range at {
			x, y := centre(got, d[0]*fx, d[1]*fy, 12*fx)
			worst = max(worst, math.Hypot(x-s.Dots[i][0], y-s.Dots[i][1]))
		}
		if !(worst < 0.1) {
			t.Errorf("shrunk to %d x %d a dot lies %.2f pixels from the reference's", s.W, s.H, worst)
		}
		t.Logf("shrunk to %d x %d: dots within %.3f pixels", s.W, s.H, worst)
	}
}

// centre is the centre of the brightness above the ground of 20 within r of a
// place.
func centre(p raster.Plane, x, y, r float64) (cx, cy float64) {
	var n float64
	for py := range p.H {
		for px := range p.W {
			dx, dy := float64(px)+0.5, float64(py)+0.5
			if math.Abs(dx-x) > r || math.Abs(dy-y) > r {
				continue
			}
			v := max(float64(p.At(px, py))-20, 0)
			cx, cy, n = cx+v*dx, cy+v*dy, n+v
		}
	}
	return cx / n, cy / n
}

// TestReferenceSample: SciPy 1.10.1 ndimage.map_coordinates of order 1 for
// Bilinear; NumPy 1.24.2 quantile for Quantile, whose rank may be one away.
func TestReferenceSample(t *testing.T) {
	chart := reference.Plane(t, "chart")
	var places [][3]float64
	reference.Values(t, "bilinear", &places)
	for _, p := range places {
		if got := float64(chart.Bilinear(p[0], p[1])); math.Abs(got-p[2]) > rounding {
			t.Errorf("at %v, %v is %v, the reference is %v", p[0], p[1], got, p[2])
		}
	}
	var quantiles []struct{ Q, Low, High float64 }
	reference.Values(t, "quantile", &quantiles)
	for _, q := range quantiles {
		if got := float64(raster.Quantile(slices.Clone(chart.Pix), q.Q)); got < q.Low || got > q.High+1 {
			t.Errorf("quantile %v is %v, the reference is %v to %v", q.Q, got, q.Low, q.High)
		}
	}
	if len(places) < 100 || len(quantiles) < 5 {
		t.Error("the reference has hardly any values")
	}
}
