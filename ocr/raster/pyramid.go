package raster

// Pyramid is a picture at falling sizes, each half of the one before.
type Pyramid []Plane

// NewPyramid halves p until it is small.
func NewPyramid(p Plane) Pyramid {
	out := Pyramid{p}
	const small = 256
	for p.W > small && p.H > small {
		p = p.Reduce(2)
		out = append(out, p)
	}
	return out
}

// Level is the smallest picture that still holds all that shows at the given
// scale, and how many pixels of the first one of its pixels covers.
func (p Pyramid) Level(scale float64) (Plane, float64) {
	i, step := 0, 1.0
	for i+1 < len(p) && scale*step < 0.55 {
		i, step = i+1, step*2
	}
	return p[i], step
}
