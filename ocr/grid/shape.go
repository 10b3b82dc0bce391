package grid

import "math"

// AsWide is the line in cells of double width, which begin on its own borders, or
// on every other one from the border before it.
func (l Line) AsWide(fromBefore bool) Line {
	out := l
	out.Wide, out.Step = true, 2*l.Step
	first := 0
	if fromBefore {
		first = -1
	}
	out.X0 = l.X0 + float64(first)*l.Step
	out.Cells = (l.Cells - first + 1) / 2
	out.off = nil
	if l.off != nil {
		out.off = make([]float64, out.Cells+1)
		for k := range out.off {
			out.off[k] = l.off[min(max(first+2*k, 0), len(l.off)-1)]
		}
	}
	return out
}

// AsNormal is a line of double width in cells of single width.
func (l Line) AsNormal() Line {
	out := l
	out.Wide, out.Step, out.Cells = false, l.Step/2, 2*l.Cells
	out.off = nil
	if l.off != nil {
		out.off = make([]float64, out.Cells+1)
		for k := range out.off {
			out.off[k] = (l.off[k/2] + l.off[(k+1)/2]) / 2
		}
	}
	return out
}

// Moved is the line with its cells so many pixels further right, as many as before.
func (l Line) Moved(by float64) Line {
	l.X0 += by
	return l
}

// Even is the line with its cells all equally wide: nowhere followed.
func (l Line) Even() Line {
	l.off = nil
	return l
}

// Placed is the line with its borders from cell first on at other places.
func (l Line) Placed(first int, borders []float64) Line {
	off := make([]float64, l.Cells+1)
	copy(off, l.off)
	for k, x := range borders {
		if at := first + k; at >= 0 && at < len(off) {
			off[at] = x - l.X0 - float64(at)*l.Step
		}
	}
	l.off = off
	return l
}

// Stretched is the line in even cells, by a share wider than they are, that begin
// where it begins.
func (l Line) Stretched(share float64) Line {
	out := l
	out.X0, out.off = l.Border(0), nil
	out.Step = l.Step * (1 + share)
	out.Cells = int(math.Ceil((l.Border(l.Cells) - out.X0 - 0.25*l.Step) / out.Step))
	return out
}
