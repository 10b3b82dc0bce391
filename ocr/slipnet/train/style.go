package main

import (
	"math"
	"math/rand/v2"

	"tankroll/ocr/glyph/face"
)

// style is how one slip is printed, worn and photographed. Every slip has its
// own, so what its characters share is only what makes them characters and what
// one head gives them all.
type style struct {
	face      *face.Face
	other     *face.Face // where some kinds of characters come from
	borrowed  [4]bool    // digits, capitals, small letters, marks
	tall      float64    // how much higher the middle of letters stands, in capitals
	full      float64    // how much wider than its sides a letter's middle is
	slim      float64    // width of letters in their cells, 1 as the face has it
	dotY      float64    // size of a dot in the master's pixels
	pitch     int        // of cells, in dots
	columns   float64    // of them that the face's own width fills
	up, down  int        // rows of dots above and below the base line
	threshold float64
	weight    float64 // by how many dots strokes are widened before heating
	bold      bool
	zero      int     // 0 as it is, 1 slash, 2 dot, 3 back slash
	drop      float64 // share of dots that stay cold
	round     float64 // how much of a dot's corner is not heated
	margin    float64 // left of the letter beyond what the face has, in dots
	aspect    float64 // width of a cell in capitals
	blur      float64 // in rows of the picture
	gain      float64
	gamma     float64
	fine      float64 // grain
	coarse    float64 // blotches
	scaleX    float64
	scaleY    float64
	wander    float64 // how far the grid was missed, in cells
	bob       float64 // how far the base line was missed, in capitals
	heated    map[rune]dots
}

// dots is one cell of heated and unheated dots.
type dots struct {
	on   []bool
	w, h int
}

type dice struct{ *rand.Rand }

func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

func (d dice) chance(p float64) bool { return d.Float64() < p }

// newStyle picks a slip.
func newStyle(f, other *face.Face, d dice) *style {
	s := &style{face: f, other: other, slim: 1, heated: map[rune]dots{}}
	s.redraw(d)
	switch r := d.Float64(); {
	case r < 0.06: // narrow print of double height
		s.aspect = d.between(0.26, 0.45)
	case r < 0.3:
		s.aspect = d.between(0.42, 0.65)
	case r < 0.88:
		s.aspect = d.between(0.62, 0.98)
	default:
		s.aspect = d.between(0.95, 1.4)
	}
	// Half of the slips keep the proportions of their face.
	if d.chance(0.4) {
		s.aspect = f.Advance / face.Master * d.between(0.9, 1.1)
	}
	capital := math.Round([]float64{7, d.between(8, 11), d.between(12, 16), d.between(14, 18), d.between(15, 20), d.between(16, 24), d.between(22, 40)}[d.IntN(7)])
	if f.Name == "matrix" && d.chance(0.8) {
		capital = 7
	}
	s.threshold = d.between(0.3, 0.6)
	if capital < 9 {
		s.threshold = d.between(0.25, 0.45)
	}
	s.pitch = max(int(math.Round(capital*s.aspect)), 5)
	if f.Dots > 0 && d.chance(0.8) {
		capital, s.pitch, s.threshold = float64(f.Dots), f.Columns, 0.5
	}
	s.dotY = face.Master / capital
	s.columns = float64(s.pitch)
	if d.chance(0.3) {
		s.pitch++
	}
	s.up, s.down = int(capital*1.5), int(capital*0.7)
	if d.chance(0.35) {
		s.weight = d.between(0, 1.4)
	}
	s.bold = d.chance(0.1)
	s.zero = []int{0, 0, 0, 0, 0, 1, 1, 2, 2, 3}[d.IntN(10)]
	if d.chance(0.25) {
		s.drop = d.between(0, 0.15)
	}
	s.round = d.between(0, 0.4)
	s.margin = float64(d.IntN(3)) / 2
	s.scaleX, s.scaleY = d.between(0.97, 1.03), d.between(0.92, 1.08)
	s.wander, s.bob = d.between(0, 0.12), d.between(0, 0.07)
	s.weather(d)
	return s
}

// redraw changes the face itself, so that there are more faces than fonts: some
// kinds of characters come from another, and all are a little higher, wider or
// slimmer. Half of the slips keep their face.
func (s *style) redraw(d dice) {
	if d.chance(0.2) {
		for i := range s.borrowed {
			s.borrowed[i] = d.chance(0.5)
		}
	}
	if d.chance(0.35) {
		s.tall = d.between(-0.12, 0.12)
	}
	if d.chance(0.35) {
		s.full = d.between(-0.35, 0.35)
	}
	if d.chance(0.25) {
		s.slim = d.between(0.8, 1.06)
	}
}

// faceOf is the face that a character comes from.
func (s *style) faceOf(r rune) *face.Face {
	kind := 3
	switch {
	case r >= '0' && r <= '9':
		kind = 0
	case r >= 'A' && r <= 'Z':
		kind = 1
	case r >= 'a' && r <= 'z':
		kind = 2
	}
	if s.borrowed[kind] && s.other.Glyphs[r] != nil {
		return s.other
	}
	return s.face
}

// bent takes a place in a cell, as a share of its width from the left and in
// capitals above the base line, to where the face has it.
func (s *style) bent(u, v float64) (float64, float64) {
	if v > 0 && v < 1 {
		v -= s.tall * math.Sin(math.Pi*v)
	}
	if u > 0 && u < 1 {
		u += s.full * math.Sin(2*math.Pi*u) / (2 * math.Pi)
	}
	return 0.5 + (u-0.5)/s.slim, v
}

// weather picks what paper, camera and cleaning do to the slip.
func (s *style) weather(d dice) {
	s.blur = d.between(0.3, 1.0)
	if d.chance(0.25) {
		s.blur = d.between(0.8, 1.7)
	}
	s.gain, s.gamma = d.between(0.75, 1.3), d.between(0.65, 1.5)
	if d.chance(0.15) {
		s.gain = d.between(0.4, 0.8)
	}
	switch r := d.Float64(); {
	case r < 0.45:
	case r < 0.87:
		s.fine, s.coarse = d.between(0, 0.1), d.between(0, 0.15)
	default:
		s.fine, s.coarse = d.between(0.05, 0.22), d.between(0.08, 0.35)
	}
}

// heat gives a character's dots, the same wherever it stands on the slip.
func (s *style) heat(r rune, d dice) dots {
	if c, ok := s.heated[r]; ok {
		return c
	}
	c := dots{w: s.pitch, h: s.up + s.down}
	c.on = make([]bool, c.w*c.h)
	s.heated[r] = c
	f := s.faceOf(r)
	l := f.Glyphs[r]
	if l == nil {
		return c
	}
	dotX := f.Advance / s.columns
	more := s.weight * dotX / 2
	for y := range c.h {
		for x := range c.w {
			u, v := s.bent((float64(x)+0.5-s.margin)/s.columns, (float64(s.up-y)-0.5)*s.dotY/face.Master)
			midX, midY := u*f.Advance, -v*face.Master
			x0, y0 := midX-dotX/2, midY-s.dotY/2
			ink := l.Cover(x0-more, y0, x0+dotX+more, y0+s.dotY) * (1 + 2*more/dotX)
			if r == '0' {
				ink = max(ink, face.ZeroMark(s.zero, l, midX, y0+s.dotY/2))
			}
			if ink >= s.threshold {
				c.on[y*c.w+x] = true
				if s.bold && x+1 < c.w {
					c.on[y*c.w+x+1] = true
				}
			}
		}
	}
	return c
}
