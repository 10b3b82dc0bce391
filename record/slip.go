// Package record holds the values that pass between the stages of tankroll:
// what was seen on the paper (Slip, Line, Word), what it says (Report, Record,
// Field) and how a page is written as JSON (Page). It does no work beyond
// keeping those values consistent, does no I/O and imports nothing of ours.
//
// Data flows one way: ocr makes Slips, parse turns a Slip into a Report,
// archive keeps both, index and comply answer from Records.
package record

import (
	"encoding/json"
	"fmt"
	"slices"
	"unicode/utf8"
)

// Point is a place on the original picture, in its pixels; it is written as
// [x,y].
type Point struct{ X, Y float64 }

// MarshalJSON writes [x,y], rounded to a tenth of a pixel.
func (p Point) MarshalJSON() ([]byte, error) {
	return fmt.Appendf(nil, "[%s,%s]", tenth(p.X), tenth(p.Y)), nil
}

// UnmarshalJSON reads [x,y].
func (p *Point) UnmarshalJSON(b []byte) error {
	var a [2]float64
	if err := json.Unmarshal(b, &a); err != nil {
		return err
	}
	p.X, p.Y = a[0], a[1]
	return nil
}

func tenth(v float64) string {
	b, _ := json.Marshal(float64(int64(v*10+copysign(0.5, v))) / 10)
	return string(b)
}

func copysign(v, sign float64) float64 {
	if sign < 0 {
		return -v
	}
	return v
}

// Box is an upright rectangle on an original picture, in its pixels; it is
// written as [x,y,w,h]. The zero Box means "not on a picture", as for typed
// text. Part says on which of Slip.Parts it lies where a slip was joined of
// several pictures; whatever holds the box writes it as "part" beside it.
type Box struct{ X, Y, W, H, Part int }

// MarshalJSON writes [x,y,w,h].
func (b Box) MarshalJSON() ([]byte, error) {
	return fmt.Appendf(nil, "[%d,%d,%d,%d]", b.X, b.Y, b.W, b.H), nil
}

// UnmarshalJSON reads [x,y,w,h].
func (b *Box) UnmarshalJSON(raw []byte) error {
	var a [4]int
	if err := json.Unmarshal(raw, &a); err != nil {
		return err
	}
	*b = Box{X: a[0], Y: a[1], W: a[2], H: a[3]}
	return nil
}

// IsZero reports whether the box is not on a picture.
func (b Box) IsZero() bool { return b == Box{Part: b.Part} }

// Union is the smallest box that holds both; the zero Box holds nothing. No
// rectangle holds boxes of two pictures: of those the one on the earlier part
// stands.
func (b Box) Union(o Box) Box {
	switch {
	case b.IsZero():
		return o
	case o.IsZero():
		return b
	case b.Part < o.Part:
		return b
	case b.Part > o.Part:
		return o
	}
	x, y := min(b.X, o.X), min(b.Y, o.Y)
	return Box{x, y, max(b.X+b.W, o.X+o.W) - x, max(b.Y+b.H, o.Y+o.H) - y, b.Part}
}

// Slip is one printout as it was seen: upright lines of words, each with its
// place on the original picture. It is what ocr returns and what parse takes.
//
// A slip that is longer than one picture may be joined of several. Parts then
// names them from its top to its bottom, Corners and Turn are those of the
// first, and every box says on which it lies.
type Slip struct {
	Corners [4]Point `json:"corners"` // on the original, clockwise from the upright text's top left
	Turn    int      `json:"turn"`    // degrees clockwise the original must turn to be upright: 0 90 180 270
	Paper   Paper    `json:"paper"`
	Lines   []Line   `json:"lines"`           // top to bottom
	Marks   []Mark   `json:"marks,omitempty"` // what people wrote and stamped on it, top to bottom
	Parts   []Part   `json:"parts,omitempty"`
}

// Paper says in what state a slip was found.
type Paper struct {
	Ink       float64 `json:"ink"`         // contrast of the print against its paper, 0 gone to 1 fresh black
	EndOfRoll bool    `json:"end_of_roll"` // the coloured end-of-roll stripe shows
	CutOff    bool    `json:"cut_off"`     // printed lines run off the picture
	Blurred   bool    `json:"blurred"`     // too blurred to trust: take the photo again

	// Where the paper meets the picture's border, in the direction of the print.
	// At an open or cut end the slip may go on on another picture.
	Top    Edge `json:"top,omitempty"`
	Bottom Edge `json:"bottom,omitempty"`
	Sides  Edge `json:"sides,omitempty"`

	Sure PaperSure `json:"sure,omitzero"`
}

// PaperSure says how much speaks for what Paper and the slip's outline say, 0
// nothing to 1 all: whatever was decided, either way. The numbers put slips in
// order of trust; they are not shares of how often it is right.
type PaperSure struct {
	Corners   float64 `json:"corners"` // 0 when no outline was seen and the whole picture was taken
	Turn      float64 `json:"turn"`
	Ink       float64 `json:"ink"`
	EndOfRoll float64 `json:"end_of_roll"`
	CutOff    float64 `json:"cut_off"`
	Blurred   float64 `json:"blurred"`
}

// Least is, for each, the less sure of the two: of a slip that was joined.
func (a PaperSure) Least(b PaperSure) PaperSure {
	return PaperSure{min(a.Corners, b.Corners), min(a.Turn, b.Turn), min(a.Ink, b.Ink),
		min(a.EndOfRoll, b.EndOfRoll), min(a.CutOff, b.CutOff), min(a.Blurred, b.Blurred)}
}

// MarshalJSON writes hundredths.
func (a PaperSure) MarshalJSON() ([]byte, error) {
	h := func(v float64) float64 { return float64(int(v*100+0.5)) / 100 }
	type plain PaperSure
	return json.Marshal(plain{h(a.Corners), h(a.Turn), h(a.Ink), h(a.EndOfRoll), h(a.CutOff), h(a.Blurred)})
}

// Edge says how a side of a slip lies on its picture.
type Edge string

// The states of an edge.
const (
	EdgeWhole Edge = ""     // the paper ends on the picture, or it is not known
	EdgeOpen  Edge = "open" // the paper runs off the picture, the print does not
	EdgeCut   Edge = "cut"  // the print runs off the picture
)

// Line is one printed line. Lines of rules and leaders only (-----, ****)
// keep their place with Rule set and no words.
type Line struct {
	Words   []Word `json:"words"` // left to right
	Box     Box    `json:"box"`
	Wide    bool   `json:"wide,omitempty"`    // double width print
	Tall    bool   `json:"tall,omitempty"`    // double height print
	Inverse bool   `json:"inverse,omitempty"` // white on black print
	Rule    bool   `json:"rule,omitempty"`    // a rule or leader, no words
	Apart   bool   `json:"apart,omitempty"`   // one empty line or more stands above it
}

// Word is a run of printed characters without a space.
type Word struct {
	Text         string        `json:"text"`
	Col          float64       `json:"col"`                  // left edge, in character cells from the slip's left print edge
	Width        float64       `json:"width"`                // in character cells of the slip's normal print
	Box          Box           `json:"box"`                  // on the original
	Confidence   float64       `json:"confidence"`           // 0 to 1: how often such a word is right
	AsFigures    float64       `json:"as_figures,omitempty"` // the same once it is known that a number, date or time stands there; 0 when unknown
	Alternatives []Alternative `json:"alternatives,omitempty"`
	Letters      []float64     `json:"letters,omitempty"` // 0 to 1: how often such a character is right, for each of Text; nil unless asked for
}

// Alternative is another reading of the same word, less likely than Text.
type Alternative struct {
	Text       string  `json:"text"`
	Confidence float64 `json:"confidence"`
}

// String lays the words out at their columns, so that columns on the paper
// stay columns on a screen; there is always at least one space between words.
func (l Line) String() string {
	var out []rune
	for _, w := range l.Words {
		col := int(w.Col + 0.5)
		if len(out) > 0 {
			col = max(col, len(out)+1)
		}
		for len(out) < min(col, maxColumns) {
			out = append(out, ' ')
		}
		if len(out) >= maxColumns {
			out = append(out, ' ')
		}
		out = append(out, []rune(w.Text)...)
	}
	return string(out)
}

// maxColumns bounds how far String pads a line: no roll prints more than 64
// columns, so a column beyond this is a measuring error.
const maxColumns = 96

// Text is the slip as plain lines, rules left out.
func (s Slip) Text() []string {
	out := []string{}
	for _, l := range s.Lines {
		if !l.Rule {
			out = append(out, l.String())
		}
	}
	return out
}

// Letters is, for each line of Text, how often such a character is right, for
// each of its characters that is not a space. It is nil when no word knows it.
func (s Slip) Letters() [][]float64 {
	var out [][]float64
	known := false
	for _, l := range s.Lines {
		if l.Rule {
			continue
		}
		line := []float64{}
		for _, w := range l.Words {
			known = known || w.Letters != nil
			line = append(line, w.letters()...)
		}
		out = append(out, line)
	}
	if !known {
		return nil
	}
	return out
}

// letters is one number a character; those of the word where its text was put
// together of other words.
func (w Word) letters() []float64 {
	n := utf8.RuneCountInString(w.Text)
	if len(w.Letters) == n {
		return w.Letters
	}
	return slices.Repeat([]float64{w.Confidence}, n)
}

// TextBoxes is where each line of Text lies on the original. It is nil when no
// line lies on a picture, as for typed text.
func (s Slip) TextBoxes() []Box {
	var out []Box
	seen := false
	for _, l := range s.Lines {
		if !l.Rule {
			out = append(out, l.Box)
			seen = seen || !l.Box.IsZero()
		}
	}
	if !seen {
		return nil
	}
	return out
}
