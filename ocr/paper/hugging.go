package paper

// On a page of slips some outlines are those of print and not of paper: sides that hug a
// block of print, or that run through it from one slip's edge to another's.

const (
	// hugsPrint is the share of marks in an outline from which it has no margins: of 723
	// slips on pages of the fit part none has more than 0.33.
	hugsPrint = 0.38
	// asSheet is how bright a sheet is at least right around a slip, as a share of that, and
	// brighterSheet at most: of those 723 it was 0.956 to 1.076.
	asSheet, brighterSheet = 0.92, 1.2
)

// dropPrinted takes the confidence from outlines on a sheet that are those of print. On any
// other ground marks beside a side may be the ground's.
func (f *finder) dropPrinted(all []Candidate) {
	for i, c := range all {
		if c.Confidence < leastConfidence {
			continue
		}
		if (c.print > hugsPrint || f.runsThrough(c.Quad)) && f.onWhite(c.Quad) {
			all[i].Confidence = 0
		}
	}
}

// onWhite says whether what lies right around q is as bright as q.
func (f *finder) onWhite(q Quad) bool {
	around := f.light.ring(q) / max(f.light.density(q, -2), 1)
	return around > asSheet && around < brighterSheet
}

// runsThrough says whether a side of q goes through print or over the ends of its lines.
func (f *finder) runsThrough(q Quad) bool { return f.cutsAny(q) || anySide(q, f.cutsLines) }

// offPrint is q, on a sheet, with sides that run along the ends of lines moved out a
// little: what is beyond is as white, and what stands right at a side is cut easily.
func (f *finder) offPrint(q Quad) Quad {
	out := q
	for s := range q {
		a, b := q[s], q[(s+1)%4]
		if f.onPicture(a) && f.onPicture(b) && f.onEnds(a, b) && f.side(a, b) < surelyStep && f.onWhite(q) {
			out = movedOut(out, s, bareEdge)
		}
	}
	return out
}
