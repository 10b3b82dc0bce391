package marks

import (
	"image"

	"tankroll/ocr/raster"
)

// A stamp has a frame, of one or two lines, and letters in it; a ring that somebody
// draws round a result has none of its ink inside.
const (
	frameSide   = 11.0 // millimetres, the shorter side of a frame at least
	insideParts = 3    // of its ink
)

// isStamp says whether parts of one ink, on a plane w wide, are a stamp.
func isStamp(parts []raster.Mark, w int, mm float64) bool {
	for _, frame := range parts {
		if float64(min(frame.Box.Dx(), frame.Box.Dy())) < frameSide*mm*0.55 || !surrounds(frame, w) {
			continue
		}
		n := 0
		inner := frame.Box.Inset(int(0.4 * mm))
		for _, p := range parts {
			if p.Box != frame.Box && p.Box.In(inner) && float64(max(p.Box.Dx(), p.Box.Dy())) > mm {
				n++
			}
		}
		if n >= insideParts {
			return true
		}
	}
	return false
}

// surrounds is whether a part has ink on all four sides of its middle.
func surrounds(m raster.Mark, w int) bool {
	mid := m.Box.Min.Add(m.Box.Max).Div(2)
	band := image.Pt(max(m.Box.Dx()/10, 2), max(m.Box.Dy()/10, 2))
	var sides [4]bool
	for _, k := range m.Places {
		x, y := int(k)%w, int(k)/w
		if x > mid.X-band.X && x < mid.X+band.X {
			sides[0], sides[1] = sides[0] || y < mid.Y-2*band.Y, sides[1] || y > mid.Y+2*band.Y
		}
		if y > mid.Y-band.Y && y < mid.Y+band.Y {
			sides[2], sides[3] = sides[2] || x < mid.X-2*band.X, sides[3] || x > mid.X+2*band.X
		}
	}
	return sides == [4]bool{true, true, true, true}
}
