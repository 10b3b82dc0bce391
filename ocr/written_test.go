package ocr

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"tankroll/fixtures"
	"tankroll/record"
)

func slipsIn(t *testing.T, r *Reader, raw []byte) []record.Slip {
	t.Helper()
	var out []record.Slip
	for p, err := range r.Pages(context.Background(), raw) {
		if err != nil || p.Err != nil {
			t.Fatal(err, p.Err)
		}
		out = append(out, p.Slips...)
	}
	return out
}

// TestTicks: three black ticks on a kept scan, one over the figures of three lines, one
// over a date, one beside the print. None is read as a line, what they cross is doubted,
// and what they do not cross is read.
func TestTicks(t *testing.T) {
	r, err := NewReader(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	raw, err := os.ReadFile("testdata/ticks.jpg")
	if err != nil {
		t.Fatal(err)
	}
	slips := slipsIn(t, r, raw)
	if len(slips) != 1 {
		t.Fatalf("%d slips", len(slips))
	}
	s := slips[0]
	below := map[int]bool{}
	for _, m := range s.Marks {
		if m.Kind != record.Handwriting {
			t.Errorf("a tick is a %s", m.Kind)
		}
		for _, l := range m.Over {
			below[l] = true
		}
	}
	for _, b := range []record.Box{{X: 200, Y: 517, W: 79, H: 90}, {X: 333, Y: 565, W: 65, H: 69}, {X: 238, Y: 667, W: 98, H: 102}} {
		found := false
		for _, m := range s.Marks {
			x, y := b.X+b.W/2, b.Y+b.H/2
			found = found || x > m.Box.X && x < m.Box.X+m.Box.W && y > m.Box.Y && y < m.Box.Y+m.Box.H
		}
		if !found {
			t.Errorf("the tick at %v is not among %+v", b, s.Marks)
		}
	}
	text := s.Text()
	if len(text) != 21 {
		t.Errorf("%d lines, want the 21 that are printed:\n%s", len(text), strings.Join(text, "\n"))
	}
	printed := strings.Fields("2,792 2,782 10,000 7,208 30.98 0.72 67.9 13JUN26 06:16")
	lines := slices.DeleteFunc(slices.Clone(s.Lines), func(l record.Line) bool { return l.Rule })
	for i, l := range lines {
		for _, w := range l.Words {
			if below[i] && strings.ContainsAny(w.Text, "0123456789") && !slices.Contains(printed, w.Text) && w.Confidence > belowBlack {
				t.Errorf("%q below a tick has a confidence of %.3f", w.Text, w.Confidence)
			}
		}
	}
	for _, want := range []string{"TANK 01: REGULAR UNL", "DATE 13JUN26 TIME 06:45", "PRESSURES IN PSI"} {
		if !strings.Contains(strings.Join(text, "\n"), want) {
			t.Errorf("%q was not read", want)
		}
	}
}

// TestInkOnWords: a made slip with marks in colour. Every mark is found, words that their
// ink lies on are doubted, and the same slip without has none.
func TestInkOnWords(t *testing.T) {
	r, err := NewReader(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	with, err := fixtures.MakeMarked("fit", "scan", 4004)
	if err != nil {
		t.Fatal(err)
	}
	slips := slipsIn(t, r, with.Raw)
	if len(slips) != 1 || len(slips[0].Marks) != len(with.Marks[0]) {
		t.Fatalf("%d slips, marks %+v, want %+v", len(slips), slips[0].Marks, with.Marks)
	}
	for _, m := range with.Marks[0] {
		for _, c := range m.Crosses {
			if w, ok := wordAtBox(slips[0], c.Box); ok && w.Confidence > belowColour {
				t.Errorf("%q over the printed %q has a confidence of %.3f", w.Text, c.Text, w.Confidence)
			}
		}
	}
	without, err := fixtures.Make("fit", "scan", 4004)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range slipsIn(t, r, without.Raw) {
		if len(s.Marks) > 0 {
			t.Errorf("marks on a slip without: %+v", s.Marks)
		}
	}
}

// wordAtBox is the word whose box holds the middle of another.
func wordAtBox(s record.Slip, b record.Box) (record.Word, bool) {
	x, y := b.X+b.W/2, b.Y+b.H/2
	for _, l := range s.Lines {
		for _, w := range l.Words {
			if x > w.Box.X && x < w.Box.X+w.Box.W && y > w.Box.Y && y < w.Box.Y+w.Box.H {
				return w, true
			}
		}
	}
	return record.Word{}, false
}

// TestNoMarks: kept slips that are creased, stained, scratched and faded, and on which
// nobody wrote, have no marks.
func TestNoMarks(t *testing.T) {
	r, err := NewReader(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, c := range fixtures.Set() {
		if c.Part != "fit" || c.Level != "worn" && c.Level != "faded" {
			continue
		}
		for i, s := range slipsIn(t, r, c.Raw) {
			if len(s.Marks) > 0 {
				t.Errorf("%s slip %d: %+v", c.Name, i, s.Marks)
			}
		}
	}
}
