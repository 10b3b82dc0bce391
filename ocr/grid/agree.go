package grid

import (
	"cmp"
	"math"
	"slices"
)

// A head prints all lines in the same columns, and paper bends alike from one line to the
// next. Where letters touch, the bare columns of a line lie within letters as well as
// between them, and its borders go astray by half a cell; its neighbours tell.
const (
	agreeLines  = 6 // up to so many lines away
	fewestAgree = 3 // that must have print there
	// pull is the bareness that it costs to lie a cell beside where they say, squared. Of
	// 96 scans of the fit part it took from none to 10 a sixth off the words that were lost.
	pull = 10
)

// agree draws the borders of every line to where its neighbours have theirs.
func agree(all []Line, t laid) {
	// beside[i] holds how far the borders of line i lie beside the shared grid, in cells, by
	// column from its first on.
	beside := make([][]float64, len(all))
	for i, l := range all {
		if w := t.waves[i]; w != nil && l.off != nil {
			beside[i] = l.besideGrid(w, t.shared)
		}
	}
	for i := range all {
		if beside[i] == nil {
			continue
		}
		l, w := &all[i], t.waves[i]
		told := make([]float64, l.Cells+1)
		for k := range told {
			column := l.first + k*l.columns()
			told[k] = w.start(t.shared) + (float64(column)+across(all, beside, i, column))*t.step(w.y)
		}
		l.follow(w.gaps, told)
	}
}

// columns is how many of the slip's columns a cell takes.
func (l Line) columns() int {
	if l.Wide {
		return 2
	}
	return 1
}

// besideGrid is how far the borders lie beside those of the shared grid, in its cells.
func (l Line) besideGrid(w *wave, g shared) []float64 {
	out := make([]float64, l.Cells+1)
	for k := range out {
		out[k] = (l.Border(k)-w.start(g))/g.step(w.y) - float64(l.first+k*l.columns())
	}
	return out
}

// across is how far beside the shared grid the lines around line i have a column's border,
// the median of them, near ones counting more; NaN where too few have any.
func across(all []Line, beside [][]float64, i, column int) float64 {
	type vote struct{ at, weight float64 }
	var votes []vote
	sum := 0.0
	for j := max(i-agreeLines, 0); j <= min(i+agreeLines, len(all)-1); j++ {
		k := (column - all[j].first) / all[j].columns()
		if j == i || beside[j] == nil || column < all[j].first || k >= len(beside[j]) {
			continue
		}
		v := vote{beside[j][k], 1 / (1 + math.Abs(float64(i-j)))}
		votes, sum = append(votes, v), sum+v.weight
	}
	if len(votes) < fewestAgree {
		return math.NaN()
	}
	slices.SortFunc(votes, func(a, b vote) int { return cmp.Compare(a.at, b.at) })
	for _, v := range votes {
		if sum -= 2 * v.weight; sum <= 0 {
			return v.at
		}
	}
	return votes[len(votes)-1].at
}
