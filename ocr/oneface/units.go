package oneface

import (
	"math"
	"slices"
	"strings"
	"unicode"
)

// units are what stands behind figures, of up to three letters, the halves of the day among
// them: common practice, no source.
var units = []string{"A", "P", "AM", "PM", "F", "C", "L", "G", "H", "IN", "MM", "CM", "GAL", "GPH", "LPH", "PSI", "KPA", "BAR", "HR", "HRS", "MIN", "M", "KG"}

// unitWeight is how much likelier a run is by being a figure with its unit, or the unit
// behind one, than any string is. A number sign stands before a number: behind figures it is
// odd.
func (f *face) unitWeight(cells [][]float64, after bool) float64 {
	const (
		odd         = 0.1  // as likely as any other sign
		share       = 0.5  // of such runs
		choices     = 20.0 // letters of one kind in any string
		longestUnit = 3
	)
	end := len(cells)
	for end > 0 && strings.ContainsRune(").,;:", f.top(cells[end-1])) {
		end--
	}
	from := end
	for from > 0 && unicode.IsLetter(f.top(cells[from-1])) {
		from--
	}
	n := end - from
	if n == 0 && end > 1 && unicode.IsDigit(f.top(cells[end-2])) {
		return 1 - (1-odd)*cells[end-1][slices.Index(f.alphabet, '#')]
	}
	if n == 0 || n > longestUnit || from == 0 && !after || from > 0 && !unicode.IsDigit(f.top(cells[from-1])) {
		return 1
	}
	sum := 0.0
	for _, u := range units {
		if len(u) != n {
			continue
		}
		for _, text := range []string{u, strings.ToLower(u)} {
			p := 1.0
			for i, r := range text {
				p *= cells[from+i][slices.Index(f.alphabet, r)]
			}
			sum += p
		}
	}
	return 1 - share + share*sum*math.Pow(choices, float64(n))/float64(len(units))
}
