package ocr

import "tankroll/ocr/raster"

// strokeLines is how many lines of print a mark must run along without a gap
// before it is the paper's edge, a fold or the edge of a stripe and not print:
// the bars of a table end between lines, double height is of two.
const strokeLines = 4.5

// takeStrokes takes off p (print as 1 on 0, capitals cap high) what runs down
// the slip for several lines without a gap. What crosses it keeps its ink above
// the mark's own.
func takeStrokes(p raster.Plane, cap float64) {
	reach := int(strokeLines * 1.4 * cap / 2) // above and below a row
	if 2*reach >= p.H {
		return
	}
	aslant := max(int(0.08*cap), 1) // a mark leans by so much and its edge is soft
	long := p.Max(aslant, 0).Min(0, reach).Max(aslant, reach)
	const least = 0.12 // grain that happens to run on is fainter
	for i, v := range long.Pix {
		if v > least {
			p.Pix[i] = max(p.Pix[i]-v, 0)
		}
	}
}
