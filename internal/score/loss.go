package score

import (
	"cmp"
	"slices"
	"strings"

	"tankroll/record"
)

// Printed is one slip as it truly lies on a picture.
type Printed struct {
	Corners [4]record.Point // clockwise from the upright text's top left
	Turn    int             // degrees clockwise the picture must turn for it to be upright
	Lines   []PrintedLine
}

// PrintedLine is one line of print: the corners are those of its ink, clockwise
// from the upright text's top left.
type PrintedLine struct {
	Text    string
	Corners [4]record.Point
}

// Stages counts words by the stage of reading that lost or invented them.
type Stages struct {
	Paper       int // finding the slip and its outline
	Turn        int // standing it upright
	Line        int // finding the line, and how far it goes
	Recognition int // reading what stands on the line
}

// Sum is the count over all stages.
func (s Stages) Sum() int { return s.Paper + s.Turn + s.Line + s.Recognition }

// Add sums two counts stage by stage.
func (s Stages) Add(o Stages) Stages {
	return Stages{s.Paper + o.Paper, s.Turn + o.Turn, s.Line + o.Line, s.Recognition + o.Recognition}
}

// Losses says what became of the words of a picture, those with a letter or
// digit. Every printed word is right or lost by one stage. Every word read is
// right, misread (it stands for one that recognition lost) or invented.
type Losses struct {
	Printed, Read, Right int
	Lost, Invented       Stages
}

// Misread counts words read that stand where another word is printed.
func (l Losses) Misread() int { return l.Read - l.Right - l.Invented.Sum() }

// Add sums two counts.
func (l Losses) Add(o Losses) Losses {
	return Losses{l.Printed + o.Printed, l.Read + o.Read, l.Right + o.Right, l.Lost.Add(o.Lost), l.Invented.Add(o.Invented)}
}

// Attribute finds the stage that lost each printed word and invented each word
// read. Places decide; what a word says only decides whether it is right.
//
// A line read belongs to the printed line that the middle of its box lies on. A
// printed word is right when its line, as read by slips that stand right, holds
// it, in order. Else it was lost by
//
//	recognition  when such a line lies over the word's place,
//	paper        else, when no slip read has the place inside its outline,
//	turn         else, when none of those that have it stands the right way,
//	line         else.
//
// A word that was read and is not printed was invented by
//
//	recognition  on a printed line that reads as more words than it has,
//	paper        where no slip lies,
//	turn         on a slip that stands the wrong way,
//	line         else: on a slip that stands right, where no line is printed.
//
// Slips read must have TextBoxes; lines without a box count as invented by paper.
func Attribute(printed []Printed, read []record.ReadSlip) Losses {
	var out Losses
	over := map[[2]int][]lineRead{} // by slip and line printed
	for _, s := range read {
		for i, text := range s.Text {
			words := words([]string{text})
			out.Read += len(words)
			l := lineRead{words: words}
			if i < len(s.TextBoxes) {
				l.box = s.TextBoxes[i]
			}
			if slip, line, ok := lineUnder(printed, l.box, s.Turn); ok {
				at := [2]int{slip, line}
				over[at] = append(over[at], l)
				continue
			}
			*inventor(&out.Invented, printed, l.box, s.Turn) += len(words)
		}
	}
	for i, p := range printed {
		for k, line := range p.Lines {
			out = out.Add(lineLosses(p, line, over[[2]int{i, k}], read))
		}
	}
	return out
}

// lineRead is one line that was read.
type lineRead struct {
	box   record.Box
	words []string
}

// lineLosses judges one printed line by what was read over it.
func lineLosses(p Printed, line PrintedLine, over []lineRead, read []record.ReadSlip) Losses {
	a := axisOf(line.Corners)
	slices.SortStableFunc(over, func(x, y lineRead) int {
		xa, _ := a.span(x.box)
		ya, _ := a.span(y.box)
		return cmp.Compare(xa, ya)
	})
	var got []string
	for _, l := range over {
		got = append(got, l.words...)
	}
	places := placesOf(line)
	want := make([]string, len(places))
	for i, w := range places {
		want[i] = w.text
	}
	out := Losses{Printed: len(want)}
	for i, right := range inOrder(want, got) {
		switch at := a.point(places[i].middle); {
		case right:
			out.Right++
		case slices.ContainsFunc(over, func(l lineRead) bool { return a.covers(l.box, places[i].middle) }):
			out.Lost.Recognition++
		default:
			*loser(&out.Lost, at, p.Turn, read)++
		}
	}
	out.Invented.Recognition = max(0, len(got)-out.Right-out.Lost.Recognition)
	return out
}

// loser is the stage that lost a word over which no line was read.
func loser(s *Stages, at record.Point, turn int, read []record.ReadSlip) *int {
	found := false
	for _, r := range read {
		if !contains(r.Corners, at) {
			continue
		}
		if r.Turn == turn {
			return &s.Line
		}
		found = true
	}
	if found {
		return &s.Turn
	}
	return &s.Paper
}

// inventor is the stage that invented a line that lies on no printed one.
func inventor(s *Stages, printed []Printed, b record.Box, turn int) *int {
	for _, p := range printed {
		if b.IsZero() || !contains(p.Corners, middle(b)) {
			continue
		}
		if p.Turn != turn {
			return &s.Turn
		}
		return &s.Line
	}
	return &s.Paper
}

// place is a printed word and how far along its line's ink its middle lies, 0
// to 1.
type place struct {
	text   string
	middle float64
}

// placesOf finds the words of a line that hold a letter or digit. Print is
// monospaced, so a character's place is its number.
func placesOf(line PrintedLine) []place {
	text := []rune(strings.TrimSpace(line.Text))
	var out []place
	for i := 0; i < len(text); i++ {
		from := i
		for i < len(text) && text[i] != ' ' {
			i++
		}
		for _, w := range words([]string{string(text[from:i])}) {
			out = append(out, place{w, float64(from+i) / 2 / float64(len(text))})
		}
	}
	return out
}

// inOrder says which of the words wanted are got when both keep their order: a
// longest common subsequence.
func inOrder(want, got []string) []bool {
	n, m := len(want), len(got)
	best := make([][]int, n+1)
	for i := range best {
		best[i] = make([]int, m+1)
	}
	for i := n - 1; i >= 0; i-- {
		for k := m - 1; k >= 0; k-- {
			best[i][k] = max(best[i+1][k], best[i][k+1])
			if want[i] == got[k] {
				best[i][k] = max(best[i][k], best[i+1][k+1]+1)
			}
		}
	}
	out := make([]bool, n)
	for i, k := 0, 0; i < n && k < m; {
		switch {
		case want[i] == got[k] && best[i][k] == best[i+1][k+1]+1:
			out[i] = true
			i, k = i+1, k+1
		case best[i+1][k] >= best[i][k+1]:
			i++
		default:
			k++
		}
	}
	return out
}
