package score

import (
	"math"
	"strings"
	"testing"

	"tankroll/record"
)

// The sheet that the tests print on, in its own units: 300 x 200, a line every
// 30, ink 20 high and a character 10 wide.
const sheetW, sheetH = 300, 200

var sheetText = []string{"SITE 31", "TANK 2  PASS", "VOLUME ... 5,000"}

// laid is where a place of the sheet lies on the picture.
type laid func(x, y float64) record.Point

// turnedBy lays the sheet down turned clockwise by degrees, its middle at 400, 400.
func turnedBy(degrees float64) laid {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return func(x, y float64) record.Point {
		x, y = x-sheetW/2, y-sheetH/2
		return record.Point{X: 400 + c*x - s*y, Y: 400 + s*x + c*y}
	}
}

func (at laid) rect(x0, y0, x1, y1 float64) [4]record.Point {
	return [4]record.Point{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}
}

// box is the upright box around a part of the sheet.
func (at laid) box(x0, y0, x1, y1 float64) record.Box {
	lo, hi := at(x0, y0), at(x0, y0)
	for _, p := range at.rect(x0, y0, x1, y1) {
		lo = record.Point{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = record.Point{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	return record.Box{X: int(lo.X), Y: int(lo.Y), W: int(hi.X - lo.X), H: int(hi.Y - lo.Y)}
}

func (at laid) printed(turn int) Printed {
	p := Printed{Corners: at.rect(0, 0, sheetW, sheetH), Turn: turn}
	for i, text := range sheetText {
		y := 20 + 30*float64(i)
		p.Lines = append(p.Lines, PrintedLine{text, at.rect(20, y, 20+10*float64(len(text)), y+20)})
	}
	return p
}

// readAt is a line read on the sheet: from which x to which, at which height.
type readAt struct {
	text       string
	x0, y0, x1 float64
}

func (at laid) read(turn int, lines ...readAt) record.ReadSlip {
	s := record.ReadSlip{Corners: at.rect(0, 0, sheetW, sheetH), Turn: turn}
	for _, l := range lines {
		s.Text = append(s.Text, l.text)
		s.TextBoxes = append(s.TextBoxes, at.box(l.x0, l.y0, l.x1, l.y0+20))
	}
	return s
}

// whole is the sheet read right.
func whole() []readAt {
	var out []readAt
	for i, text := range sheetText {
		out = append(out, readAt{text, 20, 20 + 30*float64(i), 20 + 10*float64(len(text))})
	}
	return out
}

// TestAttribute: each way of losing and inventing words, on paper that lies
// level, slanted, on its side and on its head.
func TestAttribute(t *testing.T) {
	with := func(i int, l ...readAt) []readAt {
		all := whole()
		return append(append(all[:i:i], l...), all[i+1:]...)
	}
	for _, c := range []struct {
		name string
		read func(at laid, turn int) []record.ReadSlip
		want Losses
	}{
		{"all right", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, whole()...)}
		}, Losses{Read: 7, Right: 7}},
		{"nothing found", func(laid, int) []record.ReadSlip { return nil }, Losses{Lost: Stages{Paper: 7}}},
		{"another slip found", func(at laid, turn int) []record.ReadSlip {
			far := func(x, y float64) record.Point { p := at(x, y); return record.Point{X: p.X + 2000, Y: p.Y} }
			return []record.ReadSlip{laid(far).read(turn, whole()...)}
		}, Losses{Read: 7, Lost: Stages{Paper: 7}, Invented: Stages{Paper: 7}}},
		{"the outline ends above the last line", func(at laid, turn int) []record.ReadSlip {
			s := at.read(turn, whole()[:2]...)
			s.Corners = at.rect(0, 0, sheetW, 75)
			return []record.ReadSlip{s}
		}, Losses{Read: 5, Right: 5, Lost: Stages{Paper: 2}}},
		{"the outline cuts off the right ends", func(at laid, turn int) []record.ReadSlip {
			s := at.read(turn, readAt{"SITE 31", 20, 20, 90}, readAt{"TANK 2", 20, 50, 80}, readAt{"VOLUME", 20, 80, 80})
			s.Corners = at.rect(0, 0, 100, sheetH)
			return []record.ReadSlip{s}
		}, Losses{Read: 5, Right: 5, Lost: Stages{Paper: 2}}},
		{"on its head", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read((turn+180)%360, whole()...)}
		}, Losses{Read: 7, Lost: Stages{Turn: 7}, Invented: Stages{Turn: 7}}},
		{"found twice, once on its side", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read((turn+90)%360, readAt{"XII", 20, 20, 60}), at.read(turn, with(1)...)}
		}, Losses{Read: 5, Right: 4, Lost: Stages{Line: 3}, Invented: Stages{Turn: 1}}},
		{"a line missed", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1)...)}
		}, Losses{Read: 4, Right: 4, Lost: Stages{Line: 3}}},
		{"two lines taken for one", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, readAt{"S1TEK", 20, 35, 90}, whole()[2])}
		}, Losses{Read: 3, Right: 2, Lost: Stages{Line: 5}, Invented: Stages{Line: 1}}},
		{"a line found half", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1, readAt{"TANK 2", 20, 50, 80})...)}
		}, Losses{Read: 6, Right: 6, Lost: Stages{Line: 1}}},
		{"a line found in two halves", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1, readAt{"PASS", 100, 50, 140}, readAt{"TANK 2", 20, 50, 80})...)}
		}, Losses{Read: 7, Right: 7}},
		{"a word misread", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1, readAt{"TANK Z  PASS", 20, 50, 140})...)}
		}, Losses{Read: 7, Right: 6, Lost: Stages{Recognition: 1}}},
		{"a word read as none", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1, readAt{"TANK  .  PASS", 20, 50, 140})...)}
		}, Losses{Read: 6, Right: 6, Lost: Stages{Recognition: 1}}},
		{"a word read as two", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(1, readAt{"TANK 2  PA SS", 20, 50, 140})...)}
		}, Losses{Read: 8, Right: 6, Lost: Stages{Recognition: 1}, Invented: Stages{Recognition: 1}}},
		{"words in another order", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(0, readAt{"31 SITE", 20, 20, 90})...)}
		}, Losses{Read: 7, Right: 6, Lost: Stages{Recognition: 1}}},
		{"the right word on the wrong line", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, with(0, readAt{"SITE 5,000", 20, 20, 90})[:2]...)}
		}, Losses{Read: 5, Right: 4, Lost: Stages{Line: 2, Recognition: 1}}},
		{"a stain read", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, append(whole(), readAt{"III ... 1", 20, 150, 90})...)}
		}, Losses{Read: 9, Right: 7, Invented: Stages{Line: 2}}},
		{"the ground beside the slip read", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, append(whole(), readAt{"WWW", 320, 50, 360})...)}
		}, Losses{Read: 8, Right: 7, Invented: Stages{Paper: 1}}},
		{"marks without a letter or digit do not count", func(at laid, turn int) []record.ReadSlip {
			return []record.ReadSlip{at.read(turn, append(whole(), readAt{"--- .", 20, 150, 90})...)}
		}, Losses{Read: 7, Right: 7}},
		{"lines without boxes", func(at laid, turn int) []record.ReadSlip {
			s := at.read(turn, whole()...)
			s.TextBoxes = nil
			return []record.ReadSlip{s}
		}, Losses{Read: 7, Lost: Stages{Line: 7}, Invented: Stages{Paper: 7}}},
	} {
		c.want.Printed = 7
		for _, lies := range []struct {
			degrees float64
			turn    int
		}{{0, 0}, {6, 0}, {-6, 0}, {90, 270}, {84, 270}, {180, 180}, {-90, 90}} {
			at := turnedBy(lies.degrees)
			got := Attribute([]Printed{at.printed(lies.turn)}, c.read(at, lies.turn))
			if got != c.want {
				t.Errorf("%s, lying at %v degrees:\ngot  %+v\nwant %+v", c.name, lies.degrees, got, c.want)
			}
			if got.Right+got.Lost.Sum() != got.Printed || got.Misread() < 0 {
				t.Errorf("%s: the counts do not add up: %+v", c.name, got)
			}
		}
	}
}

// TestAttributeBinder: of two slips that overlap in height each is judged by its
// own reading.
func TestAttributeBinder(t *testing.T) {
	left := turnedBy(0)
	right := laid(func(x, y float64) record.Point { p := turnedBy(180)(x, y); return record.Point{X: p.X + 400, Y: p.Y} })
	got := Attribute([]Printed{left.printed(0), right.printed(180)},
		[]record.ReadSlip{left.read(0, whole()[1:]...), right.read(0, readAt{"NI SS", 20, 20, 70})})
	want := Losses{Printed: 14, Read: 7, Right: 5, Lost: Stages{Line: 2, Turn: 7}, Invented: Stages{Turn: 2}}
	if got != want {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestInOrder(t *testing.T) {
	for _, c := range []struct{ want, got, right string }{
		{"a b c", "a b c", "yyy"}, {"a b c", "b c", "nyy"}, {"a b c", "c b a", "nny"},
		{"a a", "a", "yn"}, {"a b", "", "nn"}, {"a b c", "x a y c", "yny"},
	} {
		var right strings.Builder
		for _, ok := range inOrder(strings.Fields(c.want), strings.Fields(c.got)) {
			right.WriteByte("ny"[map[bool]int{false: 0, true: 1}[ok]])
		}
		n := func(s string) int { return strings.Count(s, "y") }
		// Which of two equals is right does not matter.
		if n(right.String()) != n(c.right) {
			t.Errorf("%q read as %q: %s, want %s", c.want, c.got, right.String(), c.right)
		}
	}
}
