package join

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tankroll/record"
)

// saying lists the lines that hold text.
func saying(lines []string) []int {
	var out []int
	for i, l := range lines {
		if strings.Trim(l, " -=*_~.#|+") != "" {
			out = append(out, i)
		}
	}
	return out
}

func anyKind(p *printer) record.Kind {
	return record.Kinds()[p.rng.IntN(len(record.Kinds()))]
}

// halves cuts a printout in two pictures that share some lines of text.
func halves(p *printer, lines []string, shared int, misread float64) (upper, lower record.Slip, ok bool) {
	const own = 10 // lines of text that a picture shows alone
	said := saying(lines)
	over := max(shared, 0)
	if len(said) < 2*own+over+1 {
		return upper, lower, false
	}
	at := own + p.rng.IntN(len(said)-2*own-over)
	upper = p.slip(lines[:said[at+over-1]+1], misread)
	lower = p.slip(lines[said[at+max(-shared, 0)]:], misread)
	upper.Paper.Top, lower.Paper.Bottom = record.EdgeWhole, record.EdgeWhole
	return upper, lower, true
}

// TestHalves: a long slip in two pictures is joined from some shared lines on,
// and what comes of it is the slip. With a gap between them it is never joined.
// Consoles that print a label above its value have figures in every other line
// only and take more shared lines.
func TestHalves(t *testing.T) {
	p := newPrinter(1)
	for _, c := range []struct {
		shared int
		least  float64 // share of slips that are joined
	}{{-3, 0}, {0, 0}, {6, 0.6}, {8, 0.85}, {10, 0.9}, {12, 0.95}} {
		n, joined := 0, 0
		for n < 120 {
			lines := p.print(p.console(), p.site(), p.someTime(), anyKind(p))
			upper, lower, ok := halves(p, lines, c.shared, 0)
			if !ok {
				continue
			}
			n++
			s := Meet(upper, lower)
			if s.Answer != Together {
				continue
			}
			joined++
			if c.shared <= 0 {
				t.Errorf("joined over a gap of %d lines, evidence %.1f:\n%s", -c.shared, s.Evidence, strings.Join(lines, "\n"))
				continue
			}
			whole := p.slip(lines, 0)
			got := Two(upper, lower, s)
			if d := cmp.Diff(whole.Text(), got.Text()); d != "" {
				t.Errorf("%d shared lines: %s", c.shared, d)
			}
			checkParts(t, got, len(upper.Lines))
		}
		share := float64(joined) / float64(n)
		t.Logf("%d shared lines: %d of %d joined", c.shared, joined, n)
		if share < c.least {
			t.Errorf("%d shared lines: %.2f joined, want %.2f", c.shared, share, c.least)
		}
	}
}

// checkParts: the upper picture's lines come first, then the lower's, and words
// lie where their lines do.
func checkParts(t *testing.T, s record.Slip, upper int) {
	t.Helper()
	if len(s.Parts) != 2 {
		t.Fatalf("%d parts, want 2", len(s.Parts))
	}
	part := 0
	for i, l := range s.Lines {
		if l.Box.Part < part || l.Box.Part > 1 {
			t.Fatalf("line %d lies on part %d after one on part %d", i, l.Box.Part, part)
		}
		part = l.Box.Part
		if part == 0 && i >= upper {
			t.Fatalf("line %d of %d lies on the upper picture, which shows %d", i, len(s.Lines), upper)
		}
		for _, w := range l.Words {
			if w.Box.Part != part {
				t.Fatalf("%q lies on part %d, its line on %d", w.Text, w.Box.Part, part)
			}
		}
	}
	if part != 1 {
		t.Error("no line lies on the lower picture")
	}
}

// TestMisread: with misread characters slips are still joined, and of what both
// pictures show no more words are wrong than on either.
func TestMisread(t *testing.T) {
	const misread = 0.03
	p := newPrinter(2)
	n, joined := 0, 0
	var wrongJoined, wrongApart int
	for n < 150 {
		lines := p.print(p.console(), p.site(), p.someTime(), anyKind(p))
		upper, lower, ok := halves(p, lines, 10, misread)
		if !ok {
			continue
		}
		n++
		s := Meet(upper, lower)
		if s.Answer != Together {
			continue
		}
		joined++
		truth := p.slip(lines, 0)
		got := Two(upper, lower, s)
		wrongJoined += missing(truth, got)
		// The upper picture alone above the middle of what both show, the lower below.
		middle := s.Pairs[len(s.Pairs)/2]
		apart := record.Slip{Lines: append(upper.Lines[:middle.Upper:middle.Upper], lower.Lines[middle.Lower:]...)}
		wrongApart += missing(truth, apart)
	}
	t.Logf("%d of %d joined; words wrong: %d joined, %d one picture each", joined, n, wrongJoined, wrongApart)
	if joined < n/2 {
		t.Errorf("%d of %d joined", joined, n)
	}
	if wrongJoined > wrongApart {
		t.Errorf("%d words wrong after joining, %d before", wrongJoined, wrongApart)
	}
}

// missing counts the words of a slip that another does not have.
func missing(truth, got record.Slip) (n int) {
	have := map[string]int{}
	for _, l := range got.Lines {
		for _, w := range l.Words {
			have[w.Text]++
		}
	}
	for _, l := range truth.Lines {
		for _, w := range l.Words {
			if have[w.Text]--; have[w.Text] < 0 {
				n++
			}
		}
	}
	return n
}

// TestNeverJoined: pieces of different printouts of one console and one station
// are never joined, even of one minute. Printouts of what the console is set to
// are left out: they say the same each time, so no line tells them apart.
func TestNeverJoined(t *testing.T) {
	p := newPrinter(3)
	pairs, unsure, most := 0, 0, 0.0
	for i := 0; pairs < 4000; i++ {
		c, site, at := p.console(), p.site(), p.someTime()
		kind, other, then := anyKind(p), anyKind(p), at
		switch i % 4 {
		case 0:
			other, then = kind, p.someTime() // another day's
		case 1:
			other, then = kind, at.Add(time.Duration(p.rng.IntN(90))*time.Minute) // soon after
		case 2:
			other = kind // of the same minute
		}
		if kind == record.TankLimits || other == record.TankLimits {
			continue
		}
		pairs++
		a, b := p.print(c, site, at, kind), p.print(c, site, then, other)
		upper := p.slip(a[:len(a)-p.rng.IntN(len(a)/2+1)], 0.02)
		lower := p.slip(b[p.rng.IntN(len(b)/2+1):], 0.02)
		s := Meet(upper, lower)
		switch s.Answer {
		case Together:
			t.Errorf("joined with evidence %.1f:\n%s\n-----\n%s", s.Evidence, strings.Join(upper.Text(), "\n"), strings.Join(lower.Text(), "\n"))
		case Perhaps:
			unsure++
			most = max(most, s.Evidence)
		}
	}
	t.Logf("of %d pairs %d are called perhaps one slip, the highest evidence %.1f", pairs, unsure, most)
}

// TestMeet is what a clerk may do.
func TestMeet(t *testing.T) {
	lines := strings.Split(strings.Trim(`
QUARRY BEND FUEL
STATION 114
03/14/25 06:41
INVENTORY
TANK 1 REGULAR
VOLUME 7342 GAL
ULLAGE 2658 GAL
HEIGHT 66.13 IN
TEMP 61.42 F
TANK 2 PREMIUM
VOLUME 3128 GAL
ULLAGE 4872 GAL
HEIGHT 41.77 IN
TEMP 60.85 F
TANK 3 DIESEL
VOLUME 5561 GAL
ULLAGE 4439 GAL
HEIGHT 52.06 IN
TEMP 59.97 F
TANK 4 KEROSENE
VOLUME 1893 GAL
ULLAGE 2107 GAL
HEIGHT 38.29 IN
TEMP 60.11 F
END`, "\n"), "\n")
	p := newPrinter(4)
	piece := func(from, to int) record.Slip { return p.slip(lines[from:to], 0) }
	whole := func(s record.Slip) record.Slip {
		s.Paper.Top, s.Paper.Bottom = record.EdgeWhole, record.EdgeWhole
		return s
	}
	late := p.slip(strings.Split(strings.NewReplacer("7342", "7101", "2658", "2899", "66.13", "64.20", "61.42", "61.70",
		"3128", "3015", "4872", "4985", "41.77", "40.63", "60.85", "60.94", "5561", "5220", "4439", "4780", "52.06", "49.91", "59.97", "60.02",
		"1893", "1890", "2107", "2110", "38.29", "38.25", "60.11", "60.13").Replace(strings.Join(lines[9:], "\n")), "\n"), 0)
	for _, c := range []struct {
		name         string
		upper, lower record.Slip
		want         Answer
	}{
		{"five lines on both", piece(0, 15), piece(10, 25), Together},
		{"the other way round", piece(10, 25), piece(0, 15), Apart},
		{"no line on both", piece(0, 12), piece(12, 25), Apart},
		{"one telling line on both", piece(0, 13), piece(12, 25), Apart},
		{"two lines on both", piece(0, 13), piece(11, 25), Perhaps},
		{"the same picture twice", piece(0, 25), piece(0, 25), Apart},
		{"one shows all of the other", piece(0, 25), piece(10, 18), Apart},
		{"the paper ends above", whole(piece(0, 15)), piece(10, 25), Apart},
		{"the paper begins below", piece(0, 15), whole(piece(10, 25)), Apart},
		{"the same labels an hour later", piece(0, 15), late, Apart},
		{"nothing", record.Slip{}, record.Slip{}, Apart},
	} {
		if s := Meet(c.upper, c.lower); s.Answer != c.want {
			t.Errorf("%s: answer %d, want %d (evidence %.1f, %d lines)", c.name, s.Answer, c.want, s.Evidence, len(s.Pairs))
		}
	}

	t.Run("three pictures", func(t *testing.T) {
		a, b, c := piece(0, 16), piece(9, 21), piece(15, 25)
		one := Meet(a, b)
		two := Two(a, b, one)
		next := Meet(two, c)
		if one.Answer != Together || next.Answer != Together {
			t.Fatalf("answers %d and %d, want both together", one.Answer, next.Answer)
		}
		all := Two(two, c, next)
		if d := cmp.Diff(piece(0, 25).Text(), all.Text()); d != "" || len(all.Parts) != 3 {
			t.Errorf("%d parts: %s", len(all.Parts), d)
		}
		if last := all.Lines[len(all.Lines)-1].Box.Part; last != 2 {
			t.Errorf("the last line lies on part %d, want 2", last)
		}
	})
}

// TestTwoReadings: of two readings of a word the surer one stands, and says that
// it is disputed.
func TestTwoReadings(t *testing.T) {
	word := func(text string, conf float64, x int) record.Word {
		return record.Word{Text: text, Confidence: conf, Width: float64(len(text)), Box: record.Box{X: x, W: 10, H: 5}}
	}
	for _, c := range []struct {
		name string
		a, b record.Word
		want string
		most float64 // confidence
	}{
		{"both agree", word("5561", 0.9, 1), word("5561", 0.98, 2), "5561", 0.98},
		{"the first is surer", word("5561", 0.99, 1), word("5567", 0.5, 2), "5561", mostDisputed},
		{"the second is surer", word("S561", 0.3, 1), word("5561", 0.99, 2), "5561", mostDisputed},
		{"both are sure", word("5561", 0.99, 1), word("5567", 0.99, 2), "5561", 0.5},
	} {
		got := agreed(c.a, c.b)
		if got.Text != c.want || got.Confidence > c.most || got.Box.X != 1 {
			t.Errorf("%s: %q %.2f at %v, want %q at most %.2f at the first's place", c.name, got.Text, got.Confidence, got.Box, c.want, c.most)
		}
		if c.a.Text != c.b.Text && (len(got.Alternatives) != 1 || got.Alternatives[0].Text == got.Text) {
			t.Errorf("%s: other readings %v", c.name, got.Alternatives)
		}
	}
}
