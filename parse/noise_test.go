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

// mistakes are what worn print is read as, one character for another.
var mistakes = map[byte]string{
	'0': "O8D6", 'O': "0DQ", 'D': "0O", '1': "lI7", 'I': "1l", 'l': "1I", '5': "S6", 'S': "5", '8': "B03", 'B': "8", '6': "8Gb", 'G': "6C",
	'2': "Z7", 'Z': "2", '3': "8", '4': "A1", '7': "1T", '9': "g8", '.': ",", ',': ".", ':': ".", 'E': "F", 'F': "P", 'T': "7", 'A': "4",
	'R': "K", 'U': "V", 'C': "G", 'N': "H", 'H': "N", 'P': "F", '-': "~",
}

// noisy makes a slip look as if a reader had read it from worn paper: a word's
// confidence says how often such a word is right, and it is wrong as often.
func noisy(rng *rand.Rand, s record.Slip, wear float64) record.Slip {
	out := s
	out.Lines = nil
	for _, l := range s.Lines {
		n := l
		n.Words = nil
		for _, w := range l.Words {
			w.Confidence = confidenceOf(rng, wear)
			if rng.Float64() > w.Confidence {
				misread(rng, &w)
			}
			n.Words = append(n.Words, w)
		}
		out.Lines = append(out.Lines, n)
	}
	return out
}

// confidenceOf draws how well a word was read; with more wear, worse.
func confidenceOf(rng *rand.Rand, wear float64) float64 {
	switch x := rng.Float64() / wear; {
	case x < 0.02:
		return 0.5
	case x < 0.06:
		return 0.85
	case x < 0.15:
		return 0.97
	case x < 0.4:
		return 0.995
	}
	return 0.9995
}

// misread puts one or two characters wrong and offers the right word as an
// alternative half of the time.
func misread(rng *rand.Rand, w *record.Word) {
	was := w.Text
	b := []byte(w.Text)
	for range 1 + rng.IntN(2) {
		i := rng.IntN(len(b))
		if m := mistakes[b[i]]; m != "" {
			b[i] = m[rng.IntN(len(m))]
		} else if b[i] >= 'a' && b[i] <= 'z' || b[i] >= 'A' && b[i] <= 'Z' {
			b[i] = "aceilnorstu"[rng.IntN(11)]
		}
	}
	w.Text = string(b)
	if w.Text != was && rng.IntN(2) == 0 {
		w.Alternatives = []record.Alternative{{Text: was, Confidence: (1 - w.Confidence) / 2}}
	}
}

func sprint(f string, a ...any) string { return fmt.Sprintf(f, a...) }

// TestNoise: with misread characters, fields get lost or doubted, but of those
// that are sure at most one in a thousand is wrong.
func TestNoise(t *testing.T) {
	sure, sureWrong := 0, 0
	for _, c := range []struct {
		wear, recall float64
	}{{1, 0.93}, {3, 0.86}} {
		s := newScoring()
		printouts("fit", 6, func(p console.Printout, k record.Kind, seed uint64) {
			if unlearned[p.Console] {
				return
			}
			rng := rand.New(rand.NewPCG(seed, uint64(len(k))))
			var got record.Report
			for _, slip := range parse.Typed(p.Text()) {
				got = parse.Slip(noisy(rng, slip, c.wear), parse.Hints{})
			}
			var notes []string
			s.note = func(f string, a ...any) {
				if testing.Verbose() && strings.Contains(f, "sure") && strings.Contains(sprint(f, a...), "sure true") {
					notes = append(notes, sprint(f, a...))
				}
			}
			s.report(p.Truth, got)
			for _, n := range notes {
				t.Logf("%s %s %d: %s", p.Console, k, seed, n)
			}
		})
		sum := s.total()
		rate := float64(sum.right) / float64(sum.wanted)
		t.Logf("wear %.0f: right %.4f of %d, sure %d, sure and wrong %d", c.wear, rate, sum.wanted, sum.sure, sum.sureWrong)
		if rate < c.recall {
			t.Errorf("wear %.0f: right %.4f, want at least %.2f", c.wear, rate, c.recall)
		}
		sure, sureWrong = sure+sum.sure, sureWrong+sum.sureWrong
	}
	if float64(sureWrong) > 0.001*float64(sure) {
		t.Errorf("%d of %d sure fields are wrong, at most 1 in 1,000 may be", sureWrong, sure)
	}
}
