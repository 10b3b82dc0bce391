package parse_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"tankroll/fixtures/console"
	"tankroll/parse"
	"tankroll/record"
)

// TestLostLine: a line that is gone, or of which only scrawl was read, may take others
// with it, or leave them in doubt; what is sure must stand on the paper, as often as it is
// said.
func TestLostLine(t *testing.T) {
	sure, made := 0, 0
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) {
		rng := rand.New(rand.NewPCG(seed, uint64(len(p.Console)+len(k))))
		lines := strings.Split(strings.TrimRight(p.Text(), "\n"), "\n")
		said := sayings(p.Truth, false)
		for style := range 3 {
			at := rng.IntN(len(lines))
			left := append([]string(nil), lines...)
			left[at] = scrawl(rng, len(lines[at]), style)
			for what, n := range sayings(readTyped(strings.Join(left, "\n"), parse.Hints{}), true) {
				sure += n
				if n > said[what] {
					made++
					t.Logf("%s %s without line %d %q: %s", p.Console, k, at+1, lines[at], what)
				}
			}
		}
	})
	t.Logf("of %d sure fields %d are not on the paper", sure, made)
	if made*1000 > sure {
		t.Errorf("of %d sure fields %d are not on the paper, at most 1 in 1,000 may be", sure, made)
	}
}

// sayings counts what the records of a report say, or what they say surely.
func sayings(r record.Report, sure bool) map[string]int {
	out := map[string]int{}
	for _, rec := range r.Records {
		for name, f := range rec.Fields {
			if f.Sure || !sure {
				out[fmt.Sprintf("%s.%s = %v %s", rec.Kind, name, f.Value, f.Unit)]++
			}
		}
	}
	return out
}

// scrawl is what is read in place of a line: nothing, a rule, or marks and letters.
func scrawl(rng *rand.Rand, n, style int) string {
	switch style {
	case 0:
		return ""
	case 1:
		return strings.Repeat("~", max(3, n))
	}
	const marks = "  ;:'%&#*xkqzvwjyu0173"
	var b strings.Builder
	for range max(3, n) {
		b.WriteByte(marks[rng.IntN(len(marks))])
	}
	return b.String()
}

// TestWornLine: the lines of a slip that are read badly never change the sure fields
// of those that were read well into others.
func TestWornLine(t *testing.T) {
	sure, made := 0, 0
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) {
		rng := rand.New(rand.NewPCG(seed, uint64(len(p.Console)*len(k))))
		said := sayings(p.Truth, false)
		for _, slip := range parse.Typed(p.Text()) {
			at := rng.IntN(len(slip.Lines))
			worn := slip
			worn.Lines = append([]record.Line(nil), slip.Lines...)
			worn.Lines[at] = noisy(rng, record.Slip{Lines: slip.Lines[at : at+1]}, 20).Lines[0]
			for what, n := range sayings(parse.Slip(worn, parse.Hints{}), true) {
				sure += n
				if n > said[what] {
					made++
					t.Logf("%s %s with line %d %q worn to %q: %s", p.Console, k, at+1, slip.Lines[at], worn.Lines[at], what)
				}
			}
		}
	})
	t.Logf("of %d sure fields %d are not on the paper", sure, made)
	if made*1000 > sure {
		t.Errorf("of %d sure fields %d are not on the paper, at most 1 in 1,000 may be", sure, made)
	}
}

// FuzzLattice: any words, at any places and with any alternatives, give a report that
// holds together, the same each time.
func FuzzLattice(f *testing.F) {
	f.Add("TANK LEAK TEST\nTANK 1 REGULAR\nRESULT: PASS\n", uint64(1))
	f.Add("|1|2\n\n(TANK\n1) [\"X\n* 3 * 4", uint64(2))
	for n, text := range []string{"48\n 275 L", "TANK\n1 VOLUME\nTANK\n1 HEIGHT", "DATE TIME\n1/2 | 3:04", "SENSOR 1 OK | SENSOR\n2 DRY |\n3"} {
		f.Add(text, uint64(n))
	}
	printouts("fit", 1, func(p console.Printout, k record.Kind, seed uint64) {
		if k == record.TankTest || k == record.Alarm {
			f.Add(p.Text(), seed+uint64(len(p.Console)))
		}
	})
	f.Fuzz(func(t *testing.T, text string, seed uint64) {
		if len(text) > 3000 {
			t.Skip("long input has its own test")
		}
		for _, s := range parse.Typed(text) {
			s = shaken(rand.New(rand.NewPCG(seed, 5)), s)
			r := parse.Slip(s, parse.Hints{})
			holds(t, r)
			if again := parse.Slip(s, parse.Hints{}); plainReport(again) != plainReport(r) {
				t.Errorf("read twice it says two things:\n%s\n%s", plainReport(r), plainReport(again))
			}
		}
	})
}

// shaken makes a lattice of a typed slip: words are misread, moved, cut, run together and
// doubted, lines go and are set apart.
func shaken(rng *rand.Rand, s record.Slip) record.Slip {
	out := noisy(rng, s, 1+float64(rng.IntN(9)))
	for i := range out.Lines {
		l := &out.Lines[i]
		l.Wide, l.Inverse, l.Tall, l.Rule, l.Apart = rng.IntN(9) == 0, rng.IntN(19) == 0, rng.IntN(19) == 0, rng.IntN(19) == 0, rng.IntN(5) == 0
		var words []record.Word
		for _, w := range l.Words {
			w.Col += 4*rng.Float64() - 2
			w.Width *= 0.5 + rng.Float64()
			w.Box = record.Box{X: rng.IntN(500), Y: i * 20, W: rng.IntN(90), H: rng.IntN(30)}
			if rng.IntN(9) == 0 {
				w.AsFigures = rng.Float64()
			}
			switch n := len(words); {
			case rng.IntN(25) == 0: // lost
			case n > 0 && rng.IntN(25) == 0:
				words[n-1].Text += w.Text
			default:
				words = append(words, w)
			}
		}
		l.Words = words
	}
	return out
}
