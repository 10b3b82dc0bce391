package tagger

import (
	"math"
	"slices"

	"tankroll/internal/gemm"
	"tankroll/internal/half"
)

// network is the weights of one network.
type network struct {
	pieces []float32 // buckets x wide
	weigh  dense     // of what figures are like
	join   dense
	places [4][]float32 // steps x wide
	levels [levels]level
	norm   norm
	tell   dense
	ask    dense // of two words, the one
	answer dense // and the other
	apart  []float32
	code   dense
}

// decodeNetwork takes the weights of one network with so many tags and codes off the front of b;
// ok is false where b is too short.
func decodeNetwork(b []byte, tags, codes int) (n network, rest []byte, ok bool) {
	n.weigh, n.join = dense{in: figures, out: wide}, dense{in: wide, out: wide}
	n.tell, n.ask, n.answer = dense{in: wide, out: tags}, dense{in: wide, out: pairs}, dense{in: wide, out: pairs}
	n.code = dense{in: wide, out: codes}
	ok = true
	take := func(to *[]float32, count int) {
		var enough bool
		*to, b, enough = half.Numbers(b, count)
		ok = ok && enough
	}
	layer := func(d *dense) { take(&d.weights, d.in*d.out); take(&d.bias, d.out) }
	even := func(m *norm) { take(&m.scale, wide); take(&m.shift, wide) }
	take(&n.pieces, buckets*wide)
	layer(&n.weigh)
	for i := range n.places {
		take(&n.places[i], steps*wide)
	}
	for i := range n.levels {
		l := &n.levels[i]
		*l = newLevel()
		layer(&l.look)
		layer(&l.out)
		even(&l.first)
		even(&l.second)
		layer(&l.up)
		layer(&l.down)
		take(&l.apart, standings*heads)
	}
	even(&n.norm)
	layer(&n.tell)
	layer(&n.join)
	layer(&n.ask)
	layer(&n.answer)
	take(&n.apart, standings)
	layer(&n.code)
	return n, b, ok
}

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

// room is what networks need to work in; it is used again and again.
type room struct {
	x, joined, even, seen, mixed, weight, turned, asks, holds, gives, inner, added []float32

	// What all networks are told of the words, whose pieces stand one behind the other.
	first  map[string]int // the first word of each text, which alone has pieces
	firsts []int          // by word
	pieces []uint16
	ends   []int // of each word's pieces
	like   []float32
	places [][4]int
	stand  []uint8
}

// tell notes what networks are told of words that are looked at together.
func (r *room) tell(n *Net, words []Word, lines int) {
	r.firsts, r.pieces, r.ends, r.like = r.firsts[:0], r.pieces[:0], r.ends[:0], r.like[:0]
	clear(r.first)
	for i, w := range words {
		first, known := r.first[w.Text]
		if !known {
			first = i
			r.first[w.Text] = i
			r.pieces = n.piecesOf(w.Text, r.pieces)
		}
		r.firsts = append(r.firsts, first)
		r.ends = append(r.ends, len(r.pieces))
		f := figuresOf(w.Text)
		r.like = append(r.like, f[:]...)
	}
	r.places = placesOf(words, lines)
	r.stand = slices.Grow(r.stand[:0], len(words)*len(words))
	for i := range words {
		for j := range words {
			r.stand = append(r.stand, standing(&words[i], &words[j]))
		}
	}
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

// addPart adds a share of y to x.
func addPart(x, y []float32, share float32) {
	for i, v := range y {
		x[i] += v * share
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

// part reads words that are looked at together. How likely tags are, and the log odds of codes, are
// the mean of all networks'.
func (n *Net) part(words []Word, lines int) readPart {
	r := n.rooms.Get().(*room)
	defer n.rooms.Put(r)
	count := len(words)
	r.tell(n, words, lines)
	likely, codes := make([]float32, count*len(n.names)), make([]float32, count*n.nets[0].code.out)
	out := readPart{byWord(likely, count), byWord(codes, count), comparing{words: words}}
	share := 1 / float32(len(n.nets))
	for i := range n.nets {
		net := &n.nets[i]
		net.over(r, count)
		r.added = net.tell.over(r.even, count, r.added)
		gemm.Matrix{N: count, W: len(n.names), Step: len(n.names), V: r.added}.Shares()
		addPart(likely, r.added, share)
		r.added = net.code.over(r.even, count, r.added)
		addPart(codes, r.added, share)
		out.asks = append(out.asks, net.ask.over(r.even, count, nil))
		out.answers = append(out.answers, net.answer.over(r.even, count, nil))
	}
	return out
}

// over leaves the numbers that a network holds count words in, of which r tells, in r.even.
func (n *network) over(r *room, count int) {
	r.x = sized(r.x, count*wide)
	clear(r.x)
	x, from := r.x, 0
	for i, to := range r.ends {
		row := x[i*wide : (i+1)*wide]
		if k := r.firsts[i]; k < i {
			copy(row, x[k*wide:(k+1)*wide])
			continue
		}
		for _, p := range r.pieces[from:to] {
			add(row, n.pieces[int(p)*wide:(int(p)+1)*wide])
		}
		for j := range row {
			row[j] *= 3 / float32(to-from)
		}
		from = to
	}
	r.added = n.weigh.over(r.like, count, r.added)
	add(x, r.added)
	positive(x)
	r.joined = n.join.over(x, count, r.joined)
	x = r.joined
	for i, p := range r.places {
		for k, at := range p {
			add(x[i*wide:(i+1)*wide], n.places[k][at*wide:(at+1)*wide])
		}
	}
	for i := range n.levels {
		n.levels[i].over(x, count, r)
	}
	r.even = n.norm.over(x, count, r.even)
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

// odds are the log odds that b belongs to the record of a, the mean of all networks'.
func (n *Net) odds(c *comparing, a, b int) float64 {
	sum, stand := float32(0), standing(&c.words[a], &c.words[b])
	for i := range n.nets {
		asks, answers := c.asks[i][a*pairs:(a+1)*pairs], c.answers[i][b*pairs:(b+1)*pairs]
		product := float32(0)
		for j, v := range asks {
			product += v * answers[j]
		}
		sum += product/4 + n.nets[i].apart[stand]
	}
	return float64(sum) / float64(len(n.nets))
}
