// Package glyph tells which character a cell of thermal print holds.
//
// A thermal head prints every character into a cell of one size, so a line,
// once its pitch is known, falls into pictures of single characters, and a
// small network reads them better than a recognizer made for books: it knows
// zeros with a slash or a dot, matrix type and condensed faces, and has no
// language to be misled by. What it cannot know is context; that is what the
// other reading is for.
//
// The network was trained by the program in the folder train on characters of
// some forty open typefaces, drawn as heads of 7 to 24 dots draw them, worn
// and blurred. None of the faces that the project judges itself on was among
// them.
package glyph

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"math"
)

// The picture of a cell: the cell and a little of its neighbours across; from
// 0.28 capitals above a capital to 0.40 below the base line down.
const (
	W, H  = 16, 24
	Side  = 0.12 // of a cell, on either side
	Above = 0.28 // of a capital's height
	Below = 0.40
)

// Alphabet lists the characters that are told apart; the first is a cell
// without print.
var Alphabet = func() []rune {
	out := []rune{' '}
	for r := '!'; r <= '~'; r++ {
		out = append(out, r)
	}
	return append(out, '°')
}()

// The layers: two of 3x3 patterns, each followed by taking the greatest of 2x2,
// then two dense ones.
const (
	c1, c2 = 10, 20
	w1, h1 = W / 2, H / 2
	w2, h2 = W / 4, H / 4
	flat   = c2 * w2 * h2
	dense  = 96
)

// Net holds a network's weights.
type Net struct {
	Conv1, Bias1  []float32 // c1 x 3x3
	Conv2, Bias2  []float32 // c2 x c1 x 3x3
	Dense1, Bias3 []float32 // dense x flat
	Dense2, Bias4 []float32 // alphabet x dense
}

// NewNet returns a network of zeros.
func NewNet() *Net {
	n := len(Alphabet)
	return &Net{
		Conv1: make([]float32, c1*9), Bias1: make([]float32, c1),
		Conv2: make([]float32, c2*c1*9), Bias2: make([]float32, c2),
		Dense1: make([]float32, dense*flat), Bias3: make([]float32, dense),
		Dense2: make([]float32, n*dense), Bias4: make([]float32, n),
	}
}

// Layers lists the weights in the order in which they are kept.
func (n *Net) Layers() [][]float32 {
	return [][]float32{n.Conv1, n.Bias1, n.Conv2, n.Bias2, n.Dense1, n.Bias3, n.Dense2, n.Bias4}
}

//go:embed weights.bin
var weights []byte

// Load returns the trained network.
func Load() (*Net, error) { return Decode(weights) }

// Encode keeps each layer as its greatest weight and one byte a weight.
func (n *Net) Encode() []byte {
	var out []byte
	for _, l := range n.Layers() {
		top := float32(1e-9)
		for _, v := range l {
			top = max(top, v, -v)
		}
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(top))
		for _, v := range l {
			out = append(out, byte(int8(math.Round(float64(v/top*127)))))
		}
	}
	return out
}

// Decode is the reverse of Encode.
func Decode(b []byte) (*Net, error) {
	n := NewNet()
	for _, l := range n.Layers() {
		if len(b) < 4+len(l) {
			return nil, fmt.Errorf("glyph: weights end too early")
		}
		top := math.Float32frombits(binary.LittleEndian.Uint32(b))
		for i := range l {
			l[i] = float32(int8(b[4+i])) * top / 127
		}
		b = b[4+len(l):]
	}
	if len(b) != 0 {
		return nil, fmt.Errorf("glyph: %d bytes too many in the weights", len(b))
	}
	return n, nil
}

// Pass holds what one picture makes of each layer. It can be used again. The
// layers between In and Out are for learning.
type Pass struct {
	In     []float32 // W x H, print as 1 on 0
	A1     []float32 // c1 x W x H after the first patterns
	P1     []float32 // c1 x w1 x h1
	A2     []float32
	P2     []float32
	D1     []float32
	Out    []float32 // scores of the alphabet
	I1, I2 []int32   // which of each 2x2 was the greatest
}

// NewPass makes room for one picture.
func NewPass() *Pass {
	return &Pass{In: make([]float32, W*H),
		A1: make([]float32, c1*W*H), P1: make([]float32, c1*w1*h1), I1: make([]int32, c1*w1*h1),
		A2: make([]float32, c2*w1*h1), P2: make([]float32, flat), I2: make([]int32, flat),
		D1: make([]float32, dense), Out: make([]float32, len(Alphabet))}
}

// ForwardAll fills all layers of p from p.In.
func (n *Net) ForwardAll(p *Pass) {
	convolve(p.In, 1, W, H, n.Conv1, n.Bias1, p.A1)
	pool(p.A1, c1, W, H, p.P1, p.I1)
	convolve(p.P1, c1, w1, h1, n.Conv2, n.Bias2, p.A2)
	pool(p.A2, c2, w1, h1, p.P2, p.I2)
	for i := range p.D1 {
		s := n.Bias3[i] + Dot(n.Dense1[i*flat:(i+1)*flat], p.P2)
		p.D1[i] = max(s, 0)
	}
	for i := range p.Out {
		p.Out[i] = n.Bias4[i] + Dot(n.Dense2[i*dense:(i+1)*dense], p.D1)
	}
}

// Dot sums the products of a and b as far as both go.
func Dot(a, b []float32) float32 {
	n := min(len(a), len(b))
	a, b = a[:n], b[:n]
	var s0, s1, s2, s3 float32
	i := 0
	for ; i+3 < len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return s0 + s1 + s2 + s3
}

// Likeliest is the first of the greatest of prob, as an index.
func Likeliest(prob []float32) int {
	best := 0
	for i, p := range prob {
		if p > prob[best] {
			best = i
		}
	}
	return best
}

// convolve lays every 3x3 pattern over all channels of in and keeps what is
// above 0. Outside of the picture there is nothing.
func convolve(in []float32, channels, w, h int, k, bias, out []float32) {
	for o := range bias {
		plane := out[o*w*h : (o+1)*w*h]
		for i := range plane {
			plane[i] = bias[o]
		}
		for c := range channels {
			src := in[c*w*h : (c+1)*w*h]
			kk := k[(o*channels+c)*9 : (o*channels+c)*9+9]
			for y := range h {
				dst := plane[y*w : (y+1)*w]
				for dy := -1; dy <= 1; dy++ {
					if y+dy < 0 || y+dy >= h {
						continue
					}
					row := src[(y+dy)*w : (y+dy+1)*w]
					k0, k1, k2 := kk[(dy+1)*3], kk[(dy+1)*3+1], kk[(dy+1)*3+2]
					row = row[:len(dst)]
					dst[0] += k1*row[0] + k2*row[1]
					for x := 1; x < len(dst)-1; x++ {
						dst[x] += k0*row[x-1] + k1*row[x] + k2*row[x+1]
					}
					dst[w-1] += k0*row[w-2] + k1*row[w-1]
				}
			}
		}
		for i, v := range plane {
			plane[i] = max(v, 0)
		}
	}
}

func pool(in []float32, channels, w, h int, out []float32, from []int32) {
	ow, oh := w/2, h/2
	for c := range channels {
		for y := range oh {
			for x := range ow {
				best := int32(c*w*h + 2*y*w + 2*x)
				for _, k := range [3]int32{best + 1, best + int32(w), best + int32(w) + 1} {
					if in[k] > in[best] {
						best = k
					}
				}
				i := c*ow*oh + y*ow + x
				out[i], from[i] = in[best], best
			}
		}
	}
}

// Weigh is how likely each character of the alphabet is for the cell in p.In. It is p.Out,
// and stands until p is used again.
func (n *Net) Weigh(p *Pass) []float32 {
	n.Forward(p)
	Probabilities(p.Out)
	return p.Out
}

// Probabilities turns scores into shares of 1, in place.
func Probabilities(scores []float32) {
	top := scores[0]
	for _, v := range scores {
		top = max(top, v)
	}
	var sum float32
	for i, v := range scores {
		scores[i] = float32(math.Exp(float64(v - top)))
		sum += scores[i]
	}
	for i := range scores {
		scores[i] /= sum
	}
}
