package raster

// Quantile is the value below which the fraction q of v lies; 0 for no values.
// v is put into another order.
func Quantile(v []float32, q float64) float32 {
	if len(v) == 0 {
		return 0
	}
	k := min(int(q*float64(len(v))), len(v)-1)
	// Only the part that holds the k-th value is parted on (C. A. R. Hoare,
	// "Algorithm 65: find", 1961): one pass on most of a sort's thirty.
	lo, hi := 0, len(v)-1
	for lo < hi {
		pivot := middle(v[lo], v[(lo+hi)/2], v[hi])
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return v[k]
		}
	}
	return v[k]
}

func middle(a, b, c float32) float32 { return max(min(a, b), min(max(a, b), c)) }

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
