package paper

import (
	"math"
	"math/bits"

	"tankroll/ocr/raster"
)

// mask is a picture of yes and no. More than a hundred are looked at to find the
// slips of one picture, so 64 pixels are worked on at once and parts are told
// by runs of pixels rather than pixel by pixel.
type mask struct {
	w, h, words int      // words a row
	bits        []uint64 // bit x%64 of word x/64 is pixel x; there are none beyond w
}

// above is where p is greater than t, below where it is less.
func above(p raster.Plane, t float32) mask { return beyond(p, t, 1) }
func below(p raster.Plane, t float32) mask { return beyond(p, t, -1) }

// beyond is where p is greater than t once both are multiplied by sign.
func beyond(p raster.Plane, t, sign float32) mask {
	m := mask{w: p.W, h: p.H, words: (p.W + 63) / 64}
	m.bits = make([]uint64, m.words*p.H)
	t *= sign
	for y := range p.H {
		to, row := m.row(y), p.Row(y)
		for i := range to {
			var word uint64
			for x, v := range row[i*64 : min(i*64+64, len(row))] {
				if sign*v > t {
					word |= 1 << (x & 63)
				}
			}
			to[i] = word
		}
	}
	return m
}

func (m mask) row(y int) []uint64 { return m.bits[y*m.words : (y+1)*m.words] }

// eroded takes one pixel off all around; the picture's border stays.
func (m mask) eroded() mask {
	out := mask{m.w, m.h, m.words, make([]uint64, len(m.bits))}
	last := m.words - 1
	for y := range m.h {
		row, up, low, to := m.row(y), m.row(max(y-1, 0)), m.row(min(y+1, m.h-1)), out.row(y)
		for i, v := range row {
			left, right := v<<1, v>>1 // what stands to the left of each pixel, and to the right
			if i > 0 {
				left |= row[i-1] >> 63
			} else {
				left |= v & 1
			}
			if i < last {
				right |= row[i+1] << 63
			} else {
				right |= v & (1 << ((m.w - 1) & 63))
			}
			to[i] = v & left & right & up[i] & low[i]
		}
	}
	return out
}

// run is a stretch of a row, from column x0 up to x1, and the run before it that
// it hangs together with, or itself.
type run struct{ y, x0, x1, with int }

// runs lists the stretches of every row.
func (m mask) runs() []run {
	var out []run
	for y := range m.h {
		for x := m.next(y, 0, 0); x < m.w; {
			end := m.next(y, x, ^uint64(0))
			out = append(out, run{y, x, end, len(out)})
			x = m.next(y, end, 0)
		}
	}
	return out
}

// next is the first column from x on whose pixel is not like not, which is all
// zeros or all ones; the row's end when there is none.
func (m mask) next(y, x int, not uint64) int {
	row := m.row(y)
	for i := x >> 6; i < m.words; i++ {
		v := row[i] ^ not
		if i == x>>6 {
			v &= ^uint64(0) << (x & 63)
		}
		if v != 0 {
			return min(i<<6+bits.TrailingZeros64(v), m.w)
		}
	}
	return m.w
}

// regions lists the connected parts of m that have at least least pixels, after
// bridges up to four pixels wide are cut, in the order of their first pixels.
func (m mask) regions(least int) []region {
	runs := m.eroded().eroded().runs()
	root := func(i int) int {
		for runs[i].with != i {
			runs[i].with = runs[runs[i].with].with
			i = runs[i].with
		}
		return i
	}
	first := 0 // the first run above that may still touch the next
	for i, r := range runs {
		for ; first < i && (runs[first].y < r.y-1 || runs[first].y == r.y-1 && runs[first].x1 <= r.x0); first++ {
		}
		for k := first; k < i && runs[k].y == r.y-1 && runs[k].x0 < r.x1; k++ {
			a, b := root(k), root(i)
			runs[max(a, b)].with = min(a, b)
		}
	}
	count := make([]int, len(runs))
	for i, r := range runs {
		count[root(i)] += r.x1 - r.x0
	}
	index := make([]int, len(runs)) // of the region of a root, from 1
	var out []region
	for i, r := range runs {
		k := root(i)
		if count[k] < least {
			continue
		}
		if index[k] == 0 {
			out = append(out, newRegion(m.h, count[k]))
			index[k] = len(out)
		}
		g := &out[index[k]-1]
		g.left[r.y], g.right[r.y] = min(g.left[r.y], r.x0), max(g.right[r.y], r.x1-1)
	}
	for i := range out {
		out[i] = out[i].grown(2, m.w, m.h)
	}
	return out
}

// newRegion is a region of h rows whose pixels are not set yet.
func newRegion(h, count int) region {
	r := region{left: make([]int, h), right: make([]int, h), count: count}
	for y := range h {
		r.left[y], r.right[y] = math.MaxInt, -1
	}
	return r
}
