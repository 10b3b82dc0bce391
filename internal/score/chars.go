package score

import (
	"cmp"
	"slices"
	"unicode"

	"tankroll/record"
)

// Chars counts characters without spaces and leaders.
type Chars struct {
	Printed, Read int
	Wrong         int // least number of characters to change, put in or take out
}

// Add sums two counts.
func (c Chars) Add(o Chars) Chars {
	return Chars{c.Printed + o.Printed, c.Read + o.Read, c.Wrong + o.Wrong}
}

// ErrorRate is how many characters are wrong for each that is printed; 0 when
// there was nothing to read. Invented print can make it more than 1.
func (c Chars) ErrorRate() float64 { return float64(c.Wrong) / float64(max(1, c.Printed)) }

// CountChars compares what is printed on a picture with what was read, line by
// line: a line read belongs to the printed line that the middle of its box lies on,
// as for Attribute. One that lies on none, since dirt at its end makes its box reach
// too far, belongs to the line that it is most like of those over which nothing was
// read, if it is half like it; else its characters are too many. each, unless
// nil, is told of every character read how likely it is said to be right (1 where
// the slip does not tell) and whether it is.
func CountChars(printed []Printed, read []record.ReadSlip, each func(said float64, right bool)) Chars {
	if each == nil {
		each = func(float64, bool) {}
	}
	var out Chars
	over := map[[2]int][]charsRead{}
	var stray []charsRead
	for _, s := range read {
		for i, text := range s.Text {
			l := charsRead{marks: marksOf(text)}
			if i < len(s.TextBoxes) {
				l.box = s.TextBoxes[i]
			}
			if i < len(s.Letters) {
				for k, m := range l.marks {
					if m.at < len(s.Letters[i]) {
						l.marks[k].said = s.Letters[i][m.at]
					}
				}
			}
			out.Read += len(l.marks)
			if slip, line, ok := lineUnder(printed, l.box, s.Turn); ok {
				over[[2]int{slip, line}] = append(over[[2]int{slip, line}], l)
				continue
			}
			stray = append(stray, l)
		}
	}
	for _, l := range stray {
		if at, ok := unreadLike(printed, over, l); ok {
			over[at] = append(over[at], l)
			continue
		}
		out.Wrong += len(l.marks)
		for _, m := range l.marks {
			each(m.said, false)
		}
	}
	for i, p := range printed {
		for k, line := range p.Lines {
			want, got := marksOf(line.Text), sideBySide(line, over[[2]int{i, k}])
			wrong, right := edits(want, got)
			out.Printed, out.Wrong = out.Printed+len(want), out.Wrong+wrong
			for j, m := range got {
				each(m.said, right[j])
			}
		}
	}
	return out
}

// unreadLike finds the printed line over which nothing was read that a line is most
// like.
func unreadLike(printed []Printed, over map[[2]int][]charsRead, l charsRead) (best [2]int, ok bool) {
	most := 0.5 // changes, for each character of the longer of the two
	for i, p := range printed {
		for k, line := range p.Lines {
			want := marksOf(line.Text)
			longer := max(len(want), len(l.marks))
			if over[[2]int{i, k}] != nil || longer == 0 {
				continue
			}
			if n, _ := edits(want, l.marks); float64(n) < most*float64(longer) {
				most, best, ok = float64(n)/float64(longer), [2]int{i, k}, true
			}
		}
	}
	return best, ok
}

// charsRead is one line that was read.
type charsRead struct {
	box   record.Box
	marks []mark
}

// mark is one character; at is its number among those of its line without spaces.
type mark struct {
	r    rune
	at   int
	said float64
}

// sideBySide puts what was read over a printed line in order.
func sideBySide(line PrintedLine, over []charsRead) (out []mark) {
	a := axisOf(line.Corners)
	slices.SortStableFunc(over, func(x, y charsRead) int {
		xa, _ := a.span(x.box)
		ya, _ := a.span(y.box)
		return cmp.Compare(xa, ya)
	})
	for _, l := range over {
		out = append(out, l.marks...)
	}
	return out
}

// leaderLeast is from how many on the same mark beside itself is a leader or a line
// to write on. One cleans them off, another reads them, and they say nothing.
const leaderLeast = 3

// marksOf are the characters of a line without spaces and leaders.
func marksOf(text string) (out []mark) {
	rs := []rune(text)
	at := 0
	for i := 0; i < len(rs); {
		n := 1
		for i+n < len(rs) && rs[i+n] == rs[i] {
			n++
		}
		switch {
		case rs[i] == ' ':
		case n >= leaderLeast && !unicode.IsLetter(rs[i]) && !unicode.IsDigit(rs[i]):
			at += n
		default:
			for range n {
				out = append(out, mark{rs[i], at, 1})
				at++
			}
		}
		i += n
	}
	return out
}

// edits is the least number of characters to change, put in or take out, and for
// each that was got whether it is one that is wanted.
func edits(want, got []mark) (wrong int, right []bool) {
	wrong, at := Align(runesOf(got), runesOf(want))
	right = make([]bool, len(got))
	for i, place := range at {
		right[i] = place >= 0
	}
	return wrong, right
}

func runesOf(marks []mark) []rune {
	out := make([]rune, len(marks))
	for i, m := range marks {
		out[i] = m.r
	}
	return out
}
