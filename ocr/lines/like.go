package lines

import (
	"math"

	"tankroll/ocr/raster"
)

const (
	// fewestLike is how many like marks at equal steps make a rule of a line.
	fewestLike = 8
	// leastLike is how like they must be, 0 to 1: the correlation of a line's
	// ink with itself one step further on. Words and figures are below 0.5.
	leastLike = 0.72
	// likeParts is in how many rows' groups ink is compared, so that marks of other
	// shapes at equal steps are not alike.
	likeParts = 4
)

// likeMarks is whether a band holds nothing but one mark over and over, such as
// ***** or =====: print that says nothing and that a recognizer reads as anything.
func likeMarks(p raster.Plane, b Band, cap float64) bool {
	parts := make([][]float32, likeParts)
	for i := range parts {
		y0, y1 := b.Y0+i*b.Height()/likeParts, b.Y0+(i+1)*b.Height()/likeParts
		parts[i] = columns(p, y0, y1)[b.X0:b.X1]
		level := float32(mean(parts[i]))
		for x := range parts[i] {
			parts[i][x] -= level
		}
	}
	best := 0.0
	for step := int(0.3 * cap); step <= int(1.5*cap) && step*fewestLike <= b.X1-b.X0; step++ {
		var same, here, there float64
		for _, v := range parts {
			for x := 0; x+step < len(v); x++ {
				a, c := float64(v[x]), float64(v[x+step])
				same, here, there = same+a*c, here+a*a, there+c*c
			}
		}
		best = max(best, same/math.Max(math.Sqrt(here*there), 1e-9))
	}
	return best > leastLike
}
