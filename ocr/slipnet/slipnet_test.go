package slipnet

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"tankroll/ocr/glyph"
)

func load(t testing.TB) *Net {
	t.Helper()
	n, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// noise is a line of which only some cells hold anything.
func noise(rng *rand.Rand, cells int, inked func(k int) bool) Line {
	l := NewLine(cells)
	for i := range l.Pix {
		l.Pix[i] = rng.Float32()
	}
	for k := range cells {
		if !inked(k) {
			l.Wipe(k)
		}
	}
	return l
}

// What the training program made of a few cells must come out here as well, and
// most of them must be what was printed.
func TestAsTrained(t *testing.T) {
	b, err := os.ReadFile("testdata/check.bin")
	if err != nil {
		t.Fatal(err)
	}
	count, cells := int(binary.LittleEndian.Uint16(b)), int(binary.LittleEndian.Uint16(b[2:]))
	b = b[4:]
	var lines []Line
	for range count {
		l := NewLine(cells)
		for i := range l.Pix {
			l.Pix[i] = float32(b[i]) * 1.15 / 255
		}
		lines, b = append(lines, l), b[len(l.Pix):]
	}
	right := 0
	scores := load(t).scores(lines, &room{})
	for i := range lines {
		for k := range cells {
			p := scores.row(i*cells + k)
			glyph.Probabilities(p)
			printed, best, want := b[0], int(b[1]), math.Float32frombits(binary.LittleEndian.Uint32(b[2:]))
			b = b[6:]
			if d := p[best] - want; d > 0.02 || d < -0.02 {
				t.Errorf("line %d, cell %d: %q has %.3f, want %.3f", i, k, glyph.Alphabet[best], p[best], want)
			}
			if int(printed) == best {
				right++
			}
		}
	}
	if right < count*cells*3/4 {
		t.Errorf("%d of %d characters are right", right, count*cells)
	}
}

// Leaving bare stretches out must change nothing.
func TestLookLeavesOutNothing(t *testing.T) {
	n := load(t)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, l := range []Line{
		noise(rng, 30, func(k int) bool { return k == 0 || k > 9 && k < 14 || k == 29 }),
		noise(rng, 1, func(int) bool { return true }),
		noise(rng, 12, func(int) bool { return true }),
		noise(rng, 12, func(int) bool { return false }),
	} {
		part, whole := newMatrix(l.Cells, dim), newMatrix(l.Cells, dim)
		n.look(l, part, &room{})
		n.lookAll(l, whole, &room{})
		for i, v := range whole.v {
			if d := v - part.v[i]; d > 1e-3 || d < -1e-3 {
				t.Fatalf("cell %d of %d: %v, want %v", i/dim, l.Cells, part.v[i], v)
			}
		}
	}
}

func TestReadGivesProbabilities(t *testing.T) {
	n := load(t)
	rng := rand.New(rand.NewPCG(3, 4))
	lines := []Line{noise(rng, 5, func(k int) bool { return k%2 == 0 }), NewLine(7), NewLine(0), noise(rng, 100, func(int) bool { return true })}
	got := n.Read(lines)
	if len(got) != len(lines) {
		t.Fatalf("%d lines, want %d", len(got), len(lines))
	}
	for i, l := range got {
		if len(l) != lines[i].Cells {
			t.Fatalf("line %d has %d cells, want %d", i, len(l), lines[i].Cells)
		}
		for _, p := range l {
			sum := float32(0)
			for _, v := range p {
				sum += v
			}
			if len(p) != len(glyph.Alphabet) || sum < 0.999 || sum > 1.001 {
				t.Fatalf("%d probabilities that sum to %v", len(p), sum)
			}
		}
	}
	for k, p := range got[1] {
		if p[0] < 0.9 {
			t.Errorf("bare cell %d of a bare line is bare with %v", k, p[0])
		}
	}
	if n.Read(nil) != nil && len(n.Read(nil)) != 0 {
		t.Error("something was read from nothing")
	}
}

// However many lines there are, each comes back once and in order.
func TestParts(t *testing.T) {
	var lines []Line
	for i := range 90 {
		lines = append(lines, Line{Cells: 1 + i%40})
	}
	at := 0
	for _, p := range parts(lines) {
		cells := 0
		for _, l := range p {
			if l.Cells != lines[at].Cells {
				t.Fatalf("line %d is out of order", at)
			}
			cells += l.Cells
			at++
		}
		if cells > together+40 {
			t.Errorf("%d cells read together", cells)
		}
	}
	if at != len(lines) {
		t.Errorf("%d of %d lines", at, len(lines))
	}
}

func TestDecodeRefuses(t *testing.T) {
	for _, b := range [][]byte{nil, weights[:len(weights)-2], append(weights[:len(weights):len(weights)], 0, 0)} {
		if _, err := Decode(b); err == nil {
			t.Errorf("%d bytes were taken for weights", len(b))
		}
	}
}

func BenchmarkRead(b *testing.B) {
	n := load(b)
	rng := rand.New(rand.NewPCG(5, 6))
	var lines []Line
	for range 25 { // a usual slip: 30 columns, three in five of them bare
		lines = append(lines, noise(rng, 30, func(k int) bool { return k%10 < 4 }))
	}
	for b.Loop() {
		n.Read(lines)
	}
}

// Moved lines are the same print, and nothing of it comes back at the other side.
func TestMoved(t *testing.T) {
	l := noise(rand.New(rand.NewPCG(7, 8)), 3, func(int) bool { return true })
	for _, by := range []int{0, 1, -2} {
		m := l.moved(by)
		for y := range H {
			for x := range 3 * W {
				want := float32(0)
				if from := x - by; from >= 0 && from < 3*W {
					want = l.Pix[y*3*W+from]
				}
				if got := m.Pix[y*3*W+x]; got != want {
					t.Fatalf("moved by %d: %v at %d, %d, want %v", by, got, x, y, want)
				}
			}
		}
	}
}
