package grid

import (
	"tankroll/ocr/raster"
	"tankroll/ocr/slipnet"
)

// What stands closer than a character is tall is seen with the lines above and below it,
// whose tails and tops look like dots and bars at its own letters.
const (
	hangs   = 0.30 // of a capital: how far tails hang below their base line
	stands  = 0.08 // of a capital: how far brackets and strokes stand above capitals
	ownInk  = 0.15 // the least ink by which marks hang together
	halfRow = 0.5
)

// takeOthers wipes off the picture of the line what is wholly of the lines above and below.
// tops are where its rows begin in the plane, by cell, and each row is sy high.
func (l Line) takeOthers(strip slipnet.Line, tops []float64, sy float64) {
	if l.Before == 0 && l.Next == 0 {
		return
	}
	p := raster.Plane{W: strip.Cells * slipnet.W, H: slipnet.H, Pix: strip.Pix}
	row := func(x int, y float64) float64 { return (y-tops[x/slipnet.W])/sy - halfRow }
	for _, m := range p.Marks(ownInk) {
		x := min((m.Box.Min.X+m.Box.Max.X)/2, p.W-1)
		above := l.Before > 0 && float64(m.Box.Max.Y-1) < row(x, min(l.Before+hangs*l.Cap, l.Base-(1+stands)*l.Cap))
		below := l.Next > 0 && float64(m.Box.Min.Y) > row(x, max(l.Next-stands*l.Cap, l.Base+stands*l.Cap))
		if !above && !below {
			continue
		}
		for _, k := range m.Places {
			p.Pix[k] = 0
		}
		for y := m.Box.Min.Y; y < m.Box.Max.Y; y++ { // and its soft edges
			for x := max(m.Box.Min.X-1, 0); x < min(m.Box.Max.X+1, p.W); x++ {
				if v := &p.Pix[y*p.W+x]; *v <= ownInk {
					*v = 0
				}
			}
		}
	}
}
