package paper

import (
	"image"
	"math"
	"slices"

	"tankroll/ocr/raster"
)

// Planes is a picture for finding, reduced by Step: luma and, when it has colour,
// how far each pixel is from grey towards blue and towards red; and, where that is
// known, how likely each pixel is paper, 0 to 1, and how likely it lies within a slip
// and off its sides.
type Planes struct {
	Luma, Blue, Red raster.Plane
	Likely, Apart   raster.Plane
	Step            float64
}

// Reduced prepares a decoded page for Find; cb and cr may be nil.
func Reduced(luma, cb, cr *image.Gray) Planes {
	f := max((max(luma.Rect.Dx(), luma.Rect.Dy())+findSide-1)/findSide, 1)
	p := Planes{Luma: raster.ReduceGray(luma, f), Step: float64(f)}
	if cb == nil {
		return p
	}
	difference := func(g *image.Gray) raster.Plane {
		return raster.FromGray(g).Resize(p.Luma.W, p.Luma.H).Map(func(v float32) float32 { return v - 128 })
	}
	p.Blue, p.Red = difference(cb), difference(cr)
	return p
}

const (
	brightShare = 0.7 // of the brightest, that most of a sheet has
	mostOfSheet = 0.5 // of the pixels
)

// MostlyBright says whether most of a picture is about as bright as the brightest of it, as a
// sheet with slips on it is: Apart is of use only there.
func (p Planes) MostlyBright() bool {
	if len(p.Luma.Pix) == 0 {
		return false
	}
	s := p.Luma.Sample(20000)
	slices.Sort(s)
	least := brightShare * s[len(s)*95/100]
	dark, _ := slices.BinarySearch(s, least)
	return float64(len(s)-dark) >= mostOfSheet*float64(len(s))
}

// coloured are the planes besides brightness that thresholds are tried on where there is
// colour. Brightness alone does not part every paper from every ground, nor hold every
// paper together:
//
//   - brightness less colour, for paper on bright wood or a manila folder
//   - the brightest of red, green and blue, in which a coloured stripe on the paper
//     hardly shows
//   - how blue and how red a place is for its brightness, which a shadow does not
//     change however sharp its edge
func coloured(closed raster.Plane, p Planes) []raster.Plane {
	if p.Blue.W != closed.W || p.Blue.H != closed.H {
		return nil
	}
	mix, most := raster.New(closed.W, closed.H), raster.New(closed.W, closed.H)
	blue, red := p.Blue.Blur(softColour), p.Red.Blur(softColour)
	for i, v := range closed.Pix {
		b, r := blue.Pix[i], red.Pix[i]
		mix.Pix[i] = v - 2*float32(math.Hypot(float64(b), float64(r)))
		most.Pix[i] = v + max(1.772*b, 1.402*r, -0.344*b-0.714*r)
		blue.Pix[i], red.Pix[i] = b/(v+darkest), r/(v+darkest)
	}
	return []raster.Plane{mix, most, blue, red}
}

const (
	softColour = 1.0 // of blur in pixels: colour is noisier than brightness
	darkest    = 16  // added to brightness that colour is divided by: black has no colour
)
