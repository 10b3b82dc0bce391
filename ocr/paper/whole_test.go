package paper

import (
	"image/color"
	"math"
	"math/rand/v2"
	"testing"
)

// A strip of tape across a slip that runs off its picture is no end of it; where the
// picture's border follows with bare ground it is.
func TestRunsOff(t *testing.T) {
	for _, c := range []struct {
		name   string
		bottom float64 // of the printed paper
		want   bool
	}{{"the slip goes on", 900, true}, {"ground follows", 360, false}} {
		s := newScene(600, 700, plainGround(60))
		s.slip(Quad{{X: 150, Y: 60}, {X: 450, Y: 60}, {X: 450, Y: c.bottom}, {X: 150, Y: c.bottom}}, 225)
		p := s.planes()
		f := newFinder(p)
		part := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 350/p.Step))
		whole := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 700/p.Step))
		if got := f.runsOff(part, whole); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func (f *finder) candidateOf(q Quad) Candidate {
	return Candidate{Quad: q, area: area(q), print: f.marks.density(q, -5)}
}

// TestDropPairsClear: a strip of yellowed paper has bare edges as two slips have, yet far
// more thresholds cut out the whole slip than its parts.
func TestDropPairsClear(t *testing.T) {
	upper, lower, whole := rectangle(40, 30, 380, 220), rectangle(40, 230, 380, 410), rectangle(40, 30, 380, 410)
	s := newScene(420, 440, plainGround(60))
	s.slip(upper, 222)
	s.slip(lower, 222)
	s.paint(rectangle(40, 220, 380, 230), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 200 })
	f := newFinder(s.planes())
	for _, c := range []struct {
		name       string
		votes      int // of the whole; 10 are of either part
		confidence float64
		kept       bool
	}{{"cut out by most", 40, 0.95, true}, {"hardly more often than a part", 15, 0.95, false}, {"less sure than a part", 40, 0.85, false}} {
		all := []Candidate{f.candidateOf(upper), f.candidateOf(lower), f.candidateOf(whole)}
		for i := range all {
			all[i].Confidence, all[i].votes = 0.9, 10
		}
		all[2].Confidence, all[2].votes = c.confidence, c.votes
		f.dropPairs(all)
		if got := all[2].Confidence > 0; got != c.kept {
			t.Errorf("%s: the whole is kept: %v", c.name, got)
		}
	}
}

// TestDropPairs: the outline around two slips side by side is none, that around the
// halves of a folded one is.
func TestDropPairs(t *testing.T) {
	for _, c := range []struct {
		name string
		gap  float64
		want bool
	}{{"two slips", 8, true}, {"one slip", 0, false}} {
		s := newScene(460, 420, plainGround(60))
		if c.want {
			s.slip(rectangle(30, 40, 220, 380), 222)
			s.slip(rectangle(220+c.gap, 40, 410+c.gap, 380), 222)
		} else {
			s.slip(rectangle(30, 40, 410, 380), 222)
		}
		f := newFinder(s.planes())
		all := []Candidate{f.candidateOf(rectangle(30, 40, 220, 380)), f.candidateOf(rectangle(220+c.gap, 40, 410+c.gap, 380)), f.candidateOf(rectangle(30, 40, 410+c.gap, 380))}
		for i := range all {
			all[i].Confidence, all[i].votes = 0.9, 10
		}
		f.dropPairs(all)
		if got := all[2].Confidence == 0; got != c.want {
			t.Errorf("%s: dropped %v", c.name, got)
		}
	}
}

// What an outline has more than a slip is a part of its paper when it holds print or
// is about as bright; bare and dark it is ground, however straight its border.
func TestIsGround(t *testing.T) {
	for _, c := range []struct {
		name string
		rest float64 // brightness beside the slip, negative with grain
		want bool
	}{{"dark ground", 60, true}, {"dark ground with grain", -60, true}, {"a margin in shadow", 150, false}} {
		ground := plainGround(math.Abs(c.rest))
		if c.rest < 0 { // specks, as in wood
			ground = func(x, y int, rng *rand.Rand) float64 {
				if x%40 == 0 && y%3 > 0 {
					return 0.4 * -c.rest
				}
				return -c.rest + rng.NormFloat64()
			}
		}
		s := newScene(600, 500, ground)
		s.slip(rectangle(200, 60, 440, 440), 225)
		p := s.planes()
		f := newFinder(p)
		slip := f.candidateOf(rectangle(200/p.Step, 60/p.Step, 440/p.Step, 440/p.Step))
		more := f.candidateOf(rectangle(140/p.Step, 60/p.Step, 440/p.Step, 440/p.Step))
		if got := f.isGround(slip, more); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestPastPrint: a side that a stain as dark as the ground has put through print moves
// out to where print ends; where print goes on to the picture's border it stays.
func TestPastPrint(t *testing.T) {
	for _, c := range []struct {
		name     string
		left     float64 // of the paper; print begins at 0.08 of its width
		from, to float64 // where the side may lie afterwards
	}{{"on the picture", 80, 80, 102}, {"running off it", -120, 150, 150}} {
		s := newScene(460, 470, plainGround(140))
		s.slip(rectangle(c.left, 60, 370, 440), 235)
		f := newFinder(s.planes())
		chosen := []Candidate{f.candidateOf(rectangle(150, 60, 370, 440))}
		f.pastPrint(chosen)
		if left := chosen[0].Quad[0].X; left < c.from || left > c.to {
			t.Errorf("%s: the left side lies at %.0f", c.name, left)
		}
	}
}

// TestInLine: two outlines that meet or reach into each other with their flanks in line
// are one paper; side by side, apart or askew they are two.
func TestInLine(t *testing.T) {
	upper := rectangle(100, 50, 300, 250)
	for _, c := range []struct {
		name  string
		lower Quad
		want  bool
	}{
		{"in line", rectangle(101, 200, 299, 400), true},
		{"meeting", rectangle(99, 251, 301, 400), true},
		{"meeting, wider", rectangle(94, 251, 306, 400), false},
		{"apart", rectangle(100, 256, 300, 400), false},
		{"wider", rectangle(60, 200, 340, 400), false},
		{"aside", rectangle(140, 200, 340, 400), false},
	} {
		if got := inLine(upper, 2, c.lower, 0); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestPrintBetween: two pieces of one slip with a dark strip of tape between them that
// print goes on in are one; with bare ground between them they are two.
func TestPrintBetween(t *testing.T) {
	for _, c := range []struct {
		name string
		tape bool
	}{{"tape", true}, {"ground", false}} {
		s := newScene(460, 470, plainGround(120))
		if c.tape {
			at := rectangle(80, 30, 370, 440)
			s.slip(at, 225)
			s.stripe(at, 0, 1, 170.0/410, 230.0/410, 0.75, 128, 128)
		} else {
			s.slip(rectangle(80, 30, 370, 200), 225)
			s.slip(rectangle(80, 260, 370, 440), 225)
		}
		f := newFinder(s.planes())
		if got := f.printBetween(rectangle(80, 30, 370, 200), 2, rectangle(80, 260, 370, 440), 0); got != c.tape {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestPrintGoesOn: two pieces in line are one paper where print goes on by lines; with the
// foot of one slip and the head of the next bare between, they are two.
func TestPrintGoesOn(t *testing.T) {
	for _, c := range []struct {
		name string
		one  bool
	}{{"a fold across one slip", true}, {"two slips of one width", false}} {
		s := newScene(460, 470, plainGround(120))
		upper, lower := rectangle(80, 30, 370, 230), rectangle(80, 230, 370, 440)
		if c.one {
			s.slip(rectangle(80, 30, 370, 440), 225)
		} else {
			s.slip(rectangle(80, 30, 370, 220), 225) // print ends 19 short of its foot
			s.slip(rectangle(80, 250, 370, 440), 225)
			upper, lower = rectangle(80, 30, 370, 235), rectangle(80, 235, 370, 440)
		}
		f := newFinder(s.planes())
		if !inLine(upper, 2, lower, 0) {
			t.Fatalf("%s: not in line", c.name)
		}
		if got := f.printGoesOn(upper, 2, lower, 0); got != c.one {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestCutOffByMost: what nearly all thresholds cut off ends there, even where marks go on
// beside it; a strip of tape is cut off by few.
func TestCutOffByMost(t *testing.T) {
	s := newScene(600, 700, plainGround(60))
	s.slip(rectangle(150, 60, 450, 900), 225)
	p := s.planes()
	f := newFinder(p)
	part := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 350/p.Step))
	whole := f.candidateOf(rectangle(150/p.Step, 60/p.Step, 450/p.Step, 700/p.Step))
	for _, c := range []struct {
		part, whole int // thresholds that cut each out
		want        bool
	}{{14, 1, true}, {78, 5, false}, {60, 30, true}} {
		part.votes, whole.votes = c.part, c.whole
		if got := f.runsOff(part, whole); got != c.want {
			t.Errorf("%d and %d votes: %v", c.part, c.whole, got)
		}
	}
}

// TestUnited: two outlines that reach into each other by sides that cannot be seen are one
// slip; where one of two slips lies on the other the edge of the upper one shows.
func TestUnited(t *testing.T) {
	one, lapped := rectangle(80, 30, 370, 440), []Quad{rectangle(80, 30, 370, 300), rectangle(80, 200, 370, 440)}
	for _, c := range []struct {
		name string
		want bool
	}{{"one slip", true}, {"one on the other", false}} {
		s := newScene(460, 470, plainGround(120))
		bare := func(q Quad, bright float64) {
			s.paint(q, func(_, _ float64, x, y int) {
				s.luma.SetGray(x, y, color.Gray{Y: byteOf(bright + s.rng.NormFloat64())})
			})
		}
		bare(one, 225)
		if !c.want {
			bare(lapped[1], 200)
		}
		got, ok := newFinder(s.planes()).united(lapped[0], lapped[1])
		if ok != c.want || ok && got != one {
			t.Errorf("%s: %v %v", c.name, got, ok)
		}
	}
}

// TestTornEdge: the marks of a torn edge are no print that goes on beyond it.
func TestTornEdge(t *testing.T) {
	const foot = 240
	s := newScene(460, 470, plainGround(50))
	s.slip(rectangle(80, 30, 370, 300), 225)
	for x := 80; x < 370; x++ { // torn off in steps of 12 pixels
		for y := foot + 6*(x/6%3-1); y < 310; y++ {
			s.luma.Pix[y*s.luma.Stride+x] = byteOf(50 + s.rng.NormFloat64())
		}
	}
	f := newFinder(s.planes())
	chosen := []Candidate{f.candidateOf(rectangle(80, 30, 370, foot))}
	f.pastPrint(chosen)
	if got := chosen[0].Quad[2].Y; got > foot+8 {
		t.Errorf("the foot lies at %.0f, torn off at %d", got, foot)
	}
}

// TestIsPiece: what folds fence is a piece of the slip that nearly all thresholds cut off,
// and not the other way round.
func TestIsPiece(t *testing.T) {
	slip := Candidate{Quad: rectangle(30, 0, 350, 320), area: 320 * 320, votes: 62, Confidence: 0.78}
	piece := Candidate{Quad: rectangle(35, 190, 345, 260), area: 310 * 70, votes: 9, Confidence: 0.92}
	if !isPiece(piece, slip) || isPiece(slip, piece) {
		t.Errorf("piece of slip %v, slip of piece %v", isPiece(piece, slip), isPiece(slip, piece))
	}
	piece.votes = 30 // a slip on a sheet
	if isPiece(piece, slip) {
		t.Error("a slip that many thresholds cut off is a piece")
	}
}

// TestStripIsPart: a stripe as dark as the ground, whose outline reaches a few pixels
// beyond the paper, is part of it, and what is left of the paper beside it is no other
// slip.
func TestStripIsPart(t *testing.T) {
	s := newScene(360, 380, plainGround(120))
	s.slip(rectangle(40, 40, 318, 340), 215)
	s.paint(rectangle(275, 150, 318, 340), func(_, _ float64, x, y int) {
		s.luma.Pix[y*s.luma.Stride+x] = byteOf(118 + 12*s.rng.NormFloat64())
	})
	s.paint(rectangle(250, 40, 275, 340), func(_, _ float64, x, y int) { s.luma.Pix[y*s.luma.Stride+x] = 215 })
	f := newFinder(s.planes())
	strip, whole := f.candidateOf(rectangle(276, 150, 323, 343)), f.candidateOf(rectangle(40, 40, 318, 340))
	rest, neighbour := f.candidateOf(rectangle(40, 40, 274, 340)), f.candidateOf(rectangle(10, 40, 200, 340))
	for _, c := range []*Candidate{&strip, &whole, &rest, &neighbour} {
		c.Confidence = 0.8
	}
	if !f.isPart(strip, whole) {
		t.Error("the strip is taken for no part of the paper")
	}
	if f.holdsOthers([]Candidate{strip, whole, rest}, strip, whole) {
		t.Error("the rest of the paper is taken for another slip")
	}
	if !f.holdsOthers([]Candidate{strip, whole, neighbour}, strip, whole) {
		t.Error("a slip that reaches beyond the paper is not taken for another")
	}
}
