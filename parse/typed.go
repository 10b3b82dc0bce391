package parse

import (
	"strings"

	"tankroll/record"
)

// tabWidth is how far apart tab stops are in typed text.
const tabWidth = 8

// Typed takes plain text for printouts, one slip per form feed: a word's Col is
// its place in the line, its confidence is 1 and it has no box. Lines of rules
// only are marked as such, empty lines are left out and noted on the line below;
// a text without words has no slips.
func Typed(text string) []record.Slip {
	var out []record.Slip
	for _, page := range strings.Split(text, "\f") {
		s := record.Slip{}
		apart := false
		for _, l := range strings.Split(page, "\n") {
			line := typedLine(strings.TrimRight(l, "\r"))
			if len(line.Words) == 0 && !line.Rule {
				apart = len(s.Lines) > 0
				continue
			}
			line.Apart, apart = apart, false
			s.Lines = append(s.Lines, line)
		}
		if len(s.Lines) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func typedLine(text string) record.Line {
	var l record.Line
	col := 0
	var word []rune
	flush := func() {
		if len(word) > 0 {
			l.Words = append(l.Words, record.Word{Text: string(word), Col: float64(col - len(word)), Width: float64(len(word)), Confidence: 1})
			word = nil
		}
	}
	for _, r := range text {
		switch {
		case r == '\t':
			flush()
			col += tabWidth - col%tabWidth
		case r == ' ' || r == '\u00a0':
			flush()
			col++
		default:
			word = append(word, r)
			col++
		}
	}
	flush()
	if len(l.Words) > 0 && isRule(l.Words) {
		return record.Line{Rule: true}
	}
	return l
}

// isRule reports whether the words are strokes and leaders only.
func isRule(words []record.Word) bool {
	n := 0
	for _, w := range words {
		if strings.Trim(w.Text, "-=_*+.~#|") != "" {
			return false
		}
		n += len(w.Text)
	}
	return n >= 3
}
