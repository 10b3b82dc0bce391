package raster

import "slices"

// Quantile is the value below which the fraction q of v lies. v is sorted in
// place; it is 0 for no values.
func Quantile(v []float32, q float64) float32 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[min(int(q*float64(len(v))), len(v)-1)]
}

// Sample copies about n samples of p, evenly spread.
func (p Plane) Sample(n int) []float32 {
	step := max(len(p.Pix)/max(n, 1), 1)
	// An odd step that shares no factor with the width visits all columns.
	for step > 1 && p.W%step == 0 {
		step++
	}
	out := make([]float32, 0, len(p.Pix)/step+1)
	for i := 0; i < len(p.Pix); i += step {
		out = append(out, p.Pix[i])
	}
	return out
}
