package slipnet

import (
	"math"

	"tankroll/internal/gemm"
)

// matrix holds rows of numbers.
type matrix struct {
	n, w int
	step int // from row to row in v
	v    []float32
}

func newMatrix(n, w int) matrix { return matrix{n, w, w, make([]float32, n*w)} }

func (m matrix) row(i int) []float32 { return m.v[i*m.step : i*m.step+m.w] }

func (m matrix) rows(from, n int) matrix {
	return matrix{n, m.w, m.step, m.v[from*m.step : (from+n)*m.step]}
}

// columns is a part of every row.
func (m matrix) columns(from, w int) matrix { return matrix{m.n, w, m.step, m.v[from:]} }

// addProduct adds the product of a and b to m.
func (m matrix) addProduct(a, b matrix) { m.shared().Add(a.shared(), b.shared()) }

func (m matrix) shared() gemm.Matrix { return gemm.Matrix{N: m.n, W: m.w, Step: m.step, V: m.v} }

// across is m with rows as columns.
func (m matrix) across() matrix {
	out := newMatrix(m.w, m.n)
	for i := range m.n {
		for k, v := range m.row(i) {
			out.v[k*out.step+i] = v
		}
	}
	return out
}

// room is memory for one large matrix at a time, used again and again.
type room struct{ v []float32 }

// matrix is a matrix of zeros, good until the next one.
func (r *room) matrix(n, w int) matrix {
	if len(r.v) < n*w {
		r.v = make([]float32, n*w)
	}
	out := matrix{n, w, w, r.v[:n*w]}
	clear(out.v)
	return out
}

// apply puts each row of x through the layer.
func (l *linear) apply(x, out matrix) {
	for i := range out.n {
		copy(out.row(i), l.bias)
	}
	out.addProduct(x, l.across)
}

func (n *norm) apply(x, out matrix) {
	for i := range x.n {
		in, to := x.row(i), out.row(i)
		mean, spread := float32(0), float32(0)
		for _, v := range in {
			mean += v
		}
		mean /= float32(len(in))
		for _, v := range in {
			spread += (v - mean) * (v - mean)
		}
		f := float32(1 / math.Sqrt(float64(spread/float32(len(in)))+1e-5))
		for k, v := range in {
			to[k] = (v-mean)*f*n.scale[k] + n.shift[k]
		}
	}
}

func relu(v []float32) {
	for i, x := range v {
		v[i] = max(x, 0)
	}
}

// look makes of a line's picture what is known of each of its cells alone. Of a
// bare cell between bare cells the patterns see nothing, so they are laid over
// the rest only.
func (n *Net) look(l Line, out matrix, room *room) {
	for k := 0; k < l.Cells; {
		if l.Cells >= 3 && l.bare(k-1, k+2) {
			place := 1
			if k == 0 {
				place = 0
			} else if k == l.Cells-1 {
				place = 2
			}
			copy(out.row(k), n.nothing.row(place))
			k++
			continue
		}
		from := k
		for k < l.Cells && (l.Cells < 3 || !l.bare(k-1, k+2)) {
			k++
		}
		lo, hi := max(from-1, 0), min(k+1, l.Cells)
		seen := newMatrix(hi-lo, dim)
		n.lookAll(l.part(lo, hi), seen, room)
		copy(out.rows(from, k-from).v, seen.rows(from-lo, k-from).v)
	}
}

// lookAll is look without leaving anything out.
func (n *Net) lookAll(l Line, out matrix, room *room) {
	p := planes{1, H, W * l.Cells, l.Pix}
	for i := range n.conv {
		p = p.convolve(&n.conv[i], room).pool()
		relu(p.v)
	}
	// Channels, 3 rows, 2 columns of a cell.
	cells := newMatrix(l.Cells, flat)
	for k := range l.Cells {
		row := cells.row(k)
		for c := range c3 {
			for y := range 3 {
				src := p.v[(c*p.h+y)*p.w+2*k:]
				row[(c*3+y)*2], row[(c*3+y)*2+1] = src[0], src[1]
			}
		}
	}
	n.dense.apply(cells, out)
	relu(out.v)
}

// beside adds what the neighbours on the line say.
func (n *Net) beside(i int, x matrix) {
	seen := newMatrix(x.n, dim)
	n.nearNorm[i].apply(x, seen)
	three := newMatrix(x.n, 3*dim)
	for k := range x.n {
		row := three.row(k)
		for d := range 3 {
			if j := k + d - 1; j >= 0 && j < x.n {
				copy(row[d*dim:], seen.row(j))
			}
		}
	}
	n.near[i].apply(three, seen)
	relu(seen.v)
	for k, v := range seen.v {
		x.v[k] += v
	}
}

// alike adds what the other cells of the slip say, those most alike most.
func (n *Net) alike(x matrix, room *room) {
	seen := newMatrix(x.n, dim)
	n.askNorm.apply(x, seen)
	all := newMatrix(x.n, 3*dim)
	n.ask.apply(seen, all)
	said := newMatrix(x.n, dim)
	const per = dim / heads
	for h := range heads {
		asked, known, told := all.columns(h*per, per), all.columns(dim+h*per, per), all.columns(2*dim+h*per, per)
		weight := room.matrix(x.n, x.n)
		weight.addProduct(asked, known.across())
		for i := range x.n {
			softmax(weight.row(i), float32(1/math.Sqrt(per)))
		}
		said.columns(h*per, per).addProduct(weight, told)
	}
	n.tell.apply(said, seen)
	for k, v := range seen.v {
		x.v[k] += v
	}
}

// softmax turns scores, each times scale, into shares of 1.
func softmax(v []float32, scale float32) {
	top := scale * v[0]
	for i, x := range v {
		v[i] = scale * x
		top = max(top, v[i])
	}
	sum := float32(0)
	for i, x := range v {
		v[i] = float32(math.Exp(float64(x - top)))
		sum += v[i]
	}
	for i := range v {
		v[i] /= sum
	}
}

// planes are channels of one picture.
type planes struct {
	c, h, w int
	v       []float32
}

// convolve lays 3x3 patterns over all channels; outside of the picture there is
// nothing. The picture is first laid out so that one product of matrices does it.
func (p planes) convolve(l *linear, room *room) planes {
	size := p.h * p.w
	laid := room.matrix(p.c*9, size)
	for c := range p.c {
		src := p.v[c*size : (c+1)*size]
		for ky := range 3 {
			for kx := range 3 {
				dst := laid.row(c*9 + ky*3 + kx)
				for y := max(0, 1-ky); y < min(p.h, p.h+1-ky); y++ {
					from, to := src[(y+ky-1)*p.w:(y+ky)*p.w], dst[y*p.w:(y+1)*p.w]
					switch kx {
					case 0:
						copy(to[1:], from)
					case 1:
						copy(to, from)
					case 2:
						copy(to, from[1:])
					}
				}
			}
		}
	}
	out := planes{l.out, p.h, p.w, make([]float32, l.out*size)}
	for o := range l.out {
		row := out.v[o*size : (o+1)*size]
		for i := range row {
			row[i] = l.bias[o]
		}
	}
	matrix{l.out, size, size, out.v}.addProduct(l.patterns, laid)
	return out
}

// pool keeps the greatest of every 2x2; an odd last row is left out.
func (p planes) pool() planes {
	out := planes{p.c, p.h / 2, p.w / 2, make([]float32, p.c*(p.h/2)*(p.w/2))}
	for c := range p.c {
		for y := range out.h {
			a, b := p.v[(c*p.h+2*y)*p.w:], p.v[(c*p.h+2*y+1)*p.w:]
			to := out.v[(c*out.h+y)*out.w : (c*out.h+y+1)*out.w]
			for x := range to {
				to[x] = max(a[2*x], a[2*x+1], b[2*x], b[2*x+1])
			}
		}
	}
	return out
}
