package main

import (
	"math"
	"math/rand/v2"

	"tankroll/ocr/glyph"
	"tankroll/ocr/glyph/face"
)

// worker draws samples and gathers the gradient over its part of a batch.
type worker struct {
	net        *glyph.Net
	grad       *glyph.Net
	pass       *glyph.Pass
	draw       *artist
	dOut, dD1  []float32
	dP2, dA2   []float32
	dP1, dA1   []float32
	hits, seen int
	loss       float64
}

func newWorker(n *glyph.Net, faces []*face.Face, seed uint64) *worker {
	p := glyph.NewPass()
	same := func(v []float32) []float32 { return make([]float32, len(v)) }
	return &worker{net: n, grad: glyph.NewNet(), pass: p, draw: newArtist(faces, rand.New(rand.NewPCG(seed, 7))),
		dOut: same(p.Out), dD1: same(p.D1), dP2: same(p.P2), dA2: same(p.A2), dP1: same(p.P1), dA1: same(p.A1)}
}

func (w *worker) run(count int) {
	for _, l := range w.grad.Layers() {
		clear(l)
	}
	w.hits, w.seen, w.loss = 0, 0, 0
	for range count {
		label := w.draw.sample(w.pass.In)
		w.net.ForwardAll(w.pass)
		w.backward(label)
	}
}

// smoothing keeps the network from being surer than it has reason to be.
const smoothing = 0.02

func (w *worker) backward(label int) {
	n, g, p := w.net, w.grad, w.pass
	best := 0
	for i, v := range p.Out {
		if v > p.Out[best] {
			best = i
		}
	}
	copy(w.dOut, p.Out)
	glyph.Probabilities(w.dOut)
	w.seen++
	if best == label {
		w.hits++
	}
	w.loss -= math.Log(math.Max(float64(w.dOut[label]), 1e-9))
	for i := range w.dOut {
		w.dOut[i] -= smoothing / float32(len(w.dOut))
	}
	w.dOut[label] -= 1 - smoothing

	denseBack(w.dOut, p.D1, n.Dense2, g.Dense2, g.Bias4, w.dD1)
	for i, v := range p.D1 {
		if v <= 0 {
			w.dD1[i] = 0
		}
	}
	denseBack(w.dD1, p.P2, n.Dense1, g.Dense1, g.Bias3, w.dP2)
	unpool(w.dP2, p.I2, p.A2, w.dA2)
	convBack(w.dA2, p.P1, glyph.W/2, glyph.H/2, n.Conv2, g.Conv2, g.Bias2, w.dP1)
	unpool(w.dP1, p.I1, p.A1, w.dA1)
	convBack(w.dA1, p.In, glyph.W, glyph.H, n.Conv1, g.Conv1, g.Bias1, nil)
}

func denseBack(dOut, in, weights, gW, gB, dIn []float32) {
	clear(dIn)
	for o, d := range dOut {
		if d == 0 {
			continue
		}
		gB[o] += d
		row, gRow := weights[o*len(in):(o+1)*len(in)], gW[o*len(in):(o+1)*len(in)]
		for i, v := range in {
			gRow[i] += d * v
			dIn[i] += d * row[i]
		}
	}
}

func unpool(dOut []float32, from []int32, act, dIn []float32) {
	clear(dIn)
	for i, d := range dOut {
		if act[from[i]] > 0 {
			dIn[from[i]] += d
		}
	}
}

// convBack adds to the gradient of 3x3 patterns, and fills dIn unless nil.
func convBack(dOut, in []float32, w, h int, k, gK, gB, dIn []float32) {
	channels := len(in) / (w * h)
	if dIn != nil {
		clear(dIn)
	}
	for o := range gB {
		for y := range h {
			for x := range w {
				d := dOut[o*w*h+y*w+x]
				if d == 0 {
					continue // most are: only the greatest of four passes on
				}
				gB[o] += d
				for c := range channels {
					base := (o*channels + c) * 9
					for dy := -1; dy <= 1; dy++ {
						if y+dy < 0 || y+dy >= h {
							continue
						}
						for dx := -1; dx <= 1; dx++ {
							if x+dx < 0 || x+dx >= w {
								continue
							}
							i, j := c*w*h+(y+dy)*w+x+dx, base+(dy+1)*3+dx+1
							gK[j] += d * in[i]
							if dIn != nil {
								dIn[i] += d * k[j]
							}
						}
					}
				}
			}
		}
	}
}

// adam is the usual optimiser of that name.
type adam struct {
	m, v [][]float32
	t    int
}

func newAdam(n *glyph.Net) *adam {
	a := &adam{}
	for _, l := range n.Layers() {
		a.m, a.v = append(a.m, make([]float32, len(l))), append(a.v, make([]float32, len(l)))
	}
	return a
}

func (a *adam) step(n *glyph.Net, workers []*worker, rate float32) {
	const b1, b2, eps = 0.9, 0.999, 1e-8
	a.t++
	f1, f2 := 1-float32(math.Pow(b1, float64(a.t))), 1-float32(math.Pow(b2, float64(a.t)))
	for i, l := range n.Layers() {
		for k := range l {
			var g float32
			for _, w := range workers {
				g += w.grad.Layers()[i][k]
			}
			g /= batch
			m := b1*a.m[i][k] + (1-b1)*g
			v := b2*a.v[i][k] + (1-b2)*g*g
			a.m[i][k], a.v[i][k] = m, v
			l[k] -= rate * (m / f1) / (float32(math.Sqrt(float64(v/f2))) + eps)
		}
	}
}
