package parse_test

import (
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tankroll/fixtures/console"
	"tankroll/fixtures/scenario"
	"tankroll/internal/score"
	"tankroll/parse"
	"tankroll/record"
)

var taggerSlips = flag.String("tagger-slips", "", "write what parse/tagger/train/learn.py learns from to a file")

// A printout with what its words are, as learn.py reads it: a JSON object a line. Words are named by
// their line and their place on it. What was read and is not wanted is doubtful: the words of
// Doubtful teach nothing. What is wanted and was not read is looked for among the others by its value.
type (
	taughtSlip struct {
		Set      string         `json:"set"`
		Lines    [][]taughtWord `json:"lines"`
		Apart    []bool         `json:"apart"`
		Tags     []taughtRun    `json:"tags"`
		Doubtful []taughtRun    `json:"doubtful"`
		Missing  []taughtValue  `json:"missing"`
	}
	taughtWord struct {
		Text  string `json:"text"`
		Col   int    `json:"col"`
		Width int    `json:"width"`
	}
	taughtRun struct {
		Line   int    `json:"line"`
		From   int    `json:"from"`
		To     int    `json:"to"` // the last word
		Kind   string `json:"kind"`
		Field  string `json:"field"`
		Record int    `json:"record"` // -1 for the head
		Value  any    `json:"value"`
	}
	taughtValue struct {
		Kind   string `json:"kind"`
		Field  string `json:"field"`
		Record int    `json:"record"`
		Value  any    `json:"value"`
	}
)

// TestTaggerSlips writes printouts of part fit and the strangers' ones, with which of their words say
// which field: the grammar finds the places of the values that it reads as they are wanted. It
// asserts nothing and is skipped unless asked for.
//
//	go test ./parse -run TestTaggerSlips -tagger-slips FILE     STRANGERS="FOLDER …" for those alone
func TestTaggerSlips(t *testing.T) {
	if *taggerSlips == "" {
		t.Skip("give -tagger-slips with a file to write to")
	}
	out, err := os.Create(*taggerSlips)
	if err != nil {
		t.Fatal(err)
	}
	enc := json.NewEncoder(out)
	write := func(set, text string, want score.Wanted) {
		slips := parse.Typed(text)
		if len(slips) != 1 {
			return // of several, what is wanted is not told apart
		}
		if err := enc.Encode(taught(set, slips[0], want)); err != nil {
			t.Fatal(err)
		}
	}
	sets := strings.Fields(os.Getenv("STRANGERS"))
	if len(sets) == 0 {
		const seeds, mixed = 8, 150
		printouts("fit", seeds, func(p console.Printout, k record.Kind, _ uint64) {
			write("fit", p.Text(), score.Wanted{Report: p.Truth})
		})
		for batch := 1; batch <= console.Batches; batch++ {
			for n := range uint64(mixed) {
				c := console.Mixed(batch, n+1)
				for _, k := range record.Kinds() {
					p := c.Print(rand.New(rand.NewPCG(n+1, 7)), scenario.Make(n+1), k)
					write("mixed", p.Text(), score.Wanted{Report: p.Truth})
				}
			}
		}
		wild, _ := filepath.Glob("testdata/wild/*.txt")
		for _, path := range wild {
			for _, f := range fragments(t, path) {
				write("wild", f.text, score.Wanted{Report: f.want})
			}
		}
		sets, _ = filepath.Glob("testdata/strangers/[a-z]*")
		sets = slices.DeleteFunc(sets, func(dir string) bool { return heldOut(filepath.Base(dir)) })
	}
	for _, dir := range sets {
		for _, s := range strangers(t, dir) {
			write(filepath.Base(dir), s.text, s.want)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
}

// taught is a slip with what its words are.
func taught(set string, s record.Slip, want score.Wanted) taughtSlip {
	const col, line = 10, 30 // of a box
	out := taughtSlip{Set: set, Tags: []taughtRun{}, Doubtful: []taughtRun{}, Missing: []taughtValue{}}
	for i := range s.Lines {
		l := &s.Lines[i]
		words := []taughtWord{}
		for j := range l.Words {
			w := &l.Words[j]
			w.Box = record.Box{X: int(w.Col) * col, Y: i * line, W: int(w.Width) * col, H: line / 2}
			for _, p := range parse.WordParts(*w) {
				words = append(words, taughtWord{p.Text, int(math.Round(p.Col)), int(math.Round(p.Width))})
			}
		}
		out.Lines, out.Apart = append(out.Lines, words), append(out.Apart, l.Apart)
	}
	runs := func(f record.Field, run taughtRun) (all []taughtRun) {
		for i, words := range out.Lines {
			run.From = -1
			for j, w := range words {
				b := record.Box{X: w.Col * col, Y: i * line, W: w.Width * col, H: line / 2}
				if b.Y >= f.Box.Y && b.Y < f.Box.Y+f.Box.H && min(b.X+b.W, f.Box.X+f.Box.W) > max(b.X, f.Box.X) {
					if run.From < 0 {
						run.Line, run.From = i, j
					}
					run.To = j
				}
			}
			if run.From >= 0 {
				all = append(all, run)
			}
		}
		return all
	}
	field := func(kind, name string, n int, want, got *record.Field) {
		switch {
		case want != nil && got != nil && same(*want, *got):
			out.Tags = append(out.Tags, runs(*got, taughtRun{Kind: kind, Field: name, Record: n, Value: got.Value})...)
			return
		case want != nil:
			out.Missing = append(out.Missing, taughtValue{kind, name, n, want.Value})
		}
		if got != nil {
			out.Doubtful = append(out.Doubtful, runs(*got, taughtRun{Kind: kind, Field: name, Record: n, Value: got.Value})...)
		}
	}
	got := parse.Slip(s, parse.Hints{})
	switch set {
	case "fit", "mixed":
	case "wild":
		got.Records = score.Plain(got.Records)
	default:
		_, got.Records = want.AsWanted(got.Records)
	}
	w, g := want.Report.Header, got.Header
	if set != "wild" || len(want.Report.Records) == 0 {
		field("header", "site", -1, w.Site, g.Site)
		field("header", "site_number", -1, w.SiteNumber, g.SiteNumber)
		field("header", "address", -1, w.Address, g.Address)
		field("header", "printed_at", -1, w.PrintedAt, g.PrintedAt)
	}
	used := make([]bool, len(got.Records))
	pairs := matchRecords(want.Report.Records, got.Records)
	for i, w := range want.Report.Records {
		g := record.Record{}
		if j := pairs[i]; j >= 0 {
			g, used[j] = got.Records[j], true
		}
		bothFields(w, g, func(name string, a, b *record.Field) { field(string(w.Kind), name, i, a, b) })
	}
	for j, g := range got.Records {
		if !used[j] {
			bothFields(record.Record{}, g, func(name string, a, b *record.Field) {
				field(string(g.Kind), name, len(want.Report.Records)+j, a, b)
			})
		}
	}
	return out
}

// bothFields calls f for every field that one of two records has, in order.
func bothFields(a, b record.Record, f func(name string, a, b *record.Field)) {
	names := append(a.FieldNames(), b.FieldNames()...)
	slices.Sort(names)
	for _, n := range slices.Compact(names) {
		var x, y *record.Field
		if v, ok := a.Fields[n]; ok {
			x = &v
		}
		if v, ok := b.Fields[n]; ok {
			y = &v
		}
		f(n, x, y)
	}
}
