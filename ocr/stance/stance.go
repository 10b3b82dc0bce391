// Package stance tells print that stands on its feet from print on its head.
//
// It looks at letters, not at words: the bowl of a P is high, the leg of an R is
// low, an L has its foot on the base line, a 7 its bar on top. A small network of
// 3x3 patterns says at every place of a line how likely print there is upright.
// One place says little, since H, O, X and 8 look the same either way; all places
// of a slip together are hardly ever wrong, in faces never seen too.
//
// It was trained by the program in the folder train of package slipnet, on the
// same made-up lines, each shown upright and turned by half a turn.
package stance

import (
	_ "embed"
	"fmt"

	"tankroll/internal/half"
	"tankroll/ocr/raster"
)

// The picture of a line: H rows, Tall capitals high, the middle of the capitals
// in its middle. Pixels are as wide as they are high.
const (
	H    = 28
	Tall = 1.8
)

// Pixel is the side of a pixel in capitals.
const Pixel = Tall / H

// Sizes of the layers; slipnet/train/learn_stance.py has the same.
const (
	c1, c2, c3 = 8, 16, 24
	dim        = 48
	flat       = 3 * c3
)

// Net holds a network's weights. It may be used by several goroutines.
type Net struct {
	conv [3]patterns
	near patterns // over three places: in is flat, out dim
	out  []float32
	bias float32
}

// patterns are 3x3, or three in a row, for every pair of channels.
type patterns struct {
	in, out int
	weights []float32 // by out, in and place; of near by out, place and in
	bias    []float32
}

//go:embed weights.bin
var weights []byte

// Load returns the trained network.
func Load() (*Net, error) { return Decode(weights) }

// Decode reads weights as train/learn_stance.py keeps them: numbers of half
// precision, lowest byte first.
func Decode(b []byte) (*Net, error) {
	n := &Net{near: patterns{in: flat, out: dim}}
	for i, c := range [3][2]int{{1, c1}, {c1, c2}, {c2, c3}} {
		n.conv[i] = patterns{in: c[0], out: c[1]}
	}
	size := dim + 1 + 3*flat*dim + dim
	for _, p := range n.conv {
		size += 9*p.in*p.out + p.out
	}
	if len(b) != 2*size {
		return nil, fmt.Errorf("stance: %d bytes of weights are not those of this network, which has %d", len(b), 2*size)
	}
	take := func(n int) []float32 {
		out, rest, _ := half.Numbers(b, n)
		b = rest
		return out
	}
	for i := range n.conv {
		p := &n.conv[i]
		p.weights, p.bias = take(9*p.in*p.out), take(p.out)
	}
	n.near.weights, n.near.bias = take(3*flat*dim), take(dim)
	n.out, n.bias = take(dim), take(1)[0]
	return n, nil
}

// Upright is how likely the lines stand on their feet, as the mean over their
// print of the logarithm of the odds: above 0 they do, below 0 they are on their
// heads, and 0 without print. Lines are H pixels high, print as 1 on 0.
func (n *Net) Upright(lines []raster.Plane) float64 {
	sum, places := 0.0, 0.0
	for _, l := range lines {
		s, p := n.says(l)
		d, q := n.says(l.Quarter(2))
		sum, places = sum+s-d, places+p+q
	}
	if places == 0 {
		return 0
	}
	return sum / places
}

// says sums what the network says of one line over the places with print.
func (n *Net) says(l raster.Plane) (sum, places float64) {
	for i, v := range n.look(l) {
		const inked = 0.4
		var top float32
		for y := range l.H {
			for _, p := range l.Row(y)[step*i : step*(i+1)] {
				top = max(top, p)
			}
		}
		if top > inked {
			sum, places = sum+float64(v), places+1
		}
	}
	return sum, places
}
