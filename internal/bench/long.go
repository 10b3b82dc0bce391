package main

import (
	"bytes"
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

// overlaps are the printed lines that two neighbouring pictures of a long slip
// both show; below zero so many between them are on neither.
var overlaps = []int{10, 6, 4, -3}

// longLevels are the levels that long slips are measured at.
var longLevels = []string{"scan", "photo", "worn", "faded"}

// longResult sums what was made of the long slips of one level and overlap.
type longResult struct {
	seams, joined, perhaps int
	whole, pieces          score.Words // of joined slips, of pictures that stayed apart
	fields                 score.Fields
}

// long measures slips that are longer than a picture.
func long(ctx context.Context, out io.Writer, o options) error {
	dir, err := os.MkdirTemp("", "tankroll-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintf(out, "\nslips in two or three pictures, %d a level and overlap\n\n", o.long)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tlines on both\tjoined\tperhaps\twrong\tjoined F1\tapart F1\tfields\tsure+wrong\t")
	wrong, gaps := 0, 0
	for _, level := range longLevels {
		for _, shared := range overlaps {
			var r longResult
			for i := range o.long {
				l, err := fixtures.MakeLong(o.part, level, o.seed+uint64(i), shared)
				if err != nil {
					return err
				}
				if err := r.measure(ctx, dir, o.program, l); err != nil {
					return fmt.Errorf("%s: %w", l.Name, err)
				}
			}
			over := "." // neighbours that show a line both are right to be joined
			if shared <= 0 {
				over = ratio(r.joined, r.seams)
				wrong, gaps = wrong+r.joined, gaps+r.seams
			}
			fmt.Fprintf(w, "%s\t%d\t%d/%d\t%d\t%s\t%.3f\t%.3f\t%.3f\t%d\t\n", level, shared, r.joined, r.seams, r.perhaps, over,
				r.whole.F1(), r.pieces.F1(), r.fields.Accuracy(), r.fields.SureWrong)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(out, "wrong rests on %d gaps, where lines are on neither picture: %d were joined over\n", gaps, wrong)
	return nil
}

// measure reads all pictures of one slip in one run.
func (r *longResult) measure(ctx context.Context, dir, program string, l fixtures.Long) error {
	args := []string{"read", "--json"}
	for _, p := range l.Photos {
		file := filepath.Join(dir, p.Name+"."+p.Ext)
		if err := os.WriteFile(file, p.Raw, 0o600); err != nil {
			return err
		}
		defer os.Remove(file)
		args = append(args, file)
	}
	out, _, _, err := process(ctx, program, args...)
	var records []record.Record
	i := 0
	for line := range bytes.Lines(out) {
		var p record.Page
		if err := json.Unmarshal(line, &p); err != nil {
			return fmt.Errorf("its JSON: %w", err)
		}
		for _, s := range p.Slips {
			records = append(records, s.Records...)
			r.joined += max(0, len(s.Parts)-1)
			if i > 0 && len(s.MayGoOn) > 0 {
				r.perhaps++
			}
			switch {
			case len(s.Parts) == len(l.Photos):
				r.whole = r.whole.Add(score.CountWords(l.Slip.Text, s.Text))
			case s.JoinedInto == nil && len(s.Parts) == 0 && i < len(l.Photos):
				r.pieces = r.pieces.Add(score.CountWords(l.Photos[i].Slips[0].Text, s.Text))
			}
		}
		i++
	}
	if i != len(l.Photos) {
		return fmt.Errorf("%d documents for %d pictures (%w)", i, len(l.Photos), err)
	}
	r.seams += len(l.Photos) - 1
	f, _ := score.CountFields(l.Slip.Records, records)
	r.fields = r.fields.Add(f)
	return nil
}
