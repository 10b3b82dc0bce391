package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankroll/internal/intake"
	"tankroll/ocr/decode"
)

func (a *app) addCommand() *cobra.Command {
	var o importFlags
	var report string
	c := &cobra.Command{
		Use:   "add [PATH…]",
		Short: "keep pictures of printouts and read them",
		Long: `Keeps each picture as it is, reads it and keeps its records. A path is a
picture (JPEG, PNG, WebP, HEIC, TIFF or PDF, of one page or several), a folder
or a ZIP. The same bytes added twice are kept once.

A slip that is longer than a picture is added in several, one after the other,
each showing the last few lines of the one before; they are read as one slip.

Pictures are kept first and read as fast as the processors allow. It may be
ended at any moment with Ctrl-C, or end by itself when the power fails: what was
kept stays kept, and the same command goes on where it stopped; without a path it
reads what still waits.

A picture that cannot be read, or in which nothing can be read, is kept all the
same, since the paper may be gone tomorrow; tankroll todo lists those. Add it
again to try again, or type its records in with tankroll enter. What is no picture
is not kept.` + foldersHelp + limitsHelp,
		RunE: func(c *cobra.Command, paths []string) error {
			if err := reportName(report); err != nil {
				return err
			}
			if !c.Flags().Changed("brief") {
				a.brief = anyHolds(paths)
			}
			return a.importing(c.Context(), &o, func(d *intake.Desk, m *meter) error { return a.add(c.Context(), d, m, paths, &o, report) })
		},
	}
	o.flags(c)
	completes(c, "site", a.completeSites)
	a.limits.flags(c)
	c.Flags().BoolVar(&a.brief, "brief", false, "show one line a record; doubtful fields are counted, not listed (folders and ZIPs are shown so)")
	c.Flags().StringVar(&report, "report", "", "write what became of every file to this .json or .csv")
	return c
}

// anyHolds reports whether a path is a folder or ZIP: what it holds may be much.
func anyHolds(paths []string) bool {
	for _, p := range paths {
		if info, err := os.Stat(p); err == nil && info.IsDir() || strings.EqualFold(filepath.Ext(p), ".zip") {
			return true
		}
	}
	return false
}

func (a *app) add(ctx context.Context, d *intake.Desk, m *meter, paths []string, o *importFlags, report string) error {
	var all intake.Report
	opts, err := o.options(a.page, all.Add)
	if err != nil {
		return err
	}
	before, err := d.Store().Seq(ctx)
	if err != nil {
		return err
	}
	in := d.Import(ctx, opts)
	done := m.follow(in)
	err = in.Run(ctx, func(ctx context.Context, put func(intake.Input) error, fail func(string, error)) error {
		return intake.Walk(ctx, paths, d.MaxBytes(), put, fail)
	})
	var earlier []intake.Outcome
	if err == nil {
		earlier, err = in.Rest(ctx)
	}
	err = errors.Join(err, in.Close(ctx))
	done()
	for _, e := range earlier {
		if all.Add(e); e.State == intake.StateFailed {
			a.fail(e.File, errors.New(e.Reason))
		}
	}
	all.Interrupted = err != nil
	if report != "" && len(all.Files) > 0 {
		if e := writeReport(report, &all); e != nil {
			return errors.Join(err, e)
		}
	}
	switch {
	case err != nil && len(all.Files) > 0 && !a.json:
		a.say("%s; not all were reached\n", all.Summary())
		return err
	case err != nil:
		return err
	case len(all.Files) == 0 && len(paths) == 0:
		return errors.New("nothing waits to be read; name pictures, folders or ZIPs to add")
	case len(all.Files) == 0:
		return fmt.Errorf("no pictures there; name pictures (%s), folders or ZIPs that hold some", decode.Kinds)
	}
	if err := a.settle(ctx, d); err != nil {
		return err
	}
	if err := a.twins(ctx, d, before); err != nil {
		return err
	}
	a.summary(&all)
	if err := d.CatchUp(ctx); err != nil && ctx.Err() == nil {
		return fmt.Errorf("the pictures are kept and read, but the index could not follow; it does when it is next asked: %w", err)
	}
	return ctx.Err()
}

// settle settles dates by other slips of their sites and says so.
func (a *app) settle(ctx context.Context, d *intake.Desk) error {
	settled, err := d.Settle(ctx)
	if err == nil && settled > 0 && !a.json {
		a.say("day and month settled by other slips of the site on %d of the pictures kept; tankroll show tells how they stand now\n", settled)
	}
	return err
}

// mostListed bounds the failed files, and the records that may be one with
// others, that are listed at the end.
const mostListed = 20

// summary says what became of all files, when there is more than one.
func (a *app) summary(r *intake.Report) {
	if a.json || len(r.Files) < 2 {
		return
	}
	a.say("%s\n", r.Summary())
	if r.Outside > 0 {
		a.say("  %d lie in folders that do not fit the pattern; nothing was told of them\n", r.Outside)
	}
	n := 0
	for _, o := range r.Files {
		if o.State != intake.StateFailed {
			continue
		}
		if n++; n > mostListed {
			a.say("  and %d more; --report FILE.csv lists all\n", r.Failed-mostListed)
			break
		}
		a.say("  failed  %s: %s\n", o.File, a.limits.byFlag(strings.TrimPrefix(o.Reason, o.File+": ")))
	}
	if r.Failed+r.Doubtful > 0 {
		a.say("tankroll todo lists what is still to be looked at\n")
	}
}

func reportName(name string) error {
	ext := strings.ToLower(filepath.Ext(name))
	if name != "" && ext != ".json" && ext != ".csv" {
		return usageError{fmt.Errorf("--report %s: the name must end in .json or .csv", name)}
	}
	return nil
}

// writeReport writes the report beside its place and moves it there, so that one
// that is there is whole.
func writeReport(name string, r *intake.Report) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".report-*")
	if err != nil {
		return fmt.Errorf("the report cannot be written: %w", err)
	}
	write := r.WriteCSV
	if strings.EqualFold(filepath.Ext(name), ".json") {
		write = r.WriteJSON
	}
	err = errors.Join(write(f), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("the report cannot be written: %w", err), os.Remove(f.Name()))
	}
	return nil
}
