package marks

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/decode/pixels"
	"tankroll/ocr/raster"
	"tankroll/record"
)

// area is the part of a page around one outline, on the grid of its colour.
type area struct {
	page     pixels.Page
	at       image.Rectangle // on the colour's grid
	w, h     int
	from, to []int           // of each row, what lies within the outline
	mm       float64         // samples in a millimetre
	used     image.Rectangle // of it, where there is colour
	luma     raster.Plane
	white    float64      // brightness of the paper
	offB     raster.Plane // how far each sample's colour is off the paper's
	offR     raster.Plane
}

// newArea is nil for an outline that holds nothing.
func newArea(p pixels.Page, q [4]record.Point) *area {
	s := float64(p.Step)
	for i := range q {
		q[i] = record.Point{X: q[i].X / s, Y: q[i].Y / s}
	}
	side := func(a, b int) float64 { return math.Hypot(q[a].X-q[b].X, q[a].Y-q[b].Y) }
	short := math.Min(math.Max(side(0, 1), side(2, 3)), math.Max(side(1, 2), side(3, 0)))
	a := &area{page: p, mm: short / usualSide}
	x0, y0, x1, y1 := q[0].X, q[0].Y, q[0].X, q[0].Y
	for _, c := range q {
		x0, y0, x1, y1 = math.Min(x0, c.X), math.Min(y0, c.Y), math.Max(x1, c.X), math.Max(y1, c.Y)
	}
	a.at = image.Rect(int(x0), int(y0), int(x1)+1, int(y1)+1).Intersect(p.Cb.Rect)
	a.w, a.h = a.at.Dx(), a.at.Dy()
	const fewest = 40
	if a.w < fewest || a.h < fewest {
		return nil
	}
	a.from, a.to = make([]int, a.h), make([]int, a.h)
	fence := fenced * a.mm
	for y := range a.h {
		l, r := rowIn(q, float64(y+a.at.Min.Y)+0.5)
		a.from[y], a.to[y] = max(int(l-float64(a.at.Min.X)+fence), 0), min(int(r-float64(a.at.Min.X)-fence), a.w)
		if float64(y+a.at.Min.Y) < y0+fence || float64(y+a.at.Min.Y) > y1-fence || a.to[y] < a.from[y] {
			a.from[y], a.to[y] = 0, 0
		}
	}
	return a
}

// rowIn is from where to where a row lies within a convex outline.
func rowIn(q [4]record.Point, y float64) (l, r float64) {
	l, r = math.Inf(1), math.Inf(-1)
	for i := range q {
		a, b := q[i], q[(i+1)%4]
		if (a.Y <= y) == (b.Y <= y) {
			continue
		}
		x := a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
		l, r = math.Min(l, x), math.Max(r, x)
	}
	if l > r {
		return 0, 0
	}
	return l, r
}

// lumaRow is the mean brightness of the pixels that each sample of a row of the
// colour covers.
func (a *area) lumaRow(y int, out []float32) {
	s, g := a.page.Step, a.page.Luma
	clear(out)
	x0, y0 := a.at.Min.X*s, (y+a.at.Min.Y)*s
	rows := min(s, g.Rect.Dy()-y0)
	for dy := range rows {
		row := g.Pix[(y0+dy)*g.Stride:][:g.Rect.Dx()]
		for x := range out {
			sum := 0
			for dx := range s {
				sum += int(row[min(x0+x*s+dx, len(row)-1)])
			}
			out[x] += float32(sum)
		}
	}
	for x := range out {
		out[x] /= float32(s * rows)
	}
}

// block is the side, in samples of the colour, of the squares in which the paper's
// colour is asked for.
const block = 32

// tinted measures how far each sample is off its paper's colour, and says whether
// any is plainly. Paper is what is bright in a block; light that falls aslant or
// through a window colours it differently from block to block. Its colour is a
// share of its brightness, and so print, which is dark, has less of it.
func (a *area) tinted() bool {
	bw, bh := (a.w+block-1)/block, (a.h+block-1)/block
	shareB, shareR := raster.New(bw, bh), raster.New(bw, bh)
	var whites, b, r, y []float32
	var missing []int
	const every = 4
	rows := raster.New(a.w, block/every)
	for by := range bh {
		for k := range rows.H {
			a.lumaRow(min(by*block+k*every, a.h-1), rows.Row(k))
		}
		for bx := range bw {
			b, r, y = b[:0], r[:0], y[:0]
			for yy := by * block; yy < min((by+1)*block, a.h); yy += every {
				for xx := max(bx*block, a.from[yy]); xx < min((bx+1)*block, a.to[yy]); xx += 2 {
					i := (yy+a.at.Min.Y)*a.page.Cb.Stride + xx + a.at.Min.X
					l := rows.Row((yy - by*block) / every)[xx]
					y = append(y, l)
					b = append(b, (float32(a.page.Cb.Pix[i])-128)/(l+1))
					r = append(r, (float32(a.page.Cr.Pix[i])-128)/(l+1))
				}
			}
			const few = 12
			if len(y) < few {
				missing = append(missing, by*bw+bx)
				continue
			}
			bright := raster.Quantile(slices.Clone(y), 0.6)
			n := 0
			for i, l := range y {
				if l >= bright {
					b[n], r[n], n = b[i], r[i], n+1
				}
			}
			whites = append(whites, raster.Quantile(slices.Clone(y), 0.8))
			shareB.Pix[by*bw+bx], shareR.Pix[by*bw+bx] = raster.Quantile(b[:n], 0.5), raster.Quantile(r[:n], 0.5)
		}
	}
	if len(whites) == 0 {
		return false
	}
	a.white = float64(raster.Quantile(whites, 0.7))
	usualB, usualR := usual(shareB, missing), usual(shareR, missing)
	for _, k := range missing {
		shareB.Pix[k], shareR.Pix[k] = usualB, usualR
	}
	// A block full of ink shows the ink's colour for the paper's.
	const most = 0.06
	for k := range shareB.Pix {
		shareB.Pix[k] = min(max(shareB.Pix[k], usualB-most), usualB+most)
		shareR.Pix[k] = min(max(shareR.Pix[k], usualR-most), usualR+most)
	}
	shareB, shareR = calm(shareB), calm(shareR)
	return a.measure(shareB, shareR)
}

// usual is the middle of a plane but for the samples that are missing.
func usual(p raster.Plane, missing []int) float32 {
	out := slices.Clone(p.Pix)
	for i := len(missing) - 1; i >= 0; i-- {
		out = slices.Delete(out, missing[i], missing[i]+1)
	}
	return raster.Quantile(out, 0.5)
}

// calm takes the middle of each sample and its neighbours.
func calm(p raster.Plane) raster.Plane {
	out := raster.New(p.W, p.H)
	var near []float32
	for y := range p.H {
		for x := range p.W {
			near = near[:0]
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					near = append(near, p.At(x+dx, y+dy))
				}
			}
			out.Pix[y*p.W+x] = raster.Quantile(near, 0.5)
		}
	}
	return out
}

// measure fills offB and offR where any ink may be; it is false when fewer samples are
// plainly off the paper's colour than a mark has.
func (a *area) measure(shareB, shareR raster.Plane) bool {
	scale := float32(230 / math.Max(a.white, 60))
	plain, at := 0, image.Rectangle{}
	row := make([]float32, a.w)
	off := func(y int, each func(x int, b, r float32)) { // row is then the row's brightness
		a.lumaRow(y, row)
		from := (y+a.at.Min.Y)*a.page.Cb.Stride + a.at.Min.X
		cb, cr := a.page.Cb.Pix[from:][:a.w], a.page.Cr.Pix[from:][:a.w]
		sb, sr := shareB.Row(y/block), shareR.Row(y/block)
		for x := a.from[y]; x < a.to[y]; x++ {
			l := row[x]
			each(x, (float32(cb[x])-128-sb[x/block]*l)*scale, (float32(cr[x])-128-sr[x/block]*l)*scale)
		}
	}
	for y := range a.h {
		first, last := a.w, -1
		off(y, func(x int, b, r float32) {
			if b*b+r*r > plainTint*plainTint {
				plain++
				first, last = min(first, x), x
			}
		})
		if last >= 0 {
			at = at.Union(image.Rect(first, y, last+1, y+1))
		}
	}
	if float64(plain) < leastInk*a.mm*a.mm/3 {
		return false
	}
	const room = 6 // millimetres
	a.used = at.Inset(-int(room * a.mm)).Intersect(image.Rect(0, 0, a.w, a.h))
	w, h := a.used.Dx(), a.used.Dy()
	a.luma, a.offB, a.offR = raster.New(w, h), raster.New(w, h), raster.New(w, h)
	for y := a.used.Min.Y; y < a.used.Max.Y; y++ {
		b0, r0 := a.offB.Row(y-a.used.Min.Y), a.offR.Row(y-a.used.Min.Y)
		off(y, func(x int, b, r float32) {
			if x -= a.used.Min.X; x >= 0 && x < w {
				b0[x], r0[x] = b, r
			}
		})
		copy(a.luma.Row(y-a.used.Min.Y), row[a.used.Min.X:a.used.Max.X])
	}
	// From here on the area is what is used of it.
	a.from, a.to = a.from[a.used.Min.Y:a.used.Max.Y], a.to[a.used.Min.Y:a.used.Max.Y]
	for y := range a.from {
		a.from[y], a.to[y] = a.from[y]-a.used.Min.X, a.to[y]-a.used.Min.X
	}
	a.at = a.used.Add(a.at.Min)
	a.w, a.h = w, h
	return true
}
