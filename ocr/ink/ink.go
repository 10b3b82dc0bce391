// Package ink lifts print off its paper.
//
// What a thermal printer leaves is a density: it takes away a share of the
// light, whatever light there is. So print is measured as log(paper) -
// log(pixel) against an estimate of the bare paper at the same place; shadows,
// folds, yellowing and uneven light then fall out, and print that is faded to
// a fifth is simply the same picture with smaller numbers. One noise floor
// holds for the whole slip: a floor found place by place would blow up the
// grain of blank paper into false text.
//
// It fails where print covers its surroundings for more than about a line and
// a half (see barHeight) and where stains are as small and dark as print.
package ink

import (
	"math"

	"tankroll/ocr/raster"
)

// Density is print lifted off its paper. The paper lies around 0.
type Density struct {
	raster.Plane
	Noise float64 // standard deviation of bare paper
	Level float64 // density of solid print, at the slip's typical strength
}

// Ink is the print's contrast against its paper, 0 gone to 1 fresh black, as
// a densitometer would see it: files hold brightness raised to 1/2.2.
func (d Density) Ink() float64 {
	const fileGamma = 2.2
	return min(max(1-math.Exp(-fileGamma*d.Level), 0), 1)
}

// The reach of the paper estimate, in character heights (the pitch of lines is
// about 1.2 of them).
const (
	strokeReach = 0.42 // half the side of the square that strokes must not fill: half a normal cell, a quarter of a double one
	barHeight   = 1.15 // half the height of inverse bars that are still seen as print
	smallHeight = 16   // character height in pixels at which paper is estimated
)

// Lift measures the density of luma (0 to 255) for characters em pixels high.
func Lift(luma raster.Plane, em float64) Density { return LiftSeen(luma, em, Seen{}) }

// Seen is shown what Lift goes by, where somebody wants to look at it.
type Seen struct {
	Paper  func(luma raster.Plane)    // the bare paper as it was estimated, 0 to 255
	Stains func(density raster.Plane) // what was taken off as stains; not called where there are none
}

// LiftSeen is Lift and shows what it goes by.
func LiftSeen(luma raster.Plane, em float64, seen Seen) Density {
	paper, tall := paperOf(luma, em)
	if seen.Paper != nil {
		seen.Paper(paper)
	}
	d := raster.New(luma.W, luma.H)
	table := logTable()
	for i, v := range luma.Pix {
		d.Pix[i] = table.log(paper.Pix[i]) - table.log(v)
	}
	out := Density{Plane: d}
	out.settle(em)
	if stains, took := out.takeStains(em, tall); took && seen.Stains != nil {
		seen.Stains(stains)
	}
	if share := out.Noise / out.Level; share > grainy {
		// Grain is finer than strokes: smoothing by less than a stroke's width
		// takes more of the grain than of the print.
		out.Plane = out.Blur(strokeBlur * em * min(share/grainy, 2))
		out.settle(em)
	}
	return out
}

const (
	grainy     = 0.05 // noise against print from which grain is smoothed: fresh print has 0.01
	strokeBlur = 0.03 // in character heights; strokes are about 0.09 wide
)

// paperOf estimates the bare paper under the print: at a small scale, dark
// marks narrower than a cell are filled from around, then what is still dark
// and no taller than a bar of inverse print. tall, at the small scale, is what is left of
// the paper once nothing that is no taller than a bar darkens it.
func paperOf(luma raster.Plane, em float64) (paper, tall raster.Plane) {
	f := max(int(em/smallHeight), 1)
	small := luma.Reduce(f).Blur(0.8)
	h := em / float64(f)
	r := max(int(strokeReach*h+0.5), 1)
	near := small.Close(r, r)
	far := near.Close(0, max(int(barHeight*h+0.5), 1))
	// A bar of inverse print is very dark against what lies above and below;
	// a shadow's edge or a fold is not, and must stay part of the paper.
	const barRatio = 0.6
	for i, v := range near.Pix {
		if v < barRatio*far.Pix[i] {
			near.Pix[i] = far.Pix[i]
		}
	}
	return alongEdges(near, h).Resize(luma.W, luma.H), far
}

// alongEdges smooths the paper, but not across a sharp edge of it, such as that of a stripe
// or of tape: within half a character of one the paper would be taken for much too bright
// or dark, and print on it for a stain.
func alongEdges(paper raster.Plane, h float64) raster.Plane {
	const (
		wide, slight = 0.35, 0.1 // standard deviations, in character heights
		edge         = 0.06      // share by which paper changes within the wide one at an edge
	)
	out, fine := paper.Blur(wide*h), paper.Blur(slight*h)
	for i, v := range out.Pix {
		off := math.Abs(float64(fine.Pix[i]-v)) / (edge * max(float64(v), 1))
		share := float32(min(max(off-1, 0), 1)) // none up to an edge, all from twice that on
		out.Pix[i] = v + share*(fine.Pix[i]-v)
	}
	return out
}

// settle finds the paper's own density, its noise and the level of print, and
// moves the paper to 0.
func (d *Density) settle(em float64) {
	s := d.Plane.Sample(50_000)
	low, mid := raster.Quantile(s, 0.10), raster.Quantile(s, 0.5)
	// More than half of a slip is bare, so the median is paper, a little to
	// the dark side; below it there is nothing but noise.
	d.Noise = max(float64(mid-low)/1.28, 0.002)
	for i := range d.Pix {
		d.Pix[i] -= mid
	}
	d.Level = max(d.level(em), 3*d.Noise, 0.01)
}

// level is the density of solid print in a typical printed place: each place
// has one vote, so that a ring or a torn edge, however dark, does not set it.
// Places along the border have none where there are enough others: a dark ground
// that shows there all around would outvote faint print.
func (d *Density) level(em float64) float64 {
	size := max(int(1.5*em), 8)
	const enough = 6 // places across
	edge := 0
	if min(d.W, d.H) >= enough*size {
		edge = size
	}
	var strong []float32
	var part []float32
	for y0 := edge; y0+size/2 < d.H-edge; y0 += size {
		for x0 := edge; x0+size/2 < d.W-edge; x0 += size {
			part = part[:0]
			for y := y0; y < min(y0+size, d.H); y += 2 {
				for x := x0; x < min(x0+size, d.W); x += 2 {
					part = append(part, d.Pix[y*d.W+x])
				}
			}
			strong = append(strong, raster.Quantile(part, 0.96))
		}
	}
	top := raster.Quantile(strong, 0.9)
	floor := max(float32(3.5*d.Noise), 0.35*top)
	printed := strong[:0]
	for _, v := range strong {
		if v > floor {
			printed = append(printed, v)
		}
	}
	return float64(raster.Quantile(printed, 0.5))
}

// lookup replaces a logarithm a pixel by a table.
type lookup [2048]float32

// logTable is over 0..255 in eighths. A little light is added so that the
// grain of deep black does not count as print.
func logTable() *lookup {
	var t lookup
	for i := range t {
		t[i] = float32(math.Log(float64(i)/8 + 6))
	}
	return &t
}

func (t *lookup) log(v float32) float32 {
	return t[min(max(int(v*8+0.5), 0), len(t)-1)]
}
