package paper

import "math"

// curve is how far lines fall at a place, as a polynomial: up to powersX in x
// and powersY-1 in y. Paper that was rolled or folded once is within it;
// crumpled paper is not, quite.
type curve [powersX * powersY]float64

const (
	powersX = 4
	powersY = 3
)

// terms are the polynomial's terms at u, v: 0 to 1 across and down.
func terms(u, v float64) (t curve) {
	u, v = 2*u-1, 2*v-1
	k := 0
	for i := 1; i <= powersX; i++ {
		for j := range powersY {
			t[k] = math.Pow(u, float64(i)) * math.Pow(v, float64(j))
			k++
		}
	}
	return t
}

func (c curve) at(u, v float64) float64 {
	sum := 0.0
	for k, t := range terms(u, v) {
		sum += c[k] * t
	}
	return sum
}

// equations collects differences for a weighted least-squares fit.
type equations struct {
	a [powersX * powersY]curve
	b curve
	w float64
}

// add says that lines fall by drop from u0 to u1 at height v.
func (e *equations) add(u0, u1, v, drop, weight float64) {
	t0, row := terms(u0, v), terms(u1, v)
	for i := range row {
		row[i] -= t0[i]
	}
	for i := range row {
		for j := range row {
			e.a[i][j] += weight * row[i] * row[j]
		}
		e.b[i] += weight * row[i] * drop
	}
	e.w += weight * (u1 - u0) * (u1 - u0)
}

// solve pulls weakly towards 0 so that what no line tells stays flat, the
// higher the power the more.
func (e *equations) solve() curve {
	const n = powersX * powersY
	a, b := e.a, e.b
	for i := range n {
		power := float64(i/powersY + i%powersY)
		a[i][i] += e.w * 0.004 * (1 + power*power)
	}
	for c := range n {
		for r := c + 1; r < n; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k < n; k++ {
				a[r][k] -= f * a[c][k]
			}
			b[r] -= f * b[c]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= a[i][k] * b[k]
		}
		b[i] /= a[i][i]
	}
	return b
}
