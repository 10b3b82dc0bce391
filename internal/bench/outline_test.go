package main

import (
	"math"
	"slices"
	"testing"

	"tankroll/record"
)

// rect is an upright outline; its whole is said to have been seen.
func rect(x, y, w, h float64) record.ReadSlip {
	return record.ReadSlip{
		Corners: [4]record.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}},
		Paper:   record.Paper{Sure: record.PaperSure{Corners: 0.9}},
	}
}

// unseen is an outline that was taken for want of one.
func unseen(s record.ReadSlip) record.ReadSlip {
	s.Paper.Sure.Corners = 0
	return s
}

// TestPaired: one to one, by how much outlines overlap.
func TestPaired(t *testing.T) {
	left, right := rect(0, 0, 100, 200), rect(110, 0, 100, 200)
	for name, v := range map[string]struct {
		printed, read []record.ReadSlip
		want          []int
	}{
		"each its own, in another order":  {[]record.ReadSlip{left, right}, []record.ReadSlip{rect(112, 3, 100, 198), rect(2, 0, 97, 200)}, []int{1, 0}},
		"one outline over two is none's":  {[]record.ReadSlip{left, right}, []record.ReadSlip{rect(0, 0, 210, 200)}, []int{-1, -1}},
		"one over a long and a short":     {[]record.ReadSlip{left, rect(0, 210, 100, 40)}, []record.ReadSlip{rect(0, 0, 100, 250)}, []int{0, -1}},
		"its middle is not enough":        {[]record.ReadSlip{left}, []record.ReadSlip{rect(40, 80, 20, 40)}, []int{-1}},
		"the better of two is the slip":   {[]record.ReadSlip{left}, []record.ReadSlip{rect(0, 0, 70, 200), rect(0, 0, 95, 200)}, []int{1}},
		"one read twice is found once":    {[]record.ReadSlip{left, right}, []record.ReadSlip{left, left}, []int{0, -1}},
		"one over two that overlap":       {[]record.ReadSlip{rect(9, 0, 100, 200), left}, []record.ReadSlip{left}, []int{-1, 0}},
		"a plain scan with its lid":       {[]record.ReadSlip{rect(30, 60, 100, 200)}, []record.ReadSlip{unseen(rect(0, 0, 160, 320))}, []int{0}},
		"an outline as far off":           {[]record.ReadSlip{rect(30, 60, 100, 200)}, []record.ReadSlip{rect(0, 0, 160, 320)}, []int{-1}},
		"a small slip on a whole picture": {[]record.ReadSlip{rect(30, 60, 100, 200)}, []record.ReadSlip{unseen(rect(0, 0, 300, 320))}, []int{-1}},
		"the whole picture of two slips":  {[]record.ReadSlip{left, right}, []record.ReadSlip{unseen(rect(0, 0, 230, 220))}, []int{-1, -1}},
	} {
		if got := paired(v.printed, v.read); !slices.Equal(got, v.want) {
			t.Errorf("%s: %v, want %v", name, got, v.want)
		}
	}
}

// TestOverlap: whichever corner is first and whichever way around they go.
func TestOverlap(t *testing.T) {
	a := rect(0, 0, 100, 100).Corners
	turned := [4]record.Point{{X: 50, Y: -50}, {X: 150, Y: 50}, {X: 50, Y: 150}, {X: -50, Y: 50}} // around a, twice its area
	for name, v := range map[string]struct {
		b    [4]record.Point
		want float64
	}{
		"itself":             {a, 1},
		"other first corner": {[4]record.Point{a[2], a[3], a[0], a[1]}, 1},
		"other way around":   {[4]record.Point{a[0], a[3], a[2], a[1]}, 1},
		"half of it aside":   {rect(50, 0, 100, 100).Corners, 1.0 / 3},
		"on its corner":      {turned, 0.5},
		"apart":              {rect(200, 0, 100, 100).Corners, 0},
		"no outline":         {[4]record.Point{}, 0},
	} {
		if got := overlap(a, v.b); math.Abs(got-v.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", name, got, v.want)
		}
	}
}

// TestCornersOff: in widths of the slip, whatever the turn was taken for.
func TestCornersOff(t *testing.T) {
	want := rect(0, 0, 100, 200).Corners
	read := want
	read[2].X += 30
	for first := range 4 {
		got := cornersOff(want, [4]record.Point{read[first], read[(first+1)%4], read[(first+2)%4], read[(first+3)%4]})
		if got != [4]float64{0, 0, 0.3, 0} {
			t.Errorf("from corner %d: %v", first, got)
		}
	}
}
