package paper

// dropCutting takes the confidence from outlines with a side that goes through print of
// another one, about as sure, that goes through none itself: sides of two slips that hardly
// show between them make one outline, which cuts a piece off the wider of them.
func (f *finder) dropCutting(all []Candidate) {
	for i, c := range all {
		if c.Confidence < leastConfidence {
			continue
		}
		for k, o := range all {
			if k != i && o.Confidence >= wholeFromCut*c.Confidence && o.print >= printedPart &&
				!liesIn(c, o) && !liesIn(o, c) && f.cutsInto(c.Quad, o.Quad) && !f.cutsInto(o.Quad, c.Quad) && !f.cutsAny(o.Quad) {
				all[i].Confidence = 0
				break
			}
		}
	}
}

// cutsInto says whether a side of c goes through print within o.
func (f *finder) cutsInto(c, o Quad) bool {
	in := expanded(o, -bareEdge)
	for s := range 4 {
		if p, q, ok := within(c[s], c[(s+1)%4], in); ok && f.cutsPrint(p, q) {
			return true
		}
	}
	return false
}

// cutsAny says whether a side of q goes through print.
func (f *finder) cutsAny(q Quad) bool { return anySide(q, f.cutsPrint) }
