package ocr

import (
	"image"
	"math"

	"tankroll/ocr/raster"
)

// Specks are dirt on a scanner's glass, grains of paper and single pixels that a
// camera makes up. Lengths are in capitals.
const (
	// finest is the most that a speck measures, with its soft edge, that may lie
	// beside letters, and finestInk the most ink that it holds, in square capitals:
	// the full stop of the finest type holds more.
	finest    = 0.16
	finestInk = 0.009
	// besideFinest is how far it lies from other marks all the same, and company
	// how many specks so near together may be faint dots of a letter.
	besideFinest = 0.22
	company      = 4
	// dot is the most that a full stop measures. What is as small is a speck where
	// no letter is within alone and it is part of no leader and no colon.
	dot   = 0.27
	alone = 0.6
	// sameRow and leaderReach tell a leader: dots at one height on either side.
	sameRow, leaderReach = 0.12, 1.6
	// colonHeight is how far at most the dots of a colon lie apart.
	colonHeight = 0.75
	// mostSpecks is the share of all ink that specks may be: print that is dots
	// only is left alone.
	mostSpecks = 0.2
)

// takeSpecks takes single specks off p (print as 1 on 0, capitals cap high).
func takeSpecks(p raster.Plane, cap float64) {
	const inked = 0.25
	letters, dots := raster.New(p.W, p.H), raster.New(p.W, p.H)
	var small []raster.Mark
	ink, dirt := 0, 0
	for _, m := range p.Marks(inked) {
		ink += len(m.Places)
		if float64(max(m.Box.Dx(), m.Box.Dy())) <= dot*cap {
			small = append(small, m)
			mid := middleOf(m)
			dots.Pix[mid.Y*p.W+mid.X] = 1
			continue
		}
		for _, k := range m.Places {
			letters.Pix[k] = 1
		}
	}
	px := func(capitals float64) int { return max(int(math.Round(capitals*cap)), 1) }
	around := func(marks raster.Plane, r image.Rectangle, x, y float64) float32 {
		return sumIn(marks, image.Rect(r.Min.X-px(x), r.Min.Y-px(y), r.Max.X+px(x), r.Max.Y+px(y)))
	}
	var specks []raster.Mark
	for _, m := range small {
		mid := image.Rectangle{Min: middleOf(m), Max: middleOf(m).Add(image.Pt(1, 1))}
		fine := float64(max(m.Box.Dx(), m.Box.Dy())) <= finest*cap && inkOf(p, m) <= finestInk*cap*cap &&
			around(letters, m.Box, besideFinest, besideFinest) == 0 && around(dots, m.Box, besideFinest, besideFinest) < company
		if fine || around(letters, m.Box, alone, alone) == 0 &&
			around(dots, mid, leaderReach, sameRow) <= 2 && around(dots, mid, sameRow, colonHeight) <= 1 {
			specks, dirt = append(specks, m), dirt+len(m.Places)
		}
	}
	if float64(dirt) > mostSpecks*float64(ink) {
		return
	}
	for _, m := range specks {
		soft := m.Box.Inset(-1).Intersect(image.Rect(0, 0, p.W, p.H))
		for y := soft.Min.Y; y < soft.Max.Y; y++ {
			clear(p.Row(y)[soft.Min.X:soft.Max.X])
		}
	}
}

func middleOf(m raster.Mark) image.Point { return m.Box.Min.Add(m.Box.Max).Div(2) }

func sumIn(p raster.Plane, r image.Rectangle) (sum float32) {
	r = r.Intersect(image.Rect(0, 0, p.W, p.H))
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for _, v := range p.Row(y)[r.Min.X:r.Max.X] {
			sum += v
		}
	}
	return sum
}

func inkOf(p raster.Plane, m raster.Mark) float64 {
	sum := 0.0
	for _, k := range m.Places {
		sum += float64(p.Pix[k])
	}
	return sum
}
