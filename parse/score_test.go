package parse_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"sort"
	"strings"
	"testing"

	"tankroll/fixtures/console"
	"tankroll/fixtures/scenario"
	"tankroll/internal/score"
	"tankroll/parse"
	"tankroll/record"
)

// tally counts what became of the fields of a kind.
type tally struct {
	wanted, right, missing, wrong, extra, sureWrong, sure int
}

func (t *tally) add(o tally) {
	t.wanted += o.wanted
	t.right += o.right
	t.missing += o.missing
	t.wrong += o.wrong
	t.extra += o.extra
	t.sureWrong += o.sureWrong
	t.sure += o.sure
}

// minus is what a has counted since b.
func minus(a, b tally) tally {
	return tally{a.wanted - b.wanted, a.right - b.right, a.missing - b.missing, a.wrong - b.wrong, a.extra - b.extra, a.sureWrong - b.sureWrong, a.sure - b.sure}
}

// scoring compares reports with their truth, field by field.
type scoring struct {
	fields map[string]*tally // by "kind.field"
	note   func(format string, args ...any)
}

func newScoring() *scoring {
	return &scoring{fields: map[string]*tally{}, note: func(string, ...any) {}}
}

func (s *scoring) at(name string) *tally {
	if s.fields[name] == nil {
		s.fields[name] = &tally{}
	}
	return s.fields[name]
}

func (s *scoring) total() tally {
	var t tally
	for _, f := range s.fields {
		t.add(*f)
	}
	return t
}

// report compares one report with its truth. Records are matched by kind, the
// as many fields agreeing as can.
func (s *scoring) report(want, got record.Report) {
	for _, h := range []struct {
		name      string
		want, got *record.Field
	}{
		{"site", want.Header.Site, got.Header.Site}, {"site_number", want.Header.SiteNumber, got.Header.SiteNumber},
		{"address", want.Header.Address, got.Header.Address}, {"printed_at", want.Header.PrintedAt, got.Header.PrintedAt},
	} {
		s.field("header."+h.name, h.want, h.got)
	}
	used := make([]bool, len(got.Records))
	pairs := matchRecords(want.Records, got.Records)
	for i, w := range want.Records {
		var g record.Record
		if j := pairs[i]; j >= 0 {
			g = got.Records[j]
			used[j] = true
		}
		s.record(w, g)
	}
	for j, g := range got.Records {
		if !used[j] {
			s.record(record.Record{Kind: g.Kind}, g)
		}
	}
}

func (s *scoring) record(w, g record.Record) {
	kind := w.Kind
	names := map[string]bool{}
	for n := range w.Fields {
		names[n] = true
	}
	for n := range g.Fields {
		names[n] = true
	}
	for n := range names {
		var a, b *record.Field
		if f, ok := w.Fields[n]; ok {
			a = &f
		}
		if f, ok := g.Fields[n]; ok {
			b = &f
		}
		s.field(string(kind)+"."+n, a, b)
	}
}

func (s *scoring) field(name string, want, got *record.Field) {
	t := s.at(name)
	if got != nil && got.Sure {
		t.sure++
	}
	switch {
	case want == nil && got == nil:
	case want == nil:
		t.extra++
		if got.Sure {
			t.sureWrong++
		}
		s.note("extra %s = %v (%q) sure %v", name, got.Value, got.Text, got.Sure)
	case got == nil:
		t.wanted++
		t.missing++
		s.note("missing %s, want %v (%q)", name, want.Value, want.Text)
	default:
		t.wanted++
		if same(*want, *got) {
			t.right++
			return
		}
		t.wrong++
		if got.Sure {
			t.sureWrong++
		}
		s.note("wrong %s = %v %s (%q) sure %v, want %v %s (%q)", name, got.Value, got.Unit, got.Text, got.Sure, want.Value, want.Unit, want.Text)
	}
}

func same(a, b record.Field) bool {
	x, isNumber := a.Number()
	y, isToo := b.Number()
	if isNumber && isToo {
		return math.Abs(x-y) <= 1e-4*math.Max(1, math.Abs(x))*0.1+1e-9 && a.Unit == b.Unit
	}
	return strings.EqualFold(a.String(), b.String()) && isNumber == isToo
}

// matchRecords pairs the records of each kind so that they agree in as many fields as
// possible, whatever their order.
func matchRecords(want, got []record.Record) []int {
	return score.Match(want, got, func(w, g record.Record) int {
		n := 0
		for name, f := range w.Fields {
			if o, ok := g.Fields[name]; ok && same(f, o) {
				n++
			}
		}
		return n
	})
}

// table writes the tallies, by field or by kind.
func (s *scoring) table(byField bool) string {
	sums := map[string]*tally{}
	for name, t := range s.fields {
		key := name
		if !byField {
			key, _, _ = strings.Cut(name, ".")
		}
		if sums[key] == nil {
			sums[key] = &tally{}
		}
		sums[key].add(*t)
	}
	var keys []string
	for k := range sums {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var b strings.Builder
	row := func(k string, t tally) {
		fmt.Fprintf(&b, "%-36s wanted %6d right %.4f missing %5d wrong %5d extra %5d sure %.3f sure-wrong %d\n",
			k, t.wanted, float64(t.right)/math.Max(1, float64(t.wanted)), t.missing, t.wrong, t.extra, float64(t.sure)/math.Max(1, float64(t.wanted)), t.sureWrong)
	}
	for _, k := range keys {
		row(k, *sums[k])
	}
	row("all", s.total())
	return b.String()
}

// printouts calls f for typed printouts of every console of a part.
func printouts(part string, seeds uint64, f func(p console.Printout, k record.Kind, seed uint64)) {
	for _, c := range console.Consoles(part) {
		for seed := uint64(1); seed <= seeds; seed++ {
			for _, k := range record.Kinds() {
				f(c.Print(rand.New(rand.NewPCG(seed, 7)), scenario.Make(seed), k), k, seed)
			}
		}
	}
}

func readTyped(text string, h parse.Hints) record.Report {
	var out record.Report
	for _, s := range parse.Typed(text) {
		r := parse.Slip(s, h)
		if out.Records == nil {
			out.Header = r.Header
		}
		out.Records = append(out.Records, r.Records...)
	}
	return out
}

// unlearned are consoles of part fit whose layouts the grammar does not read
// well enough yet: they are counted, and held to nothing.
var unlearned = map[string]bool{
	"gorse": true, "hazel": true, "ivy": true, "jonquil": true, "rowan": true, "yarrow": true, "yew": true, "zelkova": true, "zoysia": true,
}

// TestFitConsoles reads typed printouts of the invented consoles that the
// grammar may be fitted on.
func TestFitConsoles(t *testing.T) {
	s := newScoring()
	consoles := newScoring()
	only := os.Getenv("PARSE_SHOW") // "console kind": shows the first that is wrong there
	shown := map[string]bool{}
	printouts("fit", 8, func(p console.Printout, k record.Kind, seed uint64) {
		if only != "" && !strings.HasPrefix(p.Console+" "+string(k), only) {
			return
		}
		before := s.total()
		var notes []string
		s.note = func(f string, a ...any) { notes = append(notes, fmt.Sprintf(f, a...)) }
		s.report(p.Truth, readTyped(p.Text(), parse.Hints{}))
		consoles.at(p.Console).add(minus(s.total(), before))
		if after := s.total(); only != "" && after.missing+after.wrong+after.extra > before.missing+before.wrong+before.extra && !shown[p.Console+string(k)] {
			shown[p.Console+string(k)] = true
			t.Logf("--- %s %s seed %d\n%s\n%s", p.Console, k, seed, p.Text(), strings.Join(notes, "\n"))
		}
	})
	t.Logf("\n%s\n%s", s.table(os.Getenv("PARSE_FIELDS") != ""), consoles.table(true))
	for name, sum := range consoles.fields {
		if unlearned[name] {
			continue
		}
		if rate := float64(sum.right) / float64(sum.wanted); rate < 0.995 || sum.sureWrong > 0 {
			t.Errorf("%s: right %.4f, want at least 0.995; sure and wrong %d, want 0", name, rate, sum.sureWrong)
		}
	}
}

// TestJudgeConsoles counts, without showing any text, how well printouts are
// read whose consoles nothing was fitted on.
func TestJudgeConsoles(t *testing.T) {
	s := newScoring()
	printouts("judge", 8, func(p console.Printout, k record.Kind, seed uint64) {
		s.report(p.Truth, readTyped(p.Text(), parse.Hints{}))
	})
	t.Logf("\n%s", s.table(os.Getenv("PARSE_FIELDS") != ""))
	sum := s.total()
	if sum.wanted == 0 {
		t.Skip("no judge consoles")
	}
	// A guard against going back; the aim is 0.995, and none sure and wrong. Version 13 read 0.8836
	// of these, 14 0.8862, 15 with its second reading, which was taught none of them, 0.928; 2 of
	// some 15,000 sure fields are wrong.
	if rate := float64(sum.right) / float64(sum.wanted); rate < 0.92 || float64(sum.sureWrong) > 0.0005*float64(sum.sure) {
		t.Errorf("right %.4f, want at least 0.92; %d of %d sure fields wrong", rate, sum.sureWrong, sum.sure)
	}
}
