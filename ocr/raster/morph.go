package raster

// Max replaces each sample by the greatest within rx columns and ry rows.
func (p Plane) Max(rx, ry int) Plane {
	if rx <= 0 && ry <= 0 {
		return p
	}
	out := p.clone()
	out.grow(rx, ry)
	return out
}

// Min replaces each sample by the least within rx columns and ry rows.
func (p Plane) Min(rx, ry int) Plane {
	if rx <= 0 && ry <= 0 {
		return p
	}
	out := p.clone()
	out.shrink(rx, ry)
	return out
}

// Close fills dark marks that are narrower than 2rx+1 or lower than 2ry+1.
func (p Plane) Close(rx, ry int) Plane {
	if rx <= 0 && ry <= 0 {
		return p
	}
	out := p.clone()
	out.grow(rx, ry)
	out.shrink(rx, ry)
	return out
}

// grow is Max in place.
func (p Plane) grow(rx, ry int) {
	if rx > 0 {
		ends, src := make([]float32, 2*rx+1), make([]float32, p.W)
		for y := range p.H {
			copy(src, p.Row(y))
			maxRow(src, p.Row(y), rx, ends)
		}
	}
	if ry > 0 {
		p.maxColumns(ry)
	}
}

// shrink is Min in place.
func (p Plane) shrink(rx, ry int) {
	p.negate()
	p.grow(rx, ry)
	p.negate()
}

func (p Plane) negate() {
	for i, v := range p.Pix {
		p.Pix[i] = -v
	}
}

// A window of 2r+1 samples lies over two blocks of that many: its greatest is
// that of the first block's end and the second's beginning, which grow sample by
// sample, so the reach costs nothing (M. van Herk, "A fast algorithm for local
// minimum and maximum filters", 1992). Blocks are laid from r samples before the
// first, so that block and window begin together at sample 0.

// maxRow fills dst with the greatest of src within r samples. ends is room for
// 2r+1 samples.
func maxRow(src, dst []float32, r int, ends []float32) {
	n, size := len(src), 2*r+1
	for from := 0; from < n; from += size {
		// The block of samples from-r .. from+r, as far as there are such.
		first, last := max(from-r, 0), min(from+r, n-1)
		top := src[last]
		for i := last; i >= first; i-- {
			top = max(top, src[i])
			ends[i-(from-r)] = top
		}
		for i := from - r; i < first; i++ {
			ends[i-(from-r)] = top
		}
		dst[from] = ends[0]
		next := from + r + 1 // where the second block begins
		if next >= n {
			for x := from + 1; x < n; x++ {
				dst[x] = ends[x-from]
			}
			continue
		}
		top = src[next]
		for x := from + 1; x < min(from+size, n); x++ {
			if k := x + r; k < n {
				top = max(top, src[k])
			}
			dst[x] = max(ends[x-from], top)
		}
	}
}

// maxColumns is the same down the columns, row by row and in place: the last rows of
// a block are kept for the next one.
func (p Plane) maxColumns(r int) {
	n, size := p.H, 2*r+1
	ends, kept, top := New(p.W, size), New(p.W, r), make([]float32, p.W)
	for from := 0; from < n; from += size {
		first, last := max(from-r, 0), min(from+r, n-1)
		end := func(i int) []float32 { return ends.Row(max(i, first) - (from - r)) }
		src := func(i int) []float32 {
			if i < from {
				return kept.Row(i - (from - r))
			}
			return p.Row(i)
		}
		copy(end(last), src(last))
		for i := last - 1; i >= first; i-- {
			greater(end(i), end(i+1), src(i))
		}
		for i := range min(r, max(n-(from+size-r), 0)) {
			copy(kept.Row(i), p.Row(from+size-r+i))
		}
		next := from + r + 1 // where the second block begins
		if next < n {
			copy(top, p.Row(next))
		}
		copy(p.Row(from), end(from-r))
		for x := from + 1; x < min(from+size, n); x++ {
			if k := x + r; k > next && k < n {
				greater(top, top, p.Row(k))
			}
			if next < n {
				greater(p.Row(x), end(x-r), top)
			} else {
				copy(p.Row(x), end(x-r))
			}
		}
	}
}

// greater fills dst with the greater of a and b, sample by sample.
func greater(dst, a, b []float32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] = max(a[i], b[i])
	}
}
