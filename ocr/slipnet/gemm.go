package slipnet

/*
#cgo CFLAGS: -O3
#cgo noescape slipnet_gemm
#cgo nocallback slipnet_gemm
#include "gemm.h"
*/
import "C"

// addProduct adds the product of a and b to m. It is in C, which works on four
// or eight numbers at a time and keeps them in the processor: these products
// are nearly all of the network's time, and four times as fast as by the linear
// algebra that there is for Go.
func (m matrix) addProduct(a, b matrix) {
	if a.n != m.n || b.w != m.w || a.w != b.n {
		panic("slipnet: sizes of a product do not fit")
	}
	if m.n == 0 || m.w == 0 || a.w == 0 {
		return
	}
	at := func(x matrix) (*C.float, C.int) {
		_ = x.v[(x.n-1)*x.step+x.w-1]
		return (*C.float)(&x.v[0]), C.int(x.step)
	}
	pa, sa := at(a)
	pb, sb := at(b)
	pm, sm := at(m)
	C.slipnet_gemm(C.int(m.n), C.int(m.w), C.int(a.w), pa, sa, pb, sb, pm, sm)
}
