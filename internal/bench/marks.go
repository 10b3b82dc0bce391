package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"text/tabwriter"

	"tankroll/fixtures"
	"tankroll/internal/score"
	"tankroll/record"
)

// markLevels are the levels that handwriting and stamps are measured at.
var markLevels = []string{"scan", "worn", "photo", "faded"}

// markResult sums what was made of pictures with marks and of the same without.
type markResult struct {
	crossed, others           score.Words // of the pictures with marks
	crossedPlain, othersPlain score.Words // the same words where there are no marks
	hand, handFound           int
	stamps, stampsFound       int
	invented, inventedPlain   int
	kinds                     int // found marks of which the kind is right
	fields, fieldsPlain       score.Fields
	seconds, secondsPlain     float64
}

// marked measures slips with handwriting and stamps on them against the same pictures
// without.
func marked(ctx context.Context, out io.Writer, o options) error {
	dir, err := os.MkdirTemp("", "tankroll-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintf(out, "\nhandwriting and stamps, %d pictures a level; after / the same picture without marks\n\n", o.marks)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tcrossed\tF1\tother words F1\thand\tstamps\tkind\tinvented\tfields\tsure+wrong\ts\t")
	for _, level := range markLevels {
		var r markResult
		for i := range o.marks {
			if err := r.measure(ctx, dir, o, level, o.seed+uint64(i)); err != nil {
				return fmt.Errorf("%s %d with marks: %w", level, o.seed+uint64(i), err)
			}
		}
		r.write(w, level, o.marks)
	}
	return w.Flush()
}

func (r markResult) write(w io.Writer, level string, n int) {
	fmt.Fprintf(w, "%s\t%d\t%.3f / %.3f\t%.3f / %.3f\t%d/%d\t%d/%d\t%d\t%d / %d\t%.3f / %.3f\t%d / %d\t%.2f / %.2f\t\n", level, r.crossed.Truth,
		r.crossed.F1(), r.crossedPlain.F1(), r.others.F1(), r.othersPlain.F1(), r.handFound, r.hand, r.stampsFound, r.stamps, r.kinds, r.invented, r.inventedPlain,
		r.fields.Accuracy(), r.fieldsPlain.Accuracy(), r.fields.SureWrong, r.fieldsPlain.SureWrong, r.seconds/float64(n), r.secondsPlain/float64(n))
}

func (r *markResult) measure(ctx context.Context, dir string, o options, level string, seed uint64) error {
	with, err := fixtures.MakeMarked(o.part, level, seed)
	if err != nil {
		return err
	}
	without, err := fixtures.Make(o.part, level, seed)
	if err != nil {
		return err
	}
	crossings := make([][]score.Crossing, len(with.Marks))
	for i, slip := range with.Marks {
		seen := map[record.Box]bool{}
		for _, m := range slip {
			for _, c := range m.Crosses {
				if !seen[c.Box] {
					seen[c.Box] = true
					crossings[i] = append(crossings[i], score.Crossing{Line: c.Line, Text: c.Text})
				}
			}
		}
	}
	for _, c := range []fixtures.Case{with, without} {
		page, took, err := readCase(ctx, dir, o.program, c)
		if err != nil {
			return err
		}
		crossed, others := score.CountCrossed(printed(c), crossings, page.Slips)
		fields, misses := score.CountFields(truthOf(c), recordsOf(page))
		if c.Marks == nil {
			r.crossedPlain, r.othersPlain = r.crossedPlain.Add(crossed), r.othersPlain.Add(others)
			r.fieldsPlain, r.secondsPlain = r.fieldsPlain.Add(fields), r.secondsPlain+took
			for _, s := range page.Slips {
				r.inventedPlain += len(s.Marks)
			}
			continue
		}
		r.crossed, r.others = r.crossed.Add(crossed), r.others.Add(others)
		r.fields, r.seconds = r.fields.Add(fields), r.seconds+took
		r.find(c, page)
		for _, x := range misses {
			if o.misses && x.Got.Sure {
				fmt.Printf("  %s %s.%s: printed %v %q, read %v %q sure\n", c.Name, x.Kind, x.Name, x.Want.Value, x.Want.Text, x.Got.Value, x.Got.Text)
			}
		}
	}
	return nil
}

func readCase(ctx context.Context, dir, program string, c fixtures.Case) (page record.Page, seconds float64, err error) {
	file := filepath.Join(dir, "marked."+c.Ext)
	if err := os.WriteFile(file, c.Raw, 0o600); err != nil {
		return page, 0, err
	}
	out, took, _, err := process(ctx, program, "read", "--json", file)
	if jsonErr := json.Unmarshal(out, &page); jsonErr != nil {
		return page, 0, fmt.Errorf("its JSON: %w (%v)", jsonErr, err)
	}
	return page, took.Seconds(), nil
}

func truthOf(c fixtures.Case) (out []record.Record) {
	for _, s := range c.Slips {
		out = append(out, s.Records...)
	}
	return out
}

func recordsOf(p record.Page) (out []record.Record) {
	for _, s := range p.Slips {
		out = append(out, s.Records...)
	}
	return out
}

// find counts the marks that were found: half of the mark's box is in boxes of marks
// that were read. One that was read is invented when less than a fifth of its box is in
// boxes of marks that are there.
func (r *markResult) find(c fixtures.Case, page record.Page) {
	var read []record.Mark
	for _, s := range page.Slips {
		read = append(read, s.Marks...)
	}
	var there []record.Box
	for _, slip := range c.Marks {
		for _, m := range slip {
			there = append(there, m.Box)
			found, kind := 0.0, false
			for _, g := range read {
				share := within(m.Box, g.Box)
				found, kind = found+share, kind || share >= 0.5 && string(g.Kind) == m.Kind
			}
			all, hits := &r.hand, &r.handFound
			if m.Kind == string(record.Stamp) {
				all, hits = &r.stamps, &r.stampsFound
			}
			*all++
			if found >= 0.5 {
				*hits++
			}
			if kind {
				r.kinds++
			}
		}
	}
	for _, g := range read {
		share := 0.0
		for _, b := range there {
			share += within(g.Box, b)
		}
		if share < 0.2 {
			r.invented++
		}
	}
}

// within is the share of a box that another covers.
func within(a, b record.Box) float64 {
	w, h := min(a.X+a.W, b.X+b.W)-max(a.X, b.X), min(a.Y+a.H, b.Y+b.H)-max(a.Y, b.Y)
	if w <= 0 || h <= 0 || a.W*a.H == 0 {
		return 0
	}
	return float64(w*h) / float64(a.W*a.H)
}
