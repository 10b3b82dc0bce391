package ink

import (
	"math"
	"math/rand/v2"

	"tankroll/ocr/raster"
)

// The sizes of a sheet in pixels, as a slip has them when it is read.
const (
	sheetW, sheetH = 720, 720
	sheetEm        = 42 // height of a character
	sheetCap       = 30 // of a capital
	sheetCell      = 24
	sheetPitch     = 60
	sheetMargin    = 60
	sheetLight     = 225 // of bare paper, levels
)

// sheet is drawn paper with lines of letters on it.
type sheet struct {
	print float64                    // density of print
	pen   int                        // width of a letter's strokes, pixels
	grain float64                    // standard deviation of the paper, levels
	dirt  func(x, y float64) float64 // density of what lies on the paper besides
	shade func(x, y float64) float64 // share of the light that a place has; nil for all of it
}

// stroke is whether a place is inked: letters of two uprights with a bar between them.
func (s sheet) stroke(x, y int) bool {
	if min(x, y) < sheetMargin || max(x, y) >= sheetW-sheetMargin {
		return false
	}
	u, v := (x-sheetMargin)%sheetCell, (y-sheetMargin)%sheetPitch
	top := sheetCap/2 - s.pen/2
	return v < sheetCap && (u < s.pen || u >= 18-s.pen && u < 18 || u < 18 && v >= top && v < top+s.pen)
}

// bare is whether a place lies between the lines.
func (s sheet) bare(y int) bool {
	v := (y - sheetMargin) % sheetPitch
	return v > sheetCap+3 && v < sheetPitch-3
}

// light is the share of the light that a place has.
func (s sheet) light(x, y int) float64 {
	if s.shade == nil {
		return 1
	}
	return s.shade(float64(x), float64(y))
}

func (s sheet) draw() raster.Plane {
	p, rng := raster.New(sheetW, sheetH), rand.New(rand.NewPCG(5, 6))
	for y := range sheetH {
		for x := range sheetW {
			d := 0.0
			if s.stroke(x, y) {
				d = s.print
			}
			if s.dirt != nil {
				d += s.dirt(float64(x), float64(y))
			}
			p.Pix[y*sheetW+x] = float32(sheetLight * s.light(x, y) * math.Exp(-d))
		}
	}
	p = p.Blur(0.9)
	for i, v := range p.Pix {
		p.Pix[i] = float32(math.Round(float64(v) + s.grain*rng.NormFloat64()))
	}
	return p
}

// seen is the mean density of the print where within says so, and how much of the bare
// paper there looks like faint print, both against a level of print.
func (s sheet) seen(d Density, level float64, within func(x, y float64) bool) (print, dirt float64) {
	const faint = 0.12
	var prints, marked, papers float64
	for y := sheetMargin; y < sheetH-sheetMargin; y++ {
		for x := sheetMargin; x < sheetW-sheetMargin; x++ {
			if !within(float64(x), float64(y)) {
				continue
			}
			v := float64(d.At(x, y)) / level
			switch {
			case s.stroke(x-1, y) && s.stroke(x+1, y) && s.stroke(x, y-1) && s.stroke(x, y+1):
				print, prints = print+v, prints+1
			case s.bare(y):
				if papers++; v > faint {
					marked++
				}
			}
		}
	}
	return print / prints, marked / papers
}
