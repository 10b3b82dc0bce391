package stance

import "tankroll/ocr/raster"

// step is how many pixels of a line are one place.
const step = 8

// planes are channels of one picture.
type planes struct {
	c, h, w int
	v       []float32
}

// look gives the network's answer at every place.
func (n *Net) look(l raster.Plane) []float32 {
	if l.H != H || l.W < step {
		return nil
	}
	p := planes{1, l.H, l.W, l.Pix}
	for i := range n.conv {
		p = p.convolve(&n.conv[i]).pool()
	}
	// All channels and rows of a place in a row, then three places at once.
	seen := make([]float32, (p.w+2)*flat)
	for c := range p.c {
		for y := range p.h {
			for x, v := range p.v[(c*p.h+y)*p.w : (c*p.h+y+1)*p.w] {
				seen[(x+1)*flat+c*p.h+y] = v
			}
		}
	}
	out := make([]float32, p.w)
	for x := range out {
		three := seen[x*flat : (x+3)*flat]
		s := n.bias
		for o := range dim {
			v := n.near.bias[o]
			for k, w := range n.near.weights[o*3*flat : (o+1)*3*flat] {
				v += w * three[k]
			}
			s += n.out[o] * max(v, 0)
		}
		out[x] = s
	}
	return out
}

// convolve lays 3x3 patterns over all channels; outside of the picture there is
// nothing.
func (p planes) convolve(l *patterns) planes {
	size := p.h * p.w
	out := planes{l.out, p.h, p.w, make([]float32, l.out*size)}
	for o := range l.out {
		dst := out.v[o*size : (o+1)*size]
		for i := range dst {
			dst[i] = l.bias[o]
		}
		for c := range l.in {
			src, k := p.v[c*size:(c+1)*size], l.weights[(o*l.in+c)*9:]
			for y := range p.h {
				to := dst[y*p.w : (y+1)*p.w]
				for ky := max(0, 1-y); ky < min(3, p.h+1-y); ky++ {
					addRow(to, src[(y+ky-1)*p.w:(y+ky)*p.w], k[3*ky], k[3*ky+1], k[3*ky+2])
				}
			}
		}
	}
	return out
}

// addRow adds a row of three numbers laid over from.
func addRow(to, from []float32, a, b, c float32) {
	n := len(to)
	from = from[:n]
	to[0] += b * from[0]
	if n > 1 {
		to[0] += c * from[1]
		to[n-1] += a*from[n-2] + b*from[n-1]
	}
	for x := 1; x < n-1; x++ {
		to[x] += a*from[x-1] + b*from[x] + c*from[x+1]
	}
}

// pool keeps the greatest of every 2x2 that is above 0; an odd last row or column
// is left out.
func (p planes) pool() planes {
	out := planes{p.c, p.h / 2, p.w / 2, make([]float32, p.c*(p.h/2)*(p.w/2))}
	for c := range p.c {
		for y := range out.h {
			a, b := p.v[(c*p.h+2*y)*p.w:], p.v[(c*p.h+2*y+1)*p.w:]
			to := out.v[(c*out.h+y)*out.w : (c*out.h+y+1)*out.w]
			for x := range to {
				to[x] = max(a[2*x], a[2*x+1], b[2*x], b[2*x+1], 0)
			}
		}
	}
	return out
}
