package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"tankroll/archive"
	"tankroll/internal/intake"
	"tankroll/ocr"
	"tankroll/ocr/decode"
	"tankroll/record"
)

// now is the clock of the commands.
func now() time.Time { return time.Now() }

// desk opens the archive for one command.
func (a *app) desk(ctx context.Context) (*intake.Desk, error) {
	return intake.Open(ctx, a.archive, intake.Options{OCR: ocr.Options{Limits: a.limits.ocr()}})
}

// withDesk opens the archive, uses it and closes it.
func (a *app) withDesk(ctx context.Context, use func(*intake.Desk) error) error {
	d, err := a.desk(ctx)
	if err != nil {
		return err
	}
	return errors.Join(use(d), d.Close())
}

func (a *app) addCommand() *cobra.Command {
	var site string
	c := &cobra.Command{
		Use:   "add PATH…",
		Short: "keep pictures of printouts and read them",
		Long: `Keeps each picture as it is, reads it and keeps its records. A path is a
picture (JPEG, PNG, WebP, HEIC, TIFF or PDF, of one page or several), a folder
or a ZIP. The same bytes added twice are kept once.

A slip that is longer than a picture is added in several, one after the other,
each showing the last few lines of the one before; they are read as one slip.

A picture in which nothing can be read is kept all the same, since the paper
may be gone tomorrow; type its records in with tankroll enter.` + limitsHelp,
		Args: atLeast(1, "at least one picture, folder or ZIP to add"),
		RunE: func(c *cobra.Command, paths []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.add(c.Context(), d, paths, site) })
		},
	}
	c.Flags().StringVar(&site, "site", "", "number of the site they come from, where the paper does not say it")
	completes(c, "site", a.completeSites)
	a.limits.flags(c)
	c.Flags().BoolVar(&a.brief, "brief", false, "show one line a record; doubtful fields are counted, not listed")
	return c
}

func (a *app) add(ctx context.Context, d *intake.Desk, paths []string, site string) error {
	spareMemory()
	if err := d.Resume(ctx); err != nil {
		return err
	}
	added := false
	batch := d.Batch(site, func(p record.Page) error { added = true; return a.page(p) })
	err := intake.Walk(ctx, paths, d.MaxBytes(), func(in intake.Input) error {
		raw, err := in.Read()
		if err == nil {
			err = batch.Add(ctx, in.Name, raw)
		} else if e := batch.End(ctx); e != nil { // what stands before it comes before it
			return e
		}
		if err == nil {
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return a.page(intake.Failed(in.Name, raw, err))
	}, a.fail)
	if err == nil {
		err = batch.End(ctx)
	}
	if err != nil {
		return err
	}
	if !added && !a.failed {
		return fmt.Errorf("no pictures there; name pictures (%s), folders or ZIPs that hold some", decode.Kinds)
	}
	settled, err := d.Settle(ctx)
	if err != nil {
		return err
	}
	if settled > 0 && !a.json {
		a.say("day and month settled by other slips of the site on %d of the pictures kept; tankroll show tells how they stand now\n", settled)
	}
	return d.CatchUp(ctx)
}

func (a *app) enterCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "enter FILE.jsonl",
		Short: "keep records typed in from paper that could not be read",
		Long: `Keeps records typed in by hand, a JSON document a line:

  {"site": "114", "kind": "tank_test", "printed_at": "2026-03-01T06:10",
   "fields": {"tank": "2", "result": "pass"}, "note": "roll torn"}

They are kept as entered by hand and never pass for read ones. A line that is
wrong stops the work; put it right and enter the whole file again, since the
same line twice is kept once. FILE may be - for standard input.`,
		Args: exactly(1, "the file of typed records"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withDesk(c.Context(), func(d *intake.Desk) error { return a.enter(c.Context(), d, args[0]) })
		},
	}
}

// maxTyped bounds one typed record, in bytes.
const maxTyped = 1 << 20

func (a *app) enter(ctx context.Context, d *intake.Desk, name string) error {
	entries, err := a.entries(name)
	if err != nil {
		return err
	}
	for i, e := range entries {
		r, err := d.Store().Enter(ctx, e)
		if err != nil {
			return fmt.Errorf("%s: record %d of %d: %w; those before it are kept, put it right and enter the file again", name, i+1, len(entries), err)
		}
		if a.json {
			if err := a.line(intake.NewRecordDoc(r)); err != nil {
				return err
			}
			continue
		}
		a.say("%s  %s\n", r.ID, title(r.Record))
	}
	return d.CatchUp(ctx)
}

func (a *app) entries(name string) ([]archive.Entry, error) {
	var raw []byte
	var err error
	if name == "-" {
		raw, err = io.ReadAll(io.LimitReader(a.in, 64*maxTyped))
	} else {
		raw, err = intake.ReadFile(name, 0)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	var out []archive.Entry
	lines := bufio.NewScanner(bytes.NewReader(raw))
	lines.Buffer(nil, maxTyped)
	for n := 1; lines.Scan(); n++ {
		if len(bytes.TrimSpace(lines.Bytes())) == 0 {
			continue
		}
		dec := json.NewDecoder(bytes.NewReader(lines.Bytes()))
		dec.DisallowUnknownFields()
		var e archive.Entry
		if err := dec.Decode(&e); err != nil {
			return nil, fmt.Errorf("%s line %d: %w; nothing of the file was kept, put the line right and enter it again", name, n, err)
		}
		out = append(out, e)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: holds no records; write one JSON document a line", name)
	}
	return out, nil
}
