package paper

import (
	"context"
	"math"
	"slices"

	"tankroll/ocr/raster"
)

// What package papernet says of a picture knows sides to a pixel or two only, but is hardly
// ever misled by what the ground is made of: checks, stones, keys or the print of a
// newspaper. Where it holds a few regions with four sides for paper, plainly, and nothing else on
// the picture, those are the slips. Each takes the outline that was chosen by steps of brightness
// where that is of the same slip, since it is the more exact; otherwise its own.

const (
	halfLikely  = 0.5   // how likely a place of a sheet is paper, at least
	sheetFill   = 0.88  // overlap of the region of a sheet with its four sides
	sheetIn     = 0.9   // how likely a place within a sheet is paper, in the mean
	sheetAround = 0.045 // how likely a place right around it is, at most: two slips side by side on white have more
	sheetsHold  = 0.9   // of all that is likely paper on the picture, that the sheets hold
	sameSlip    = 0.85  // overlap from which a chosen outline is of the same slip as a sheet
	plainSlip   = 0.95  // overlap from which nothing exacter is looked for
	besideSheet = 0.3   // of what lies beside a sheet that it may cover
)

// sheets are the slips of a picture on which it is plain what is paper, none where it is not.
func (f *finder) sheets() []Candidate {
	if f.likely.w == 0 {
		return nil
	}
	var out []Candidate
	held := 0.0
	for _, r := range above(f.paper, halfLikely).regions(int(leastArea / 2 * float64(len(f.paper.Pix)))) {
		q, ok := f.outlineOf(r)
		if !ok {
			continue
		}
		c, ok := f.candidate(r, q)
		if !ok || r.fill(c.Quad) < sheetFill || f.likely.density(c.Quad, -1) < sheetIn || f.likely.ring(c.Quad) > sheetAround {
			continue
		}
		in, _ := f.likely.inside(c.Quad, 1)
		held += in
		if c.print >= leastPrinted {
			out = append(out, c)
		}
	}
	if held < sheetsHold*f.likely.total() {
		return nil
	}
	return out
}

// asSheets is the outline of each sheet: the chosen one that is most like it where that is of
// the same slip, with the stripe at the end of a roll that was chosen beside it.
func (f *finder) asSheets(sheets, chosen []Candidate) []Candidate {
	out := make([]Candidate, len(sheets))
	for i, s := range sheets {
		out[i] = s
		most := sameSlip
		for _, c := range chosen {
			if o := overlap(c.Quad, s.Quad); o > most || most == sameSlip && f.isStriped(c.Quad, s.Quad) {
				out[i], most = c, o
			}
		}
	}
	beside := slices.DeleteFunc(slices.Clone(chosen), func(c Candidate) bool {
		return slices.ContainsFunc(out, func(o Candidate) bool { return covered(c.Quad, o.Quad) > besideSheet })
	})
	for i := range out {
		out[i] = f.withStripes(append(out[i:i+1:i+1], beside...))[0]
	}
	return out
}

// plainly are the outlines of the sheets where brightness alone shows each of them as it is,
// nil where it does not: then colour is looked at as well, which takes four times as long.
// What is coloured right beside a side may be the stripe at the end of a roll.
func (f *finder) plainly(ctx context.Context, sheets []Candidate) ([]Candidate, error) {
	if len(sheets) == 0 {
		return nil, nil
	}
	found := slices.Clone(f.found)
	if err := f.assemble(ctx); err != nil {
		return nil, err
	}
	out := f.asSheets(sheets, f.choose())
	f.found = found // where colour is looked at, all is put together anew
	for i, s := range sheets {
		if out[i].Quad == s.Quad || overlap(out[i].Quad, s.Quad) < plainSlip {
			return nil, nil
		}
	}
	for _, c := range out {
		for s := range 4 {
			if f.colour.density(bandAlong(c.Quad, s, besideFrom, besideTo), 0) > mayBeStripe {
				return nil, nil
			}
		}
	}
	f.pastPrint(out)
	return out, nil
}

// colourOf is how coloured each place is for its brightness; empty without colour.
func colourOf(p Planes) raster.Plane {
	out := raster.New(p.Blue.W, p.Blue.H)
	if p.Blue.W != p.Luma.W || p.Blue.H != p.Luma.H {
		return out
	}
	for i, b := range p.Blue.Pix {
		out.Pix[i] = float32(math.Hypot(float64(b), float64(p.Red.Pix[i]))) / (p.Luma.Pix[i] + darkest)
	}
	return out
}

const (
	besideFrom, besideTo = 2.0, 10.0 // pixels outward of a side between which a stripe would show
	mayBeStripe          = 0.12      // how coloured it is at least
)

// isStriped says whether c is the sheet and a stripe along one of its sides, which is dark
// and may be taken for what the paper lies on; it lies on no rough ground and does not run
// off the picture.
func (f *finder) isStriped(c, sheet Quad) bool {
	if overlap(c, sheet) < leastStriped || covered(sheet, c) < stripedHolds || f.reachesGround(sheet, c) {
		return false
	}
	for s := range 4 {
		k := (s + 1) % 4
		strip := Quad{c[s], c[k], sheet[k], sheet[s]}
		if out := sheet; area(topLeftFirst(strip)) > 0 {
			out[s], out[k] = c[s], c[k]
			if overlap(out, c) > stripedHolds {
				return !f.groundStrip(sheet, topLeftFirst(strip))
			}
		}
	}
	return false
}

const (
	leastStriped = 0.7  // overlap of a sheet and the slip that is it and a stripe
	stripedHolds = 0.95 // of either that the other covers but for the stripe
)
