package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// fewestFramed are the lines with a frame at least.
const fewestFramed = 3

// withBars takes exclamation marks for bars where they part columns: several stand in each
// of some lines, most of them right behind words. The lines given are not changed.
func withBars(lines []record.Line) []record.Line {
	framed := func(l record.Line) bool {
		n := 0
		for _, w := range l.Words {
			n += strings.Count(w.Text, "!")
		}
		return n >= 2
	}
	n := 0
	for _, l := range lines {
		if n < fewestFramed && framed(l) {
			n++
		}
	}
	if n < fewestFramed {
		return withMarks(lines)
	}
	out := slices.Clone(lines)
	for i, l := range out {
		if !framed(l) {
			continue
		}
		out[i].Words = nil
		for _, w := range l.Words {
			out[i].Words = append(out[i].Words, barsApart(w, '!')...)
		}
	}
	return out
}

// fewestMarked are the lines at least whose cells a mark parts without a space.
const fewestMarked = 2

// withMarks takes the marks for bars that part cells without a space, where several stand so
// in each of some lines: 1;PUMP SUMP;NORMAL. The lines given are not changed.
func withMarks(lines []record.Line) []record.Line {
	for _, mark := range ";,/" {
		n := 0
		for _, l := range lines {
			if marksIn(l, mark) >= 2 {
				n++
			}
		}
		if n < fewestMarked || mark == '/' && n < fewestMarked+1 {
			continue
		}
		out := slices.Clone(lines)
		for i, l := range out {
			if marksIn(l, mark) < 2 {
				continue
			}
			out[i].Words = nil
			for _, w := range l.Words {
				out[i].Words = append(out[i].Words, barsApart(w, mark)...)
			}
		}
		return alignCells(out)
	}
	return lines
}

// marksIn counts the marks within the words of a line that may part cells.
func marksIn(l record.Line, mark rune) int {
	n := 0
	for _, w := range l.Words {
		if !strings.ContainsRune(w.Text, mark) {
			continue
		}
		r := []rune(w.Text)
		if mark == ',' && r[len(r)-1] == mark {
			return 0 // those of a sentence
		}
		for i := range r {
			if parts(r, i, mark) {
				n++
			}
		}
	}
	return n
}

// parts reports whether a character of a word is a mark that parts two cells: no comma of a
// number, no stroke of a date, of a unit or between two short forms.
func parts(r []rune, i int, mark rune) bool {
	if r[i] != mark || i == 0 || i+1 == len(r) {
		return false
	}
	before, behind := isDigit(r[i-1]), isDigit(r[i+1])
	switch mark {
	case ',':
		from, to := i, i+1
		for from > 0 && isDigit(r[from-1]) {
			from--
		}
		for to < len(r) && isDigit(r[to]) {
			to++
		}
		if len(strings.TrimLeft(string(r[:i]), "|+-")) == i-from && (to == len(r) || r[to] == '|') && to-i <= 3 {
			return false // 14205,3 alone: a comma before the decimals
		}
		if (to == len(r) || r[to] == '|') && to-i <= 3 && pointGroups(strings.TrimLeft(string(r[:i]), "|+-")) {
			return false // 7.210,4: points between the thousands besides
		}
		if (from > 0 && (r[from-1] == '/' || r[from-1] == ':' || r[from-1] == '.') || to < len(r) && (r[to] == '/' || r[to] == ':' || r[to] == '.')) && besideTime(r, i) {
			return true // 12/30/05,0744
		}
		thousands := to-i == 4 && i-from <= 3 && (from == 0 || r[from-1] != '.')
		return !before || !behind || !thousands && (i-from > 3 || from > 0 && r[from-1] == '.' || to < len(r) && r[to] == '.')
	case '/':
		return i > 1 && isLetter(byte(r[i-1])) && isLetter(byte(r[i-2])) && i+2 < len(r) && isLetter(byte(r[i+1])) && isLetter(byte(r[i+2]))
	}
	return true
}

// pointGroups reports whether a text is a number with points between its thousands: 13.566.
func pointGroups(s string) bool {
	groups := strings.Split(s, ".")
	for i, g := range groups {
		if i == 0 && !plainDigits(g, 1, 3) || i > 0 && !plainDigits(g, 3, 3) {
			return false
		}
	}
	return len(groups) > 1
}

// besideTime reports whether what stands before or behind a comma of a word, up to the next one, is a
// date or a time of day.
func besideTime(r []rune, i int) bool {
	from, to := i, i+1
	for from > 0 && r[from-1] != ',' && r[from-1] != '|' {
		from--
	}
	for to < len(r) && r[to] != ',' && r[to] != '|' {
		to++
	}
	a, b := r[from:i], r[i+1:to]
	return dateWord(a) || dateWord(b) || clockWord(a) || clockWord(b)
}

// barsApart cuts a word at its marks, which become bars.
func barsApart(w record.Word, mark rune) []record.Word {
	if !strings.ContainsRune(w.Text, mark) || mark == '!' && strings.Trim(w.Text, "!-+=") == "" {
		if mark == '!' {
			w.Text = strings.ReplaceAll(w.Text, "!", "|")
		}
		return []record.Word{w}
	}
	runes := []rune(w.Text)
	step := w.Width / float64(len(runes))
	var out []record.Word
	from := 0
	for i := 0; i <= len(runes); i++ {
		if i < len(runes) && (runes[i] != mark || mark != '!' && !parts(runes, i, mark)) {
			continue
		}
		if i > from {
			p := w
			p.Text, p.Col, p.Width = string(runes[from:i]), w.Col+step*float64(from), step*float64(i-from)
			p.Box, p.Alternatives = boxPart(w, p.Col, p.Col+p.Width), nil
			out = append(out, p)
		}
		if i < len(runes) {
			p := w
			p.Text, p.Col, p.Width, p.Alternatives = "|", w.Col+step*float64(i), step, nil
			p.Box = boxPart(w, p.Col, p.Col+step)
			out = append(out, p)
		}
		from = i + 1
	}
	return out
}
