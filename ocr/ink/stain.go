package ink

import "tankroll/ocr/raster"

// What a cup leaves, a blot or a broad smear takes away light as print does, so
// its density simply adds to the print's and can be taken off again. It is told
// from print by its width: strokes are narrower than the square below, even bold
// and of double width. Of what is broader only marks much longer than a character
// count, and no bars of inverse print.
const (
	stainReach = 0.10 // half the side of the square, in character heights
	rimReach   = 0.06 // the same for the rest of a mark that was found: its rim, where it is bent
	rimShare   = 1.3  // of the mark's darkness, at most
	stainSize  = 3.5  // a stain is longer than this, in character heights
	pieceSize  = 1.0  // and so is each piece of one that is broken, where there is a whole one
	slimPiece  = 0.45 // a piece that fills its frame is slimmer than this and no longer than slimLong:
	slimLong   = 3.0  // longer ones are rules
	stainLevel = 0.15 // and darker than this share of print
	barFill    = 0.45 // a bar fills this share of its frame, letters left out
	barTall    = 3.2  // and is no taller than this, in character heights
	// darkPaper is the share of the slip's own paper below which paper is a stripe or a
	// shade: a stripe is mottled in marks of any size.
	darkPaper = 0.8
	// mottleMost is how dark they are at most, as a share of print: what is darker are the
	// corners of bold letters.
	mottleMost = 0.35
)

// takeStains takes broad marks off d, large ones, and all that lie where paper is dark, by
// tall of paperOf, and returns what it took, if anything. A stain as dark as ink itself hides what is under it; there nothing is
// won.
func (d *Density) takeStains(em float64, tall raster.Plane) (taken raster.Plane, took bool) {
	f := max(int(em/smallHeight), 1)
	h := em / float64(f)
	r := max(int(stainReach*h+0.5), 1)
	small := d.Plane.Reduce(f)
	broad := small.Min(r, r).Max(r, r)
	least := float32(max(stainLevel*d.Level, 4*d.Noise))
	stain := raster.New(broad.W, broad.H)
	longest := 0.0
	var marks []raster.Mark
	for _, m := range broad.Marks(least) {
		w, t := float64(m.Box.Dx()), float64(m.Box.Dy())
		full := float64(len(m.Places)) > barFill*w*t && min(w, t) < barTall*h
		slim := min(w, t) < slimPiece*h && max(w, t) < slimLong*h
		if max(w, t) >= pieceSize*h && (!full || slim) {
			longest, marks = max(longest, w, t), append(marks, m)
		}
	}
	found := longest >= stainSize*h
	if found {
		for _, m := range marks {
			for _, k := range m.Places {
				stain.Pix[k] = broad.Pix[k]
			}
		}
		withRims(stain, small, r, max(int(rimReach*h+0.5), 1))
	}
	if !mottled(stain, broad, tall, float32(mottleMost*d.Level)) && !found {
		return raster.Plane{}, false
	}
	stain = stain.Resize(d.W, d.H)
	for i, v := range stain.Pix {
		d.Pix[i] -= v
	}
	return stain, true
}

// withRims adds what is less broad around marks and belongs to them too: a soft edge, and
// what of a bent mark the square of half side r does not fit into. It is hardly darker than
// the mark, which leaves what strokes have beyond it.
func withRims(stain, small raster.Plane, r, rim int) {
	near := stain.Max(3*r/2, 3*r/2)
	fine := small.Min(rim, rim).Max(rim, rim)
	for i, v := range fine.Pix {
		stain.Pix[i] = 0
		if near.Pix[i] > 0 {
			stain.Pix[i] = max(min(v, rimShare*near.Pix[i]), 0)
		}
	}
}

// mottled adds to stain what broad marks, no darker than most, lie where paper is dark, and
// says whether there are any. They are given no rims: there are letters on all of them.
func mottled(stain, broad, tall raster.Plane, most float32) bool {
	dark := darkPaper * raster.Quantile(tall.Sample(10_000), 0.5)
	found := false
	for i, v := range broad.Pix {
		if v > stain.Pix[i] && v < most && tall.Pix[i] < dark {
			stain.Pix[i], found = v, true
		}
	}
	return found
}
