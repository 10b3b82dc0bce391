package score

import (
	"math"

	"tankroll/record"
)

// Match pairs records wanted with records read of the same kind, so that the sum of
// worth over all pairs is the greatest that any pairing has, whatever the order in which
// either stand. It gives for each wanted record the place of its partner, -1 for none: a
// worth of 0 makes no pair. Worth must not be negative. The work grows with the cube of
// the records of a kind.
func Match(want, got []record.Record, worth func(want, got record.Record) int) []int {
	out := make([]int, len(want))
	for i := range out {
		out[i] = -1
	}
	for _, k := range record.Kinds() {
		w, g := ofKind(want, k), ofKind(got, k)
		if len(w) == 0 || len(g) == 0 {
			continue
		}
		n := max(len(w), len(g))
		cost := make([][]int, n)
		for i := range cost {
			cost[i] = make([]int, n)
			for j := range cost[i] {
				if i < len(w) && j < len(g) {
					cost[i][j] = -worth(want[w[i]], got[g[j]])
				}
			}
		}
		for i, j := range assign(cost) {
			if i < len(w) && j < len(g) && cost[i][j] < 0 {
				out[w[i]] = g[j]
			}
		}
	}
	return out
}

// ofKind are the places of the records of a kind.
func ofKind(records []record.Record, k record.Kind) []int {
	var out []int
	for i, r := range records {
		if r.Kind == k {
			out = append(out, i)
		}
	}
	return out
}

// assign gives each row of a square table a column of its own so that the sum of their
// costs is the least, by shortest augmenting paths.
func assign(cost [][]int) []int {
	n := len(cost)
	rowPrice, colPrice := make([]int, n+1), make([]int, n+1)
	rowOf := make([]int, n+1) // by column, both from 1; 0 for none
	for i := 1; i <= n; i++ {
		rowOf[0] = i
		from := make([]int, n+1) // the column before on the path
		slack := make([]int, n+1)
		for j := range slack {
			slack[j] = math.MaxInt
		}
		seen := make([]bool, n+1)
		col := 0
		for rowOf[col] != 0 {
			seen[col] = true
			row, least, next := rowOf[col], math.MaxInt, 0
			for j := 1; j <= n; j++ {
				if seen[j] {
					continue
				}
				if c := cost[row-1][j-1] - rowPrice[row] - colPrice[j]; c < slack[j] {
					slack[j], from[j] = c, col
				}
				if slack[j] < least {
					least, next = slack[j], j
				}
			}
			for j := 0; j <= n; j++ {
				switch {
				case seen[j]:
					rowPrice[rowOf[j]] += least
					colPrice[j] -= least
				case j > 0:
					slack[j] -= least
				}
			}
			col = next
		}
		for col != 0 {
			rowOf[col] = rowOf[from[col]]
			col = from[col]
		}
	}
	out := make([]int, n)
	for j := 1; j <= n; j++ {
		out[rowOf[j]-1] = j - 1
	}
	return out
}
