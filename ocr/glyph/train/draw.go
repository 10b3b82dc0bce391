package main

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"

	"tankroll/ocr/glyph"
	"tankroll/ocr/glyph/face"
)

// artist draws single characters as a head prints them, paper wears them and
// the cleaning steps hand them on. Every sample has its own face, head, wear
// and blur: what they have in common is what makes a character.
type artist struct {
	faces []*face.Face
	rng   *rand.Rand
	style style
	cells [3]dots // left neighbour, the character, right neighbour
	big   []float32
	soft  []float32
}

// style is how one slip is printed and photographed.
type style struct {
	face       *face.Face
	dotX, dotY float64 // size of a dot in face.Master pixels
	pitch      int     // of cells, in dots
	up, down   int     // rows of dots above and below the base line
	threshold  float64 // coverage from which a dot is heated
	bold       bool
	zero       int // 0 as it is, 1 slash, 2 dot, 3 back slash
	drop       float64
	round      float64 // how much of a dot's corner is not heated
	offset     float64 // of the character within its cell, in cells
}

// dots is one cell of heated and unheated dots.
type dots struct {
	on   []float32
	w, h int
}

const super = 3 // pixels drawn for one kept

func newArtist(faces []*face.Face, rng *rand.Rand) *artist {
	return &artist{faces: faces, rng: rng, big: make([]float32, glyph.W*super*glyph.H*super), soft: make([]float32, glyph.W*glyph.H)}
}

func (a *artist) between(lo, hi float64) float64 { return lo + (hi-lo)*a.rng.Float64() }

func (a *artist) chance(p float64) bool { return a.rng.Float64() < p }

// restyle picks a slip.
func (a *artist) restyle() {
	s := &a.style
	s.face = a.faces[a.rng.IntN(len(a.faces))]
	capital := []float64{7, 7, a.between(8, 11), a.between(8, 11), a.between(12, 20), a.between(12, 20), a.between(14, 22), a.between(22, 40)}[a.rng.IntN(8)]
	capital = math.Round(capital)
	s.dotY = face.Master / capital
	s.dotX = s.dotY * a.between(0.72, 1.2)
	s.pitch = max(int(math.Round(s.face.Advance*a.between(0.92, 1.1)/s.dotX)), 5)
	s.up, s.down = int(capital*1.45), int(capital*0.6)
	s.threshold = a.between(0.3, 0.6)
	if capital < 9 {
		s.threshold = a.between(0.25, 0.45)
	}
	s.bold = a.chance(0.12)
	s.zero = []int{0, 0, 0, 0, 1, 1, 1, 2, 2, 3}[a.rng.IntN(10)]
	s.drop = 0
	if a.chance(0.25) {
		s.drop = a.between(0, 0.15)
	}
	s.round = a.between(0, 0.4)
	s.offset = a.between(-0.06, 0.06)
}

// heat fills a cell with a character; r of 0 is a blank.
func (a *artist) heat(d *dots, r rune) {
	s := &a.style
	d.w, d.h = s.pitch, s.up+s.down
	if len(d.on) < d.w*d.h {
		d.on = make([]float32, d.w*d.h)
	}
	clear(d.on)
	l := s.face.Glyphs[r]
	if l == nil {
		return
	}
	margin := (float64(s.pitch)*s.dotX - s.face.Advance) / 2
	for y := range d.h {
		for x := range d.w {
			x0 := float64(x)*s.dotX - margin
			y0 := float64(y-s.up) * s.dotY
			c := l.Cover(x0, y0, x0+s.dotX, y0+s.dotY)
			if r == '0' {
				c = max(c, face.ZeroMark(s.zero, l, x0+s.dotX/2, y0+s.dotY/2))
			}
			if c >= s.threshold && !a.chance(s.drop) {
				d.on[y*d.w+x] = 1
				if s.bold && x+1 < d.w {
					d.on[y*d.w+x+1] = 1
				}
			}
		}
	}
}

// some characters come up more often: what slips are made of.
const often = "0123456789012345678901234567890123456789.,:/-ABCDEFGHIJKLMNOPQRSTUVWXYZABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz=:.,-/"

func (a *artist) anyRune() rune {
	if a.chance(0.6) {
		return rune(often[a.rng.IntN(len(often))])
	}
	return glyph.Alphabet[a.rng.IntN(len(glyph.Alphabet))]
}

// sample draws a character into out and returns its place in the alphabet.
func (a *artist) sample(out []float32) int {
	if a.style.face == nil || a.chance(0.2) {
		a.restyle()
	}
	label := a.anyRune()
	for label != ' ' && a.style.face.Glyphs[label] == nil {
		label = a.anyRune()
	}
	a.heat(&a.cells[1], label)
	for _, k := range []int{0, 2} {
		r := rune(0)
		if a.chance(0.7) {
			r = a.anyRune()
		}
		a.heat(&a.cells[k], r)
	}
	a.paint()
	a.wear(out)
	for i, r := range glyph.Alphabet {
		if r == label {
			return i
		}
	}
	return 0
}

// paint draws the three cells onto the large picture, not quite where they
// should be.
func (a *artist) paint() {
	s := &a.style
	const w, h = glyph.W * super, glyph.H * super
	capital := float64(face.Master) / s.dotY // in dots
	scaleX, scaleY := a.between(0.94, 1.06), a.between(0.91, 1.09)
	shiftX, shiftY := a.between(-0.11, 0.11)+s.offset, a.between(-0.09, 0.09)
	shear, slope := a.between(-0.06, 0.06), a.between(-0.05, 0.05)
	for y := range h {
		cy := -(1 + glyph.Above) + (float64(y)+0.5)/h*(1+glyph.Above+glyph.Below)
		for x := range w {
			cx := (float64(x)+0.5)/w*(1+2*glyph.Side) - glyph.Side
			u := (cx-0.5)*scaleX + 0.5 + shiftX + shear*(cy+0.5)
			v := (cy+0.5)*scaleY - 0.5 + shiftY + slope*(cx-0.5)
			a.big[y*w+x] = a.at(u, v*capital+float64(s.up))
		}
	}
}

// at is the ink u cells from the left and v dots from the top.
func (a *artist) at(u, v float64) float32 {
	k := 1
	switch {
	case u < 0:
		k, u = 0, u+1
	case u >= 1:
		k, u = 2, u-1
	}
	d := &a.cells[k]
	fx := u * float64(d.w)
	x, y := int(fx), int(v)
	if u < 0 || u >= 1 || v < 0 || y >= d.h || x >= d.w {
		return 0
	}
	on := d.on[y*d.w+x]
	if on == 0 {
		return 0
	}
	dx, dy := fx-float64(x)-0.5, v-float64(y)-0.5
	if dx*dx+dy*dy > 0.5-0.5*a.style.round {
		return 0.25
	}
	return on
}

// wear averages the large picture down, blurs it and adds what paper, camera
// and cleaning leave.
func (a *artist) wear(out []float32) {
	const w, h = glyph.W, glyph.H
	for y := range h {
		for x := range w {
			var sum float32
			for dy := range super {
				for dx := range super {
					sum += a.big[(y*super+dy)*w*super+x*super+dx]
				}
			}
			out[y*w+x] = sum / (super * super)
		}
	}
	blur := a.between(0.25, 1.0)
	if a.chance(0.2) {
		blur = a.between(0.8, 1.5)
	}
	smooth(out, a.soft, w, h, blur)
	gain, power := a.between(0.75, 1.3), a.between(0.65, 1.5)
	fine, coarse := 0.0, 0.0
	if a.chance(0.5) {
		fine, coarse = a.between(0, 0.1), a.between(0, 0.15)
	}
	if a.chance(0.15) {
		fine, coarse = a.between(0.05, 0.2), a.between(0.1, 0.35)
	}
	noise := make([]float32, w*h)
	for i := range noise {
		noise[i] = float32(a.rng.NormFloat64())
	}
	grain := append([]float32(nil), noise...)
	smooth(noise, a.soft, w, h, a.between(0.6, 1.4))
	fold := a.fold()
	for i := range out {
		v := math.Pow(float64(out[i]), power)*gain + fold(i%w, i/w) + fine*float64(grain[i]) + coarse*2*float64(noise[i])
		out[i] = float32(min(max(v, 0), 1.15))
	}
}

// fold is a dark or bare line across some cells.
func (a *artist) fold() func(x, y int) float64 {
	if !a.chance(0.08) {
		return func(int, int) float64 { return 0 }
	}
	t := a.between(0, math.Pi)
	nx, ny := math.Cos(t), math.Sin(t)
	at := nx*a.between(0, glyph.W) + ny*a.between(0, glyph.H)
	deep, wide := a.between(-0.9, 0.7), a.between(0.5, 1.6)
	return func(x, y int) float64 {
		d := (nx*float64(x) + ny*float64(y) - at) / wide
		return deep * math.Exp(-d*d)
	}
}

func smooth(p, tmp []float32, w, h int, sigma float64) {
	k := [3]float32{}
	var sum float32
	for i := range k {
		k[i] = float32(math.Exp(-float64(i*i) / (2 * sigma * sigma)))
		sum += k[i]
		if i > 0 {
			sum += k[i]
		}
	}
	pass := func(src, dst []float32, step, n, line, lines int) {
		for l := range lines {
			for i := range n {
				s := k[0] * src[l*line+i*step]
				for d := 1; d < 3; d++ {
					s += k[d] * (src[l*line+max(i-d, 0)*step] + src[l*line+min(i+d, n-1)*step])
				}
				dst[l*line+i*step] = s / sum
			}
		}
	}
	pass(p, tmp, 1, w, w, h)
	pass(tmp, p, w, h, 1, w)
}

// sheet writes a picture of samples to look at.
func sheet(file string, faces []*face.Face, seed uint64) error {
	const nx, ny = 40, 24
	a := newArtist(faces, rand.New(rand.NewPCG(seed, 3)))
	img := image.NewGray(image.Rect(0, 0, nx*(glyph.W+2), ny*(glyph.H+2)))
	cell := make([]float32, glyph.W*glyph.H)
	for i := range nx * ny {
		a.sample(cell)
		for k, v := range cell {
			img.SetGray(i%nx*(glyph.W+2)+k%glyph.W, i/nx*(glyph.H+2)+k/glyph.W, color.Gray{Y: 255 - uint8(min(v, 1)*255)})
		}
	}
	return face.WriteSheet(file, img)
}
