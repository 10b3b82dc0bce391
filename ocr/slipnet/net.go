package slipnet

import (
	_ "embed"
	"fmt"

	"tankroll/internal/half"
	"tankroll/ocr/glyph"
)

// Sizes of the layers; train/learn.py has the same.
const (
	c1, c2, c3 = 16, 40, 64 // patterns
	flat       = c3 * 3 * 2 // what the patterns leave of a cell
	dim        = 160        // what is known of a cell
	heads      = 4
)

// Net holds a network's weights. It may be used by several goroutines.
type Net struct {
	conv     [3]linear
	dense    linear
	near     [2]linear
	nearNorm [2]norm
	askNorm  norm
	ask      linear
	tell     linear
	lastNorm norm
	out      linear

	nothing matrix // what is known of a bare cell beside bare cells: the first of a line, others, the last
}

// linear is y = xA + b, or patterns: in numbers to out numbers.
type linear struct {
	in, out  int
	patterns matrix // out x in
	across   matrix // in x out, the same turned for rows of x to go along it
	bias     []float32
}

// norm brings a row to mean 0 and spread 1, then scales and shifts it.
type norm struct{ scale, shift []float32 }

//go:embed weights.bin
var weights []byte

// Load returns the trained network.
func Load() (*Net, error) { return Decode(weights) }

// Decode reads weights as train/learn.py keeps them: numbers of half precision,
// lowest byte first.
func Decode(b []byte) (*Net, error) {
	n := &Net{}
	for i, c := range [3][2]int{{1, c1}, {c1, c2}, {c2, c3}} {
		n.conv[i] = linear{in: 9 * c[0], out: c[1]}
	}
	n.dense = linear{in: flat, out: dim}
	n.near[0] = linear{in: 3 * dim, out: dim}
	n.near[1] = n.near[0]
	n.ask, n.tell = linear{in: dim, out: 3 * dim}, linear{in: dim, out: dim}
	n.out = linear{in: dim, out: len(glyph.Alphabet)}

	r := &halves{b: b}
	for _, l := range []*linear{&n.conv[0], &n.conv[1], &n.conv[2], &n.dense} {
		r.linear(l)
	}
	for i := range n.near {
		r.norm(&n.nearNorm[i])
		r.linear(&n.near[i])
	}
	r.norm(&n.askNorm)
	r.linear(&n.ask)
	r.linear(&n.tell)
	r.norm(&n.lastNorm)
	r.linear(&n.out)
	if r.short || len(r.b) != 0 {
		return nil, fmt.Errorf("slipnet: %d bytes of weights are not those of this network", len(b))
	}
	n.nothing = newMatrix(3, dim)
	n.lookAll(NewLine(3), n.nothing, &room{})
	return n, nil
}

// halves takes numbers of half precision from bytes.
type halves struct {
	b     []byte
	short bool
}

func (h *halves) take(n int) []float32 {
	out, rest, ok := half.Numbers(h.b, n)
	if !ok {
		h.short = true
		return make([]float32, n)
	}
	h.b = rest
	return out
}

func (h *halves) linear(l *linear) {
	l.patterns = matrix{l.out, l.in, l.in, h.take(l.in * l.out)}
	l.across, l.bias = l.patterns.across(), h.take(l.out)
}

func (h *halves) norm(n *norm) { n.scale, n.shift = h.take(dim), h.take(dim) }
