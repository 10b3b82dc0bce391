// Package gemm multiplies matrices of 32-bit numbers, which is nearly all of what
// running a small network costs. It is in C, which works on four or eight numbers at a
// time and keeps them in the processor: four times as fast as the linear algebra that
// there is for Go. The same numbers give the same bits on every processor.
package gemm

/*
#cgo CFLAGS: -O3
#cgo noescape tankroll_gemm
#cgo nocallback tankroll_gemm
#cgo noescape tankroll_shares
#cgo nocallback tankroll_shares
#include "gemm.h"
*/
import "C"

// Matrix is N rows of W numbers that begin Step numbers apart in V.
type Matrix struct {
	N, W, Step int
	V          []float32
}

// Add adds the product of a (m.N x k) and b (k x m.W) to m. It panics where their
// sizes do not fit.
func (m Matrix) Add(a, b Matrix) {
	if a.N != m.N || b.W != m.W || a.W != b.N {
		panic("gemm: sizes of a product do not fit")
	}
	if m.N == 0 || m.W == 0 || a.W == 0 {
		return
	}
	at := func(x Matrix) (*C.float, C.int) {
		_ = x.V[(x.N-1)*x.Step+x.W-1]
		return (*C.float)(&x.V[0]), C.int(x.Step)
	}
	pa, sa := at(a)
	pb, sb := at(b)
	pm, sm := at(m)
	C.tankroll_gemm(C.int(m.N), C.int(m.W), C.int(a.W), pa, sa, pb, sb, pm, sm)
}

// Shares makes each row of m into shares that sum to 1 and keep the order of its numbers
// (softmax), to five digits.
func (m Matrix) Shares() {
	if m.N == 0 || m.W == 0 {
		return
	}
	_ = m.V[(m.N-1)*m.Step+m.W-1]
	C.tankroll_shares(C.int(m.N), C.int(m.W), (*C.float)(&m.V[0]), C.int(m.Step))
}
