package lines

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tankroll/ocr/raster"
)

// spoilt is what is wrong with a drawn slip.
type spoilt struct {
	noise float64 // standard deviation of the paper, where print is 1
	dirt  bool    // sixty specks, up to a third of a capital
	lost  bool    // a third of the lines are missing
	title bool    // every fifth line is of double height
	short bool    // a third of the lines are of one short word
}

// The pitch of lines, the height of capitals and the width of cells are measured well at the
// pitches that heads print at, in noise and dirt, with lines missing, among titles of double
// height and short lines, and with two or three of these together. With all at once so few
// neighbours are left that nothing tells: the pitch is right on six such slips of nine.
func TestPitch(t *testing.T) {
	const cell, height, rows = 20, 28, 16
	for name, c := range map[string]spoilt{
		"plain":                  {},
		"noise":                  {noise: 0.12},
		"dirt":                   {dirt: true},
		"lines lost":             {lost: true},
		"titles":                 {title: true},
		"short lines":            {short: true},
		"noise, dirt":            {noise: 0.12, dirt: true},
		"dirt, titles":           {dirt: true, title: true},
		"dirt, short lines":      {dirt: true, short: true},
		"noise, titles, lost":    {noise: 0.12, title: true, lost: true},
		"noise, titles and dirt": {noise: 0.12, title: true, dirt: true},
	} {
		for _, pitch := range []int{38, 48, 64} {
			for seed := range uint64(3) {
				rng := rand.New(rand.NewPCG(seed, 4))
				l := Find(c.draw(rng, rows, pitch, cell, height))
				if math.Abs(l.Pitch-float64(pitch)) > 1.5 {
					t.Errorf("%s, %d: lines %.1f apart, want %d", name, seed, l.Pitch, pitch)
				}
				if math.Abs(l.Cap-height) > 2 {
					t.Errorf("%s, %d, lines %d apart: capitals of %.1f pixels, want %d", name, seed, pitch, l.Cap, height)
				}
				if math.Abs(l.Cell-cell) > 0.4 {
					t.Errorf("%s, %d, lines %d apart: cells of %.1f pixels, want %d", name, seed, pitch, l.Cell, cell)
				}
			}
		}
	}
}

// draw is a slip as Find takes it, with a guess that is a tenth too high.
func (c spoilt) draw(rng *rand.Rand, rows, pitch, cell, height int) (clean, full raster.Plane, guess float64) {
	b := bars{raster.New(640, (rows+2)*pitch)}
	for i := 0; i < rows; i++ {
		n, h, base := 20+rng.IntN(9), height, (i+1)*pitch
		switch {
		case c.lost && rng.IntN(3) == 0:
			continue
		case c.title && i%5 == 1:
			i++
			n, h, base = 12, 2*height, base+pitch
		case c.short && rng.IntN(3) == 0:
			n = 2 + rng.IntN(4)
		}
		var text strings.Builder
		for range n {
			text.WriteByte("xxxxx "[rng.IntN(6)])
		}
		b.line(text.String(), 30, cell, base, h)
	}
	if c.dirt {
		for range 60 {
			x, y, size := rng.IntN(620), rng.IntN(b.p.H-12), 2+rng.IntN(9)
			for dy := range size {
				for dx := range size {
					b.p.Row(y + dy)[x+dx] = 1
				}
			}
		}
	}
	for i, v := range b.p.Pix {
		b.p.Pix[i] = min(max(v+float32(c.noise*rng.NormFloat64()), 0), 1.15)
	}
	return b.p, b.p, 1.1 * float64(height)
}
