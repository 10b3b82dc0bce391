// Package papernet says for every place of a small picture how likely the nearest
// thing there is the paper of a slip; and for a sheet that slips are taped to how likely a
// place lies within one of them and off its sides.
//
// Steps of brightness tell paper from a plain table, not from cloth in squares, a
// newspaper or keys, which are full of them. What tells paper there is that it is one
// even sheet with print on it, lit as one and lying on top; a small network of
// patterns, which sees the whole picture at once coarsely and each place finely, has
// learned that from made-up pictures of slips on made-up grounds. It knows where paper
// is to a pixel or two of its small picture; package paper finds the sides exactly.
//
// On a sheet as white as its slips hardly a step of brightness shows where one slip ends and
// the next begins, and thresholds join them. What tells is a thin shadow here and there, the
// edge of a strip of tape and how print stands on paper. A second network of the same kind,
// which sees a picture twice as fine, has learned that from made-up sheets; it leaves a strip
// of nothing between slips that abut.
//
// The networks were trained by the programs in the folder train, which draw their
// pictures with nothing of package fixtures.
package papernet

import (
	_ "embed"
	"fmt"
	"image"

	"tankroll/internal/half"
	"tankroll/ocr/raster"
)

// Side is how many pixels the longer side of the picture has that the network sees.
const Side = 192

// ApartSide is the same of the network that tells slips apart.
const ApartSide = 384

// shallow, and deeper, are the channels of the four sizes at which the network looks,
// each half as large as the one before; train/learn.py has the same.
const (
	shallow, middling, deep, deepest = 16, 32, 48, 64
	round                            = 16 // the sides of what it sees are whole multiples
)

// Net holds a network's weights. It may be used by several goroutines.
type Net struct {
	side   int // of the picture that it sees, the longer
	stem   pattern
	see    [4]pattern // at each size
	shrink [3]pattern // from each size to the next
	around [2]pattern // at the smallest: what is further and further off
	grow   [3]pattern // back from each size to the one before, the smallest first
	tell   pattern    // four answers of each place of the largest, one for each quarter of it
}

// pattern is laid over all channels at every place, or every second one.
type pattern struct {
	in, out, size, stride, spread int
	weights                       []float32 // by place, in and out
	bias                          []float32
	linear                        bool // the last: its sums are the answer
}

var (
	//go:embed weights.bin
	weights []byte
	//go:embed apart.bin
	apart []byte
)

// Load returns the network that tells paper from what it lies on.
func Load() (*Net, error) { return Decode(weights, Side) }

// LoadApart returns the network that tells slips on a sheet apart.
func LoadApart() (*Net, error) { return Decode(apart, ApartSide) }

// Decode reads the weights of a network that sees side pixels along the longer side, as
// train/learn.py keeps them: numbers of half precision,
// lowest byte first, pattern by pattern in the order in which they are used.
func Decode(b []byte, side int) (*Net, error) {
	n := &Net{
		side:   side,
		stem:   pattern{in: 3, out: shallow, size: 5, stride: 2, spread: 1},
		see:    [4]pattern{near(shallow, shallow), near(middling, middling), near(deep, deep), near(deepest, deepest)},
		shrink: [3]pattern{halving(shallow, middling), halving(middling, deep), halving(deep, deepest)},
		around: [2]pattern{near(deepest, deepest), near(deepest, deepest)},
		grow:   [3]pattern{near(deepest+deep, deep), near(deep+middling, middling), near(middling+shallow, shallow)},
		tell:   near(shallow, 4),
	}
	n.around[0].spread, n.around[1].spread = 2, 4
	n.tell.linear = true
	size := 0
	for _, p := range n.inOrder() {
		size += p.size*p.size*p.in*p.out + p.out
	}
	if len(b) != 2*size {
		return nil, fmt.Errorf("papernet: %d bytes of weights are not those of this network, which has %d", len(b), 2*size)
	}
	for _, p := range n.inOrder() {
		p.weights, b, _ = half.Numbers(b, p.size*p.size*p.in*p.out)
		p.bias, b, _ = half.Numbers(b, p.out)
	}
	return n, nil
}

func near(in, out int) pattern { return pattern{in: in, out: out, size: 3, stride: 1, spread: 1} }

func halving(in, out int) pattern { return pattern{in: in, out: out, size: 3, stride: 2, spread: 1} }

// inOrder lists the patterns as they are used.
func (n *Net) inOrder() []*pattern {
	return []*pattern{&n.stem, &n.see[0], &n.shrink[0], &n.see[1], &n.shrink[1], &n.see[2], &n.shrink[2], &n.see[3],
		&n.around[0], &n.around[1], &n.grow[0], &n.grow[1], &n.grow[2], &n.tell}
}

// Paper is how likely each place is paper, 0 to 1, or of the network that tells slips apart how
// likely it lies within a slip and off its sides, as large as luma: brightness, 0 to
// 255, and how far each place is from grey towards blue and towards red, or planes of
// another size where the picture has no colour. It is empty for a picture without pixels.
func (n *Net) Paper(luma, blue, red raster.Plane) raster.Plane {
	if luma.W == 0 || luma.H == 0 {
		return raster.Plane{}
	}
	w, h := n.seen(luma.W, luma.H)
	out := n.likely(input(luma, blue, red, w, h))
	return out.Sub(image.Rect(0, 0, w, h)).Resize(luma.W, luma.H)
}

// seen is the size of the picture that the network sees.
func (n *Net) seen(w, h int) (int, int) {
	most := max(w, h)
	return max((w*n.side+most/2)/most, 1), max((h*n.side+most/2)/most, 1)
}
