package tagger

import (
	"math"
	"slices"

	"tankroll/internal/gemm"
)

// dense is a layer in which every number goes into every other.
type dense struct {
	in, out int
	weights []float32 // in x out
	bias    []float32
}

// over gives the layer's numbers for each of n rows.
func (d *dense) over(x []float32, n int, out []float32) []float32 {
	out = sized(out, n*d.out)
	for i := range n {
		copy(out[i*d.out:], d.bias)
	}
	product(out, n, d.out, x, d.in, d.weights)
	return out
}

// sized is room for n numbers, where it is large enough the one given; what is in it is old.
func sized(room []float32, n int) []float32 {
	if cap(room) < n {
		return make([]float32, n, n+n/4)
	}
	return room[:n]
}

// product adds the product of a (n x k) and b (k x w) to m.
func product(m []float32, n, w int, a []float32, k int, b []float32) {
	gemm.Matrix{N: n, W: w, Step: w, V: m}.Add(gemm.Matrix{N: n, W: k, Step: k, V: a}, gemm.Matrix{N: k, W: w, Step: w, V: b})
}

// norm brings the numbers of a word to mean 0 and spread 1.
type norm struct{ scale, shift []float32 }

func (m *norm) over(x []float32, n int, out []float32) []float32 {
	out = sized(out, len(x))
	for i := range n {
		row, to := x[i*wide:(i+1)*wide], out[i*wide:(i+1)*wide]
		mean, spread := float32(0), float32(0)
		for _, v := range row {
			mean += v
		}
		mean /= wide
		for _, v := range row {
			spread += (v - mean) * (v - mean)
		}
		by := float32(1 / math.Sqrt(float64(spread/wide)+1e-5))
		for j, v := range row {
			to[j] = (v-mean)*by*m.scale[j] + m.shift[j]
		}
	}
	return out
}

// level lets each word look at all others and then thinks about it.
type level struct {
	look, out, up, down dense
	first, second       norm
	apart               []float32 // standings x heads
}

func newLevel() level {
	return level{
		look: dense{in: wide, out: 3 * wide}, out: dense{in: wide, out: wide},
		up: dense{in: wide, out: 2 * wide}, down: dense{in: 2 * wide, out: wide},
	}
}

// room is what a level needs to work in; it is used again and again.
type room struct {
	even, seen, mixed, weight, turned, asks, holds, gives, inner, added []float32
	stand                                                               []uint8
}

// over changes the numbers of n words by what they see of each other.
func (l *level) over(x []float32, n int, r *room) {
	const part = wide / heads
	r.even = l.first.over(x, n, r.even)
	r.seen = l.look.over(r.even, n, r.seen)
	r.mixed, r.weight = sized(r.mixed, n*wide), sized(r.weight, n*n)
	r.turned, r.asks, r.holds, r.gives = sized(r.turned, part*n), sized(r.asks, n*part), sized(r.holds, n*part), sized(r.gives, n*part)
	for h := range heads {
		var apart [standings]float32
		for s := range apart {
			apart[s] = l.apart[s*heads+h]
		}
		scale := float32(1 / math.Sqrt(part))
		for i := range n {
			row := r.seen[i*3*wide:]
			for j := range part {
				r.asks[i*part+j] = row[h*part+j] * scale
				r.turned[j*n+i] = row[wide+h*part+j]
			}
			copy(r.holds[i*part:(i+1)*part], row[2*wide+h*part:])
		}
		for i, s := range r.stand {
			r.weight[i] = apart[s]
		}
		product(r.weight, n, n, r.asks, part, r.turned)
		gemm.Matrix{N: n, W: n, Step: n, V: r.weight}.Shares()
		clear(r.gives)
		product(r.gives, n, part, r.weight, n, r.holds)
		for i := range n {
			copy(r.mixed[i*wide+h*part:], r.gives[i*part:(i+1)*part])
		}
	}
	r.added = l.out.over(r.mixed, n, r.added)
	add(x, r.added)
	r.even = l.second.over(x, n, r.even)
	r.inner = l.up.over(r.even, n, r.inner)
	positive(r.inner)
	r.added = l.down.over(r.inner, n, r.added)
	add(x, r.added)
}

func add(x, y []float32) {
	for i, v := range y {
		x[i] += v
	}
}

func positive(x []float32) {
	for i, v := range x {
		x[i] = max(v, 0)
	}
}

// readPart is what was read of words that were looked at together.
type readPart struct {
	likely, codes [][]float32 // by word
	comparing
}

// part reads words that are looked at together.
func (n *Net) part(words []Word, lines int) readPart {
	r := n.rooms.Get().(*room)
	defer n.rooms.Put(r)
	count := len(words)
	x, like := make([]float32, count*wide), make([]float32, count*figures)
	var letters [256]uint16
	for i, w := range words {
		row := x[i*wide : (i+1)*wide]
		pieces := n.piecesOf(w.Text, letters[:])
		for _, p := range pieces {
			add(row, n.pieces[int(p)*wide:(int(p)+1)*wide])
		}
		for j := range row {
			row[j] *= 3 / float32(len(pieces))
		}
		f := figuresOf(w.Text)
		copy(like[i*figures:], f[:])
	}
	r.added = n.weigh.over(like, count, r.added)
	add(x, r.added)
	positive(x)
	x = n.join.over(x, count, nil)
	for i, p := range placesOf(words, lines) {
		for k, at := range p {
			add(x[i*wide:(i+1)*wide], n.places[k][at*wide:(at+1)*wide])
		}
	}
	r.stand = slices.Grow(r.stand[:0], count*count)
	for i := range words {
		for j := range words {
			r.stand = append(r.stand, standing(&words[i], &words[j]))
		}
	}
	for i := range n.levels {
		n.levels[i].over(x, count, r)
	}
	r.even = n.norm.over(x, count, r.even)
	scores := n.tell.over(r.even, count, nil)
	gemm.Matrix{N: count, W: len(n.names), Step: len(n.names), V: scores}.Shares()
	return readPart{
		byWord(scores, count), byWord(n.code.over(r.even, count, nil), count),
		comparing{words: words, asks: n.ask.over(r.even, count, nil), answers: n.answer.over(r.even, count, nil)},
	}
}

// byWord parts numbers into those of each word.
func byWord(x []float32, words int) [][]float32 {
	out := make([][]float32, words)
	for i := range out {
		each := len(x) / words
		out[i] = x[i*each : (i+1)*each]
	}
	return out
}

// odds are the log odds that b belongs to the record of a.
func (n *Net) odds(c *comparing, a, b int) float64 {
	sum := float32(0)
	for j := range pairs {
		sum += c.asks[a*pairs+j] * c.answers[b*pairs+j]
	}
	return float64(sum/4 + n.apart[standing(&c.words[a], &c.words[b])])
}
