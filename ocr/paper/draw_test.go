package paper

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"

	"tankroll/ocr/raster"
)

// scene is a picture to draw slips on.
type scene struct {
	luma, cb, cr *image.Gray
	rng          *rand.Rand
}

// newScene is w x h pixels of ground, which says how bright a place is.
func newScene(w, h int, ground func(x, y int, rng *rand.Rand) float64) *scene {
	r := image.Rect(0, 0, w, h)
	s := &scene{image.NewGray(r), image.NewGray(r), image.NewGray(r), rand.New(rand.NewPCG(3, 4))}
	for y := range h {
		for x := range w {
			s.luma.Pix[y*w+x] = byteOf(ground(x, y, s.rng))
			s.cb.Pix[y*w+x], s.cr.Pix[y*w+x] = 128, 128
		}
	}
	return s
}

func byteOf(v float64) uint8 { return uint8(min(max(v, 0), 255)) }

func (s *scene) planes() Planes { return Reduced(s.luma, s.cb, s.cr) }

// paint sets what lies inside q, by the place on the paper from 0 to 1.
func (s *scene) paint(q Quad, f func(u, v float64, x, y int)) {
	m, _ := NewMap(q)
	y0, y1 := rowsOf(q)
	for y := max(int(y0), 0); y < min(int(y1)+1, s.luma.Rect.Dy()); y++ {
		l, r := cutRow(q, float64(y)+0.5)
		for x := max(int(math.Round(l)), 0); x < min(int(math.Round(r)), s.luma.Rect.Dx()); x++ {
			u, v := back(m.h, float64(x)+0.5, float64(y)+0.5)
			f(u/m.W, v/m.H, x, y)
		}
	}
}

// slip lays a printed slip on q: paper so bright, with lines of print and some
// grain.
func (s *scene) slip(q Quad, bright float64) {
	const lines, chars = 16, 30
	ink := map[[2]int]float64{}
	s.paint(q, func(u, v float64, x, y int) {
		val := bright + 1.5*s.rng.NormFloat64()
		line, inLine := math.Modf((v - 0.1) / 0.8 * lines)
		char, inChar := math.Modf((u - 0.08) / 0.84 * chars)
		if v > 0.1 && v < 0.9 && u > 0.08 && u < 0.92 && inLine < 0.55 && inChar < 0.6 {
			at := [2]int{int(line), int(char)}
			if _, ok := ink[at]; !ok {
				ink[at] = float64(s.rng.IntN(4)) / 3
			}
			if ink[at] > 0 {
				val -= 0.7 * bright * (0.5 + 0.5*ink[at])
			}
		}
		s.luma.SetGray(x, y, color.Gray{Y: byteOf(val)})
	})
}

// stripe prints a band of a colour along the slip on q, from one share of its
// width and length to others. keep is the share of the light that is left.
func (s *scene) stripe(q Quad, u0, u1, v0, v1, keep float64, cb, cr uint8) {
	s.paint(q, func(u, v float64, x, y int) {
		if u < u0 || u > u1 || v < v0 || v > v1 {
			return
		}
		i := y*s.luma.Stride + x
		s.luma.Pix[i] = byteOf(float64(s.luma.Pix[i]) * (keep + 0.04*s.rng.NormFloat64()))
		s.cb.Pix[i], s.cr.Pix[i] = cb, cr
	})
}

func (s *scene) original() raster.Pyramid { return raster.NewPyramid(raster.FromGray(s.luma)) }
