package paper

import (
	"math"
	"testing"

	"tankroll/ocr/raster"
)

// FuzzFind: whatever the planes, and however small or narrow, Find ends with outlines
// that lie on the picture.
func FuzzFind(f *testing.F) {
	const wide, most = 64, 130 // small pictures, so that many are tried
	slip := newScene(wide, 90, slopingGround)
	slip.paint(Quad{{X: 10, Y: 9}, {X: 50, Y: 11}, {X: 51, Y: 80}, {X: 9, Y: 78}}, func(_, v float64, x, y int) {
		slip.luma.Pix[y*wide+x] = 230
		if int(30*v)%3 == 1 && x%4 < 2 {
			slip.luma.Pix[y*wide+x] = 60
		}
	})
	for _, w := range []uint8{1, 2, 63, wide, 65, most} {
		f.Add(w, w == wide, w == wide, slip.luma.Pix)
		f.Add(w, false, true, slip.luma.Pix[:most])
	}
	f.Add(uint8(1), true, true, []byte{0})
	f.Add(uint8(7), false, true, make([]byte, 49))
	f.Fuzz(func(t *testing.T, w uint8, colour, likely bool, pix []byte) {
		width := max(int(w)%(most+1), 1)
		height := min((len(pix)+width-1)/width, most)
		if height == 0 {
			return
		}
		// The planes hold the same bytes, each from another place on.
		plane := func(from int, value func(byte) float32) raster.Plane {
			out := raster.New(width, height)
			for i := range out.Pix {
				out.Pix[i] = value(pix[(i+from)%len(pix)])
			}
			return out
		}
		p := Planes{Luma: plane(0, func(b byte) float32 { return float32(b) }), Step: 3}
		if colour {
			difference := func(b byte) float32 { return float32(b) - 128 }
			p.Blue, p.Red = plane(len(pix)/3, difference), plane(len(pix)/2, difference)
		}
		if likely {
			p.Likely = plane(0, func(b byte) float32 { return float32(b) / 255 })
		}
		for _, c := range findIn(t, p) {
			if !(c.Confidence >= 0 && c.Confidence <= 1) {
				t.Errorf("confidence %v", c.Confidence)
			}
			for _, at := range c.Quad {
				// As far beside the picture as laying a side on a step of brightness and to
				// the border may move it.
				const beside = snapMost*math.Sqrt2 + shortOfBorder*most
				if x, y := at.X/p.Step, at.Y/p.Step; !(min(x, y) >= -beside && x <= float64(width)+beside && y <= float64(height)+beside) {
					t.Errorf("corners %v on a picture of %v by %v", c.Quad, p.Step*float64(width), p.Step*float64(height))
					break
				}
			}
			if m, ok := NewMap(c.Quad); ok {
				if x, y := m.ToOriginal(m.W/2, m.H/2); math.IsNaN(x + y) {
					t.Errorf("the middle of %v lies nowhere", c.Quad)
				}
			}
		}
	})
}
