package paper

import (
	"fmt"
	"math"
	"testing"

	"tankroll/ocr/raster"
	"tankroll/ocr/reference"
	"tankroll/record"
)

func quadOf(p [4][2]float64) (q Quad) {
	for i, c := range p {
		q[i] = record.Point{X: c[0], Y: c[1]}
	}
	return q
}

// TestReferenceHomography: scikit-image 0.19.3 transform.ProjectiveTransform
// (OpenCV 4.6.0 cv2.getPerspectiveTransform is within 0.01 of it), on sheets of
// up to 3,000 x 4,000 pixels before a leaning camera: to a thousandth of a pixel.
func TestReferenceHomography(t *testing.T) {
	var sheets []struct {
		Quad       [4][2]float64
		Flat, Seen [][2]float64
	}
	reference.Values(t, "homography", &sheets)
	worst := 0.0
	for _, s := range sheets {
		m, ok := NewMap(quadOf(s.Quad))
		if !ok {
			t.Fatalf("no map to %v", s.Quad)
		}
		for i, p := range s.Flat {
			x, y := m.ToOriginal(p[0], p[1])
			worst = max(worst, math.Hypot(x-s.Seen[i][0], y-s.Seen[i][1]))
		}
	}
	if !(worst < 1e-3) || len(sheets) < 20 {
		t.Errorf("%d sheets: a place lies %.5f pixels from the reference's", len(sheets), worst)
	}
	t.Logf("%d sheets: places within %.2g pixels", len(sheets), worst)
}

// TestReferenceFlatten: scikit-image 0.19.3 transform.warp of order 1 for each
// pixel (OpenCV 4.6.0 cv2.warpPerspective, which knows places to a 32nd of a
// pixel, is within 7 levels of it). Marks on the sheet, found on either's
// picture, lie together, and lie where they were drawn: to under half a pixel.
// OpenCV's cv2.cornerSubPix finds them within 0.35 of the same places.
func TestReferenceFlatten(t *testing.T) {
	var marks struct {
		Quad   [4][2]float64
		W, H   float64
		At     [][2]float64
		Scales []struct {
			Scale float64
			Found [][2]float64
		}
	}
	reference.Values(t, "marks", &marks)
	m, ok := NewMap(quadOf(marks.Quad))
	if !ok || math.Abs(m.W-marks.W) > 1e-6 || math.Abs(m.H-marks.H) > 1e-6 {
		t.Fatalf("the sheet is %v x %v, the reference's %v x %v", m.W, m.H, marks.W, marks.H)
	}
	original := raster.NewPyramid(reference.Plane(t, "marks"))
	for _, s := range marks.Scales {
		name := fmt.Sprintf("marks-flat-%v", s.Scale)
		flat := m.Flatten(original, s.Scale)
		// Marks have steps of 200 levels, and places between every eighth pixel
		// are straight: 4 levels are a fiftieth of a pixel.
		reference.Compare(t, name, flat, reference.Plane(t, name), 0, 4)
		apart, off := 0.0, 0.0
		for i, f := range s.Found {
			x, y := marks.At[i][0]*s.Scale, marks.At[i][1]*s.Scale
			gx, gy := centreAbove(flat, 20, x, y, 14*s.Scale)
			apart, off = max(apart, math.Hypot(gx-f[0], gy-f[1])), max(off, math.Hypot(gx-x, gy-y))
		}
		if !(apart < 0.5 && off < 0.5) {
			t.Errorf("scale %v: a mark lies %.3f pixels from the reference's, %.3f from where it was drawn", s.Scale, apart, off)
		}
		t.Logf("scale %v: marks within %.3f pixels of the reference's, %.3f of where they were drawn", s.Scale, apart, off)
	}
	var photo struct{ Quad [4][2]float64 }
	reference.Values(t, "photo", &photo)
	m, ok = NewMap(quadOf(photo.Quad))
	if !ok {
		t.Fatal("no map")
	}
	reference.Compare(t, "photo-flat", m.Flatten(raster.NewPyramid(reference.Plane(t, "photo")), 1), reference.Plane(t, "photo-flat"), 0, 0.5)
}

// centreAbove is the centre of what is brighter than a ground within r of a
// place.
func centreAbove(p raster.Plane, ground, x, y, r float64) (cx, cy float64) {
	var n float64
	for py := range p.H {
		for px := range p.W {
			dx, dy := float64(px)+0.5, float64(py)+0.5
			if math.Abs(dx-x) > r || math.Abs(dy-y) > r {
				continue
			}
			v := max(float64(p.At(px, py))-ground, 0)
			cx, cy, n = cx+v*dx, cy+v*dy, n+v
		}
	}
	return cx / n, cy / n
}

// TestReferenceTurn: OpenCV 4.6.0 cv2.getRotationMatrix2D about the middle.
func TestReferenceTurn(t *testing.T) {
	var turns struct {
		Quad [4][2]float64
		By   []struct {
			Degrees    float64
			Flat, Seen [][2]float64
		}
	}
	reference.Values(t, "turns", &turns)
	m, ok := NewMap(quadOf(turns.Quad))
	if !ok || len(turns.By) == 0 {
		t.Fatal("no map or no turns")
	}
	for _, by := range turns.By {
		s := m.Skewed(by.Degrees)
		for i, p := range by.Flat {
			x, y := s.ToOriginal(p[0], p[1])
			if d := math.Hypot(x-by.Seen[i][0], y-by.Seen[i][1]); !(d < 1e-6) {
				t.Errorf("turned by %v, %v lies %v pixels from the reference's place", by.Degrees, p, d)
			}
		}
	}
}

// TestReferenceSkew: how far lines fall, to a tenth of a degree. Drawn lines: the
// main axis of each line by OpenCV 4.6.0 cv2.moments, within 0.1 of what was
// drawn. Print of kept scans: the angle of scikit-image 0.19.3 transform.radon
// with the roughest profile, within 0.1 of where the truth has the lines.
func TestReferenceSkew(t *testing.T) {
	const most, tolerance = 10, 0.1
	var skews []struct {
		Picture         string
		True, Reference float64
	}
	reference.Values(t, "skew", &skews)
	if len(skews) < 10 {
		t.Errorf("%d pictures", len(skews))
	}
	for _, s := range skews {
		got, _ := MeasureSkew(reference.Plane(t, s.Picture), most)
		if !(math.Abs(got-s.Reference) <= tolerance && math.Abs(got-s.True) <= tolerance) {
			t.Errorf("%s falls by %.3f degrees, the reference says %.3f and the truth is %.3f", s.Picture, got, s.Reference, s.True)
		}
		t.Logf("%s: %+.3f from the reference, %+.3f from the truth", s.Picture, got-s.Reference, got-s.True)
	}
}
