package score

import (
	"strings"

	"tankroll/record"
)

// Crossing is a printed word that ink of a pen or stamp lies on.
type Crossing struct {
	Line int // of its Printed, from 0
	Text string
}

// CountCrossed counts the words of slips with marks on them: those that marks cross, by
// slip, and all others. A word that is read on the line of a crossed one and is none of
// the others is a reading of it, as far as there are crossed ones; a mark that reads as
// print is among the others.
func CountCrossed(printed []Printed, crossings [][]Crossing, read []record.ReadSlip) (crossed, others Words) {
	got := map[[2]int][]string{}
	var stray []string
	for _, s := range read {
		for i, l := range s.Text {
			var b record.Box
			if i < len(s.TextBoxes) {
				b = s.TextBoxes[i]
			}
			if slip, line, ok := lineUnder(printed, b, s.Turn); ok {
				got[[2]int{slip, line}] = append(got[[2]int{slip, line}], l)
			} else {
				stray = append(stray, l)
			}
		}
	}
	for i, p := range printed {
		for k, l := range p.Lines {
			var under []string
			for _, c := range crossings[i] {
				if c.Line == k {
					under = append(under, c.Text)
				}
			}
			c, o := crossedOn(l.Text, under, got[[2]int{i, k}])
			crossed, others = crossed.Add(c), others.Add(o)
		}
	}
	return crossed, others.Add(CountWords(nil, stray))
}

// crossedOn counts the words of one line.
func crossedOn(text string, under, got []string) (crossed, others Words) {
	rest := strings.Fields(text)
	for _, u := range under {
		for i, w := range rest {
			if w == u {
				rest = append(rest[:i:i], rest[i+1:]...)
				break
			}
		}
	}
	all := words(got)
	others = CountWords([]string{strings.Join(rest, " ")}, all)
	left := map[string]int{}
	for _, w := range words([]string{strings.Join(rest, " ")}) {
		left[w]++
	}
	var free []string
	for _, w := range all {
		if left[w] > 0 {
			left[w]--
		} else {
			free = append(free, w)
		}
	}
	crossed = CountWords(under, free)
	// Of what is neither, as much stands for crossed words as there are; the rest, and
	// what stands for others that are missing, does not.
	crossed.Got = min(len(free), max(crossed.Truth, crossed.Both))
	others.Got = len(all) - crossed.Got
	return crossed, others
}
