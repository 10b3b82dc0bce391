package ocr

import (
	"image"
	"math"
)

// printRoom is the distance from a line to the picture's border, in distances of
// lines, below which print runs off the picture: printers leave two lines and
// more bare at either end of a slip.
const printRoom = 0.9

// cutOff is whether printed lines run off the picture: the slip goes on to the
// picture's border and so does its print.
func (u upright) cutOff(size image.Point) bool {
	pitch := u.layout.Pitch / u.scale
	for _, b := range u.layout.Bands {
		if float64(b.X1-b.X0) < 2*u.layout.Cap {
			continue
		}
		for _, x := range []int{b.X0, (b.X0 + b.X1) / 2, b.X1} {
			for _, y := range []int{b.Y0, b.Y1} {
				px, py := u.m.ToOriginal(float64(x)/u.scale, float64(y)/u.scale)
				d := math.Min(math.Min(px, float64(size.X)-px), math.Min(py, float64(size.Y)-py))
				if d < printRoom*pitch {
					return true
				}
			}
		}
	}
	return false
}
