package parse

import (
	"slices"
	"strings"

	"tankroll/record"
)

// Of several choices with a box each the one stands whose box is ticked, before it or behind it:
//
//	RESULT: [ ] PASS [X] FAIL          TEST  3.0 [ ]  0.2 [X]  0.1 [ ]
//	TYPE  ( ) HOURLY  (*) MONTHLY

// withTicked leaves out the choices of a line that are not ticked, where just one is. The lines given
// are not changed.
func withTicked(lines []record.Line) []record.Line {
	var out []record.Line
	for i, l := range lines {
		if !slices.ContainsFunc(l.Words, func(w record.Word) bool { _, ticked := tickBox(w.Text); return ticked }) {
			continue
		}
		if words, ok := tickedWords(l.Words); ok {
			if out == nil {
				out = slices.Clone(lines)
			}
			out[i].Words = words
		}
	}
	if out == nil {
		return lines
	}
	return out
}

// tickBox reports whether a word is a box for a tick, and whether it is ticked.
func tickBox(text string) (box, ticked bool) {
	if len(text) > 3 {
		return false, false
	}
	switch text {
	case "[X]", "[x]", "[*]", "(X)", "(x)", "(*)", "[V]", "[v]", "☑", "☒", "■", "◉":
		return true, true
	case "[]", "()", "[_]", "(_)", "[-]", "☐", "□", "○":
		return true, false
	}
	return false, false
}

// choice is a box and the words that go with it.
type choice struct {
	from, to int // its words
	box, end int // those of the box
	ticked   bool
}

// tickedWords are the words of a line without the choices that are not ticked; false where not just
// one of several is.
func tickedWords(words []record.Word) ([]record.Word, bool) {
	var all []choice
	ticks := 0
	for i := 0; i < len(words); i++ {
		box, ticked := tickBox(words[i].Text)
		end := i + 1
		if !box && i+1 < len(words) && (words[i].Text == "[" && words[i+1].Text == "]" || words[i].Text == "(" && words[i+1].Text == ")") {
			box, end = true, i+2
		}
		if !box {
			continue
		}
		if ticked {
			ticks++
		}
		all = append(all, choice{box: i, end: end, ticked: ticked})
		i = end - 1
	}
	if len(all) < 2 || ticks != 1 {
		return nil, false
	}
	behind := all[len(all)-1].end == len(words)
	if behind && all[0].box == 0 {
		return nil, false // a box without words
	}
	for n := range all {
		c := &all[n]
		switch {
		case !behind && n+1 < len(all):
			c.from, c.to = c.end, all[n+1].box
		case !behind:
			c.from, c.to = c.end, len(words)
		case n > 0:
			c.from, c.to = all[n-1].end, c.box
		default:
			c.from, c.to = firstChoice(words[:c.box]), c.box
		}
		if c.from == c.to {
			return nil, false
		}
	}
	out := slices.Clone(words[:min(all[0].box, all[0].from)])
	for _, c := range all {
		if !c.ticked {
			continue
		}
		for _, w := range words[c.from:c.to] {
			w.Confidence = min(w.Confidence, words[c.box].Confidence)
			out = append(out, w)
		}
	}
	return out, true
}

// firstChoice is where the words of the first choice begin, behind their label.
func firstChoice(words []record.Word) int {
	for i := len(words) - 1; i > 0; i-- {
		if before := words[i-1]; strings.HasSuffix(before.Text, ":") || words[i].Col-before.Col-before.Width > wideGap {
			return i
		}
	}
	return 0
}
