package ocr

import (
	"math"
	"slices"
	"strings"

	"tankroll/ocr/glyph"
)

// The bars between the columns of a ruled table look like 1, I or l on many heads,
// and one read so makes another number of the one beside it. But a bar stands above
// and below others.

const (
	barLooks = "|1Il[]!ij" // as what a bar may be read
	// barFactor is by how much each bar above or below makes a mark likelier to be
	// one.
	barFactor = 100
	// leastBar is the probability that is granted to a bar: heads on which both look
	// the same leave it none.
	leastBar = 0.003
	// barReach is how many lines above and below are looked at.
	barReach = 2
)

// alignBars makes what looks like a bar, a bar too, likelier to be one for each neighbouring
// line that has one at the same place, unless letters stand there right above or
// below.
func alignBars(lines []cellLine) {
	bar := slices.Index(glyph.Alphabet, '|')
	type found struct {
		c      *cell
		factor float64
	}
	var all []found
	for i := range lines {
		if !lines[i].mayBeRow() {
			continue
		}
		for k := range lines[i].cells {
			c := &lines[i].cells[k]
			if r, _ := c.top(); c.prob == nil || !strings.ContainsRune(barLooks, r) {
				continue
			}
			if n := barsAround(lines, i, (lines[i].Border(k)+lines[i].Border(k+1))/2); n > 0 {
				all = append(all, found{c, math.Pow(barFactor, float64(n))})
			}
		}
	}
	for _, f := range all {
		prob := slices.Clone(f.c.prob)
		prob[bar] = float32(math.Min((float64(prob[bar])+leastBar)*f.factor, 1e6))
		sum := float32(0)
		for _, p := range prob {
			sum += p
		}
		for r := range prob {
			prob[r] /= sum
		}
		f.c.prob = prob
	}
}

// mayBeRow is whether a line has a bar or begins with what looks like one: a line
// of text right below a table may have a digit where the bars stood.
func (l cellLine) mayBeRow() bool {
	first := true
	for _, c := range l.cells {
		if c.prob == nil {
			continue
		}
		r, _ := c.top()
		if r == '|' || first && strings.ContainsRune(barLooks, r) {
			return true
		}
		first = false
	}
	return false
}

// barsAround is how many of the lines near line i have a bar at x; 0 when one of
// the two next to it has something else there.
func barsAround(lines []cellLine, i int, x float64) int {
	bars := 0
	for _, way := range []int{-1, 1} {
		seen := 0
		for k := i + way; k >= 0 && k < len(lines) && seen < barReach; k += way {
			l := lines[k]
			if len(l.cells) == 0 {
				continue // a rule
			}
			seen++
			at := int(math.Floor(l.CellAt(x)))
			if at < 0 || at >= len(l.cells) || l.cells[at].prob == nil {
				continue
			}
			switch r, _ := l.cells[at].top(); {
			case r == '|':
				bars++
			case r != ' ' && !strings.ContainsRune(barLooks, r) && seen == 1:
				return 0
			}
		}
	}
	return bars
}
