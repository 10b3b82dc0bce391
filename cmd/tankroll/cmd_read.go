package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
	"tankroll/ocr"
	"tankroll/parse"
	"tankroll/record"
)

func (a *app) readCommand() *cobra.Command {
	var typed bool
	var o ocr.Options
	c := &cobra.Command{
		Use:   "read FILE…",
		Short: "read printouts and show what they say, keeping nothing",
		Long: `Reads pictures of printouts (JPEG, PNG, WebP, HEIC, TIFF or PDF, of one page or
several) and shows the slips, their lines and the records made of them. Nothing
is kept; see tankroll add.

With --typed the files are typed text, one printed line a line and a form feed
between slips, and only the grammar runs. With --trace DIR every step of the
reading is written there as a numbered picture, and what each character cell was
read as as a table.

A slip that is longer than a picture is given in several, one after the other,
each showing the last few lines of the one before; they are read as one slip.

Every line is read twice, by Tesseract and cell by cell on the print's own grid.
With --first-reading the second is left out, to see what it gives. With --letters
the JSON says of every character how often such a one is right.

A field marked ? is doubtful; its reason stands below it.` + limitsHelp,
		Args: atLeast(1, "at least one file to read"),
		RunE: func(c *cobra.Command, files []string) error {
			if typed {
				return a.readTyped(files)
			}
			return a.read(c.Context(), files, o)
		},
	}
	c.Flags().BoolVar(&typed, "typed", false, "the files are typed text, not pictures")
	a.limits.flags(c)
	c.Flags().StringVar(&o.Trace, "trace", "", "folder to write every step to, as numbered pictures")
	c.Flags().BoolVar(&o.FirstReading, "first-reading", false, "leave out the second reading of each line")
	c.Flags().BoolVar(&o.Letters, "letters", false, "with --json: how often each such character is right")
	return c
}

func (a *app) read(ctx context.Context, files []string, o ocr.Options) error {
	if o.Trace != "" {
		if err := os.MkdirAll(o.Trace, 0o755); err != nil {
			return err
		}
	}
	spareMemory()
	o.Workers, o.Limits = 1, a.limits.ocr()
	r, err := ocr.NewReader(o)
	if err != nil {
		return err
	}
	defer r.Close()
	hints := intake.Hints(now(), "")
	seq := intake.NewSequence(func(_ context.Context, s record.Slip) (record.Report, error) { return parse.Slip(s, hints), nil }, a.page)
	for _, name := range files {
		raw, err := intake.ReadFile(name, a.limits.ocr().Bytes)
		if err == nil {
			err = readOne(ctx, r, seq, hints, name, raw)
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			if err := errors.Join(seq.End(ctx), a.page(intake.Failed(name, raw, err))); err != nil {
				return err
			}
		}
	}
	return seq.End(ctx)
}

func readOne(ctx context.Context, r *ocr.Reader, seq *intake.Sequence, h parse.Hints, name string, raw []byte) error {
	for reading, err := range intake.Read(ctx, r, raw, h) {
		if err != nil {
			return err
		}
		if err := seq.Add(ctx, name, raw, false, reading); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) readTyped(files []string) error {
	for _, name := range files {
		raw, err := intake.ReadFile(name, 0)
		var p record.Page
		if err != nil {
			p = intake.Failed(name, raw, err)
		} else {
			p = intake.Typed(name, raw, intake.Hints(now(), ""))
		}
		if err := a.page(p); err != nil {
			return err
		}
	}
	return nil
}

// page writes one page that was read, as JSON or for people, and tells of its
// error.
func (a *app) page(p record.Page) error {
	if p.Error != "" {
		a.fail(p.File, fmt.Errorf("%s", p.Error))
	}
	if a.json {
		return a.line(p)
	}
	for i, s := range p.Slips {
		a.slip(p, i, s)
	}
	return nil
}

func (a *app) slip(p record.Page, i int, s record.ReadSlip) {
	a.say("%s", p.File)
	if p.Page > 1 {
		a.say(", page %d", p.Page)
	}
	if len(p.Slips) > 1 {
		a.say(", slip %d of %d", i+1, len(p.Slips))
	}
	if p.Capture != "" {
		a.say(" — kept as %s", p.Capture)
		if p.Already {
			a.say(", these bytes were there before")
		}
	}
	a.say("\n")
	if h := header(s.Header); h != "" {
		a.say("  %s\n", h)
	}
	if s.JoinedInto != nil {
		a.say("  read as one slip with %s\n", where(*s.JoinedInto))
		return
	}
	for _, part := range s.Parts[min(1, len(s.Parts)):] {
		a.say("  goes on on %s, read as one slip\n", where(part.Ref))
	}
	for _, o := range s.MayGoOn {
		a.say("  ! may be one slip with %s: take them again so that each shows more of the other, and add them together\n", where(o))
	}
	for _, w := range paperWarnings(s.Paper) {
		a.say("  ! %s\n", w)
	}
	for _, m := range s.Marks {
		a.say("  %s\n", m.Say())
	}
	if len(s.Records) == 0 {
		a.say("  no record understood; the lines read are:\n")
		for _, l := range s.Text {
			a.say("    %s\n", l)
		}
	}
	for _, r := range s.Records {
		if a.brief {
			a.say("  %s%s\n", title(r), doubtful(r))
			continue
		}
		a.say("  %s\n", title(r))
		a.fields(r, "    ")
	}
}

// where names the picture that a slip is on.
func where(r record.Ref) string {
	out := r.File
	if r.Page > 1 {
		out += fmt.Sprintf(", page %d", r.Page)
	}
	if r.Capture != "" {
		out += " (" + r.Capture + ")"
	}
	return out
}

// paperWarnings say what to do while the paper is still at hand.
func paperWarnings(p record.Paper) []string {
	var out []string
	if p.Blurred {
		out = append(out, "the picture is blurred: take it again before the paper is put away")
	}
	if p.CutOff {
		out = append(out, "printed lines run off the picture: take it again with the whole slip in it, or in several that each show the last few lines of the one before")
	}
	if p.EndOfRoll {
		out = append(out, "the end-of-roll stripe shows: change the paper roll soon")
	}
	return out
}

func header(h record.Header) string {
	var s string
	add := func(label string, f *record.Field) {
		if f == nil {
			return
		}
		if s != "" {
			s += " · "
		}
		s += label + f.String()
		if !f.Sure {
			s += "?"
		}
	}
	add("", h.Site)
	add("site ", h.SiteNumber)
	if h.PrintedAt != nil {
		p := *h.PrintedAt
		p.Value = when(p.String())
		add("printed ", &p)
	}
	return s
}

// doubtful counts the fields of a record that are not sure.
func doubtful(r record.Record) string {
	n := 0
	for _, f := range r.Fields {
		if !f.Sure {
			n++
		}
	}
	switch {
	case n > 0:
		return fmt.Sprintf("  ? %d of %d fields doubtful", n, len(r.Fields))
	case len(r.Doubts) > 0:
		return "  ? doubtful as a whole"
	}
	return ""
}
