package parse

import (
	"slices"

	"tankroll/record"
)

// fewestAligned are the cells at least of lines that are laid in columns.
const fewestAligned = 4

// alignCells lays the cells of lines that bars without any space part, and that have as many cells,
// below each other: where commas part values, those of one column drift apart. The lines given are
// not changed.
//
//	NO,GAL,IN        NO|GAL |IN
//	1,4411,40.10     1 |4411|40.10
func alignCells(lines []record.Line) []record.Line {
	cells := make([][][2]int, len(lines)) // of each line, from and to which word
	count := map[int]int{}
	for i, l := range lines {
		if cells[i] = tightCells(l); cells[i] != nil {
			count[len(cells[i])]++
		}
	}
	var out []record.Line
	for n, times := range count {
		if n < fewestAligned || times < fewestMarked {
			continue
		}
		wide := make([]float64, n)
		for i, l := range lines {
			if len(cells[i]) != n {
				continue
			}
			for c, at := range cells[i] {
				if at[0] < at[1] {
					last := l.Words[at[1]-1]
					wide[c] = max(wide[c], last.Col+last.Width-l.Words[at[0]].Col)
				}
			}
		}
		if out == nil {
			out = slices.Clone(lines)
		}
		for i, l := range lines {
			if len(cells[i]) != n {
				continue
			}
			words := slices.Clone(l.Words)
			left := words[0].Col
			for c, at := range cells[i] {
				if at[0] < at[1] {
					shift := left - words[at[0]].Col
					for w := at[0]; w < at[1]; w++ {
						words[w].Col += shift
					}
				}
				left += wide[c]
				if at[1] < len(words) {
					words[at[1]].Col = left // the bar
				}
				left++
			}
			out[i].Words = words
		}
	}
	if out == nil {
		return lines
	}
	return out
}

// tightCells are the runs of words between the bars of a line, none of which has a space beside it;
// nil for a line without bars or with others.
func tightCells(l record.Line) [][2]int {
	const space = 0.5 // of a character
	var out [][2]int
	from := 0
	for i, w := range l.Words {
		if w.Text != "|" {
			continue
		}
		if i > 0 && w.Col-(l.Words[i-1].Col+l.Words[i-1].Width) > space || i+1 < len(l.Words) && l.Words[i+1].Col-(w.Col+w.Width) > space {
			return nil
		}
		out = append(out, [2]int{from, i})
		from = i + 1
	}
	if out == nil {
		return nil
	}
	return append(out, [2]int{from, len(l.Words)})
}
