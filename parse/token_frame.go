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
		return lines
	}
	out := slices.Clone(lines)
	for i, l := range out {
		if !framed(l) {
			continue
		}
		out[i].Words = nil
		for _, w := range l.Words {
			out[i].Words = append(out[i].Words, barsApart(w)...)
		}
	}
	return out
}

// barsApart cuts a word at its exclamation marks, which become bars.
func barsApart(w record.Word) []record.Word {
	if !strings.Contains(w.Text, "!") || strings.Trim(w.Text, "!-+=") == "" {
		w.Text = strings.ReplaceAll(w.Text, "!", "|")
		return []record.Word{w}
	}
	runes := []rune(w.Text)
	step := w.Width / float64(len(runes))
	var out []record.Word
	from := 0
	for i := 0; i <= len(runes); i++ {
		if i < len(runes) && runes[i] != '!' {
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
