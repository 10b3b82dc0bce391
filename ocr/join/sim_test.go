package join

import (
	"math/rand/v2"
	"strings"
	"time"

	"tankroll/fixtures/console"
	"tankroll/fixtures/scenario"
	"tankroll/record"
)

// printer makes typed slips of the invented consoles.
type printer struct{ rng *rand.Rand }

func newPrinter(seed uint64) *printer { return &printer{rand.New(rand.NewPCG(seed, 7))} }

// print gives the lines of one printout of a console, rules and blank lines
// included; at is when, seed what the gauge measured.
func (p *printer) print(c console.Console, site scenario.Site, at time.Time, kind record.Kind) []string {
	for {
		out := c.Print(p.rng, scenario.At(p.rng.Uint64(), site, at), kind)
		if len(out.Truth.Records) == 0 {
			kind = record.Kinds()[p.rng.IntN(len(record.Kinds()))]
			continue
		}
		var lines []string
		for _, l := range out.Lines {
			lines = append(lines, l.Text)
		}
		return lines
	}
}

func (p *printer) someTime() time.Time {
	return time.Date(2025, 1, 3, 0, 0, 0, 0, time.UTC).Add(time.Duration(p.rng.IntN(500*24*3600)) * time.Second)
}

func (p *printer) console() console.Console {
	list := console.Consoles("fit")
	return list[p.rng.IntN(len(list))]
}

func (p *printer) site() scenario.Site {
	list := scenario.Sites()
	return list[p.rng.IntN(len(list))]
}

// pitch is the distance of lines of a typed slip, in pixels.
const pitch = 30

// slip reads lines as a picture shows them: every character may be misread. The
// slip's paper runs off the picture at both ends.
func (p *printer) slip(lines []string, misread float64) record.Slip {
	s := record.Slip{Paper: record.Paper{Top: record.EdgeOpen, Bottom: record.EdgeOpen}, Parts: []record.Part{{}}}
	for row, text := range lines {
		if l, ok := p.line(text, row, misread); ok {
			s.Lines = append(s.Lines, l)
		}
	}
	return s
}

func (p *printer) line(text string, row int, misread float64) (record.Line, bool) {
	l := record.Line{Box: record.Box{X: 10, Y: row * pitch, W: 10 * len(text), H: 20}}
	if strings.TrimSpace(text) == "" {
		return l, false
	}
	if strings.Trim(text, "-=*_~.# ") == "" {
		l.Rule = true
		return l, true
	}
	for from := 0; from < len(text); {
		if text[from] == ' ' {
			from++
			continue
		}
		to := from
		for to < len(text) && text[to] != ' ' {
			to++
		}
		w := record.Word{Text: text[from:to], Col: float64(from), Width: float64(to - from), Box: record.Box{X: 10 + 10*from, Y: l.Box.Y, W: 10 * (to - from), H: 20}}
		l.Words = append(l.Words, p.read(w, misread))
		from = to
	}
	return l, true
}

// read misreads a word, mostly knowing that it is unsure of it.
func (p *printer) read(w record.Word, misread float64) record.Word {
	text, wrong := []rune(w.Text), false
	for i, r := range text {
		if p.rng.Float64() < misread {
			text[i], wrong = p.like(r), true
		}
	}
	w.Text = string(text)
	w.Confidence = 1 - 0.1*p.rng.Float64()*p.rng.Float64()
	if wrong && p.rng.Float64() < 0.95 || p.rng.Float64() < 2*misread {
		w.Confidence = 0.2 + 0.6*p.rng.Float64()
	}
	return w
}

func (p *printer) like(r rune) rune {
	for _, set := range lookalikes {
		if strings.ContainsRune(set, r) && p.rng.IntN(4) > 0 {
			list := []rune(set)
			return list[p.rng.IntN(len(list))]
		}
	}
	list := []rune("0123456789ABCDEFGHIKLMNOPRSTUVXYZaeiou.,-:")
	return list[p.rng.IntN(len(list))]
}
