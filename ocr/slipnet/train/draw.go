package main

import (
	"math"

	"tankroll/ocr/slipnet"
)

// canvas draws the lines of one slip as they are handed to the network.
type canvas struct {
	s         *style
	d         dice
	big       []float32 // super pixels drawn for one kept, in both directions
	tmp, blob []float32
	shift     float64 // how far the base line is drawn too low, in capitals
}

const super = 2

// wave is a slow random swing along a line.
type wave struct{ a, b, c, f1, f2, p1, p2 float64 }

func newWave(size float64, cells int, d dice) wave {
	n := float64(cells)
	return wave{d.between(-0.6, 0.6) * size, d.between(-0.5, 0.5) * size, d.between(-0.4, 0.4) * size,
		d.between(0.5, 2) * 2 * math.Pi / n, d.between(2, 5) * 2 * math.Pi / n, d.between(0, 6.3), d.between(0, 6.3)}
}

func (w wave) at(x float64) float64 {
	return w.a + w.b*math.Sin(w.f1*x+w.p1) + w.c*math.Sin(w.f2*x+w.p2)
}

// line draws text into out, H rows of W pixels a cell.
func (c *canvas) line(text []rune, out []float32) {
	s, d := c.s, c.d
	n := len(text)
	w, h := n*slipnet.W*super, slipnet.H*super
	if len(c.big) < w*h {
		c.big, c.tmp, c.blob = make([]float32, w*h), make([]float32, w*h), make([]float32, w*h)
	}
	cells := make([]dots, n)
	for i, r := range text {
		cells[i] = c.cold(s.heat(r, d))
	}
	const tall = 1 + slipnet.Above + slipnet.Below
	capital := float64(s.up) / 1.5
	dx, dy, strength := newWave(s.wander, n, d), newWave(s.bob, n, d), newWave(0.25, n, d)
	shear := d.between(-0.05, 0.05)
	for x := range w {
		u := (float64(x) + 0.5) / (slipnet.W * super)
		off, lift := dx.at(u), dy.at(u)
		ink := float32(1 + strength.at(u))
		for y := range h {
			cy := -(1 + slipnet.Above) - c.shift + (float64(y)+0.5)/float64(h)*tall
			px := u + off + shear*(cy+0.5)
			k := int(math.Floor(px))
			if k < 0 || k >= n {
				c.big[y*w+x] = 0
				continue
			}
			fx := (px - float64(k) - 0.5) * s.scaleX
			v := ((cy+0.5)*s.scaleY-0.5+lift)*capital*1.0001 + float64(s.up)
			c.big[y*w+x] = ink * c.dot(cells[k], fx+0.5, v)
		}
	}
	c.down(w, h, out)
	c.wear(n*slipnet.W, out)
}

// cold leaves some dots unheated.
func (c *canvas) cold(in dots) dots {
	if c.s.drop == 0 {
		return in
	}
	out := in
	out.on = make([]bool, len(in.on))
	for i, v := range in.on {
		out.on[i] = v && !c.d.chance(c.s.drop)
	}
	return out
}

func (c *canvas) dot(d dots, u, v float64) float32 {
	fx := u * float64(d.w)
	x, y := int(fx), int(v)
	if u < 0 || v < 0 || x >= d.w || y >= d.h || !d.on[y*d.w+x] {
		return 0
	}
	dx, dy := fx-float64(x)-0.5, v-float64(y)-0.5
	if dx*dx+dy*dy > 0.5-0.5*c.s.round {
		return 0.25
	}
	return 1
}

// down averages the large picture to the one kept.
func (c *canvas) down(w, h int, out []float32) {
	ow := w / super
	for y := range h / super {
		for x := range ow {
			var sum float32
			for dy := range super {
				for dx := range super {
					sum += c.big[(y*super+dy)*w+x*super+dx]
				}
			}
			out[y*ow+x] = sum / (super * super)
		}
	}
}

// wear blurs, fades and stains. Blur is round on the paper, so it is wider here
// where cells are narrow.
func (c *canvas) wear(w int, out []float32) {
	s, d := c.s, c.d
	h := slipnet.H
	rows := float64(h) / (1 + slipnet.Above + slipnet.Below) // of a capital
	across := slipnet.W / (s.aspect * rows)                  // pixels across for one down
	smooth(out, c.tmp, w, h, s.blur*across, s.blur)
	blob := c.blob[:w*h]
	clear(blob)
	if s.coarse > 0 {
		for i := range blob {
			blob[i] = float32(d.NormFloat64())
		}
		size := d.between(0.6, 1.5)
		smooth(blob, c.tmp, w, h, size*across, size)
	}
	marks := c.marks(w)
	for i := range out {
		v := math.Pow(float64(max(out[i], 0)), s.gamma) * s.gain
		if s.coarse > 0 {
			v += 2.5 * s.coarse * float64(blob[i])
		}
		if s.fine > 0 {
			v += s.fine * d.NormFloat64()
		}
		x, y := float64(i%w), float64(i/w)
		for _, m := range marks {
			if t := (m.nx*x + m.ny*y - m.at) / m.wide; t > -3 && t < 3 {
				v += m.deep * math.Exp(-t*t)
			}
		}
		out[i] = float32(min(max(v, 0), 1.15))
	}
}

// mark is a dark or bare straight line over the print: a fold, a scratch, a dead
// dot, a rule or a neighbouring line that reaches in.
type mark struct{ nx, ny, at, deep, wide float64 }

func (c *canvas) marks(w int) []mark {
	d := c.d
	var out []mark
	if d.chance(0.25) {
		t := d.between(0, math.Pi)
		nx, ny := math.Cos(t), math.Sin(t)
		out = append(out, mark{nx, ny, nx*d.between(0, float64(w)) + ny*d.between(0, slipnet.H), d.between(-0.9, 0.7), d.between(0.5, 1.8)})
	}
	if d.chance(0.15) { // along the line
		out = append(out, mark{0, 1, d.between(0, slipnet.H), d.between(-0.9, 0.5), d.between(0.4, 1.2)})
	}
	if d.chance(0.12) { // above or below it
		at := -0.5
		if d.chance(0.5) {
			at = slipnet.H - 0.5
		}
		out = append(out, mark{0, 1, at, d.between(0.2, 1), d.between(0.5, 2.5)})
	}
	if d.chance(0.1) {
		out = append(out, mark{1, 0, d.between(0, float64(w)), d.between(-1, -0.5), d.between(0.4, 1.5)})
	}
	return out
}

// smooth blurs with a Gaussian of different width across and down.
func smooth(p, tmp []float32, w, h int, sx, sy float64) {
	kernel := func(sigma float64) []float32 {
		n := min(int(2.5*sigma)+1, 6)
		k := make([]float32, n+1)
		sum := float32(0)
		for i := range k {
			k[i] = float32(math.Exp(-float64(i*i) / (2 * sigma * sigma)))
			sum += k[i]
			if i > 0 {
				sum += k[i]
			}
		}
		for i := range k {
			k[i] /= sum
		}
		return k
	}
	kx, ky := kernel(max(sx, 0.2)), kernel(max(sy, 0.2))
	for y := range h {
		row := p[y*w : (y+1)*w]
		for x := range w {
			v := kx[0] * row[x]
			for i := 1; i < len(kx); i++ {
				v += kx[i] * (row[max(x-i, 0)] + row[min(x+i, w-1)])
			}
			tmp[y*w+x] = v
		}
	}
	for y := range h {
		for x := range w {
			v := ky[0] * tmp[y*w+x]
			for i := 1; i < len(ky); i++ {
				v += ky[i] * (tmp[max(y-i, 0)*w+x] + tmp[min(y+i, h-1)*w+x])
			}
			p[y*w+x] = v
		}
	}
}
